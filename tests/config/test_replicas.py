"""A second database for reports: read only by them, only while nothing is missing in it, never written."""

import time

import pytest
from django.db import DatabaseError, connections
from django.db.backends.sqlite3.base import DatabaseWrapper
from django.http import HttpResponse
from django.test import RequestFactory

from herd.accounts.models import Person
from herd.config import replicas
from herd.config.replicas import ReportsFromCopy, ReportsReadCopy
from herd.intake.models import ProcessingDay
from herd.ledger.models import FeedCounter
from herd.registry.models import Animal
from tests.config.installation import python
from tests.intake.field import herd

ROUTER = ReportsFromCopy()


@pytest.fixture
def copy(kettle_bench, tmp_path, monkeypatch):
    """A real second database with the one table that is compared; `catch_up` brings it level."""
    plain = {**connections["default"].settings_dict, "ENGINE": "django.db.backends.sqlite3", "OPTIONS": {},
             "NAME": str(tmp_path / "copy.sqlite3")}  # fmt: skip
    # Under this name, since the tests guard every other one.
    second = DatabaseWrapper(plain, alias="default")
    before = connections["default"]
    monkeypatch.setitem(connections.settings, "replica", plain)
    connections["replica"] = second
    with second.cursor() as cursor:
        cursor.execute("CREATE TABLE ledger_feedcounter (outfit_id char(32) PRIMARY KEY, position bigint)")
    assert connections["default"] is before
    yield second
    second.close()
    del connections["replica"]


def catch_up(copy):
    with copy.cursor() as cursor:
        cursor.execute("DELETE FROM ledger_feedcounter")
        for counter in FeedCounter.objects.using("default"):
            cursor.execute(
                "INSERT INTO ledger_feedcounter (outfit_id, position) VALUES (%s, %s)",
                [counter.outfit_id.hex, counter.position],
            )


def read_by(method, address, outfit, answer=None):
    """Where a request reads animals from."""
    seen = []
    request = RequestFactory().generic(method, address)
    request.outfit = outfit
    watch = answer or ReportsReadCopy(lambda asked: seen.append(ROUTER.db_for_read(Animal)) or HttpResponse())
    watch(request)
    return seen[-1] if seen else None


@pytest.mark.parametrize("address", ["/reports/week/", "/api/v1/reports/head/"])
def test_a_report_reads_a_copy_that_is_as_far(kettle_bench, copy, address):
    herd(kettle_bench, [417])
    catch_up(copy)
    assert read_by("GET", address, kettle_bench) == "replica"
    assert ROUTER.db_for_read(Animal) == "default"


def test_a_report_never_lacks_the_askers_own_last_write(kettle_bench, copy):
    herd(kettle_bench, [417])
    catch_up(copy)
    herd(kettle_bench, [530])
    assert read_by("GET", "/reports/week/", kettle_bench) == "default"
    assert read_by("GET", "/api/v1/reports/head/", None) == "default"
    catch_up(copy)
    assert read_by("GET", "/reports/week/", kettle_bench) == "replica"


@pytest.mark.parametrize(
    ("method", "address"), [("POST", "/reports/week/"), ("GET", "/"), ("GET", "/animals/reports/")]
)
def test_everything_else_reads_the_database_itself(kettle_bench, copy, method, address):
    catch_up(copy)
    assert read_by(method, address, kettle_bench) == "default"


def test_inside_a_report_only_the_record_comes_from_the_copy_and_nothing_is_written_there(kettle_bench, copy):
    catch_up(copy)
    seen = {}

    def answer(request):
        seen.update({model: (ROUTER.db_for_read(model), ROUTER.db_for_write(model))
                     for model in (Animal, Person, ProcessingDay)})  # fmt: skip
        return HttpResponse()

    read_by("GET", "/reports/week/", kettle_bench, ReportsReadCopy(answer))
    assert seen == {
        Animal: ("replica", "default"), Person: ("default", "default"), ProcessingDay: ("default", "default"),
    }  # fmt: skip
    assert (ROUTER.allow_migrate("replica", "registry"), ROUTER.allow_migrate("default", "registry")) == (False, True)


def test_a_copy_that_does_not_answer_is_left_alone_for_a_while(kettle_bench, monkeypatch):
    asked = []

    def written(database, outfit):
        asked.append(database)
        if database == "replica":
            raise DatabaseError("gone")
        return 3

    monkeypatch.setattr(replicas, "_written", written)
    seen = []
    watch = ReportsReadCopy(lambda request: seen.append(ROUTER.db_for_read(Animal)) or HttpResponse())
    for _ in range(2):
        read_by("GET", "/reports/week/", kettle_bench, watch)
    assert (seen, asked) == (["default", "default"], ["default", "replica"])
    watch._away_until = time.monotonic() - 1
    read_by("GET", "/reports/week/", kettle_bench, watch)
    assert asked[-1] == "replica"


def test_the_router_is_there_only_where_a_copy_is_named(tmp_path):
    load = (
        "import herd.config.settings as s; print(sorted(s.DATABASES), getattr(s, 'DATABASE_ROUTERS', []), "
        "[one for one in s.MIDDLEWARE if 'replicas' in one])"
    )
    assert python(tmp_path, load).stdout.strip() == "['default'] [] []"
    named = python(tmp_path, load, NOTCHBOOK_REPLICA_URL="postgresql://reader@127.0.0.1/herd").stdout.strip()
    assert named == (
        "['default', 'replica'] ['herd.config.replicas.ReportsFromCopy'] ['herd.config.replicas.ReportsReadCopy']"
    )
