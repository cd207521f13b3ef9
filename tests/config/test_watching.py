"""Readiness, metrics, and the log: who watches the installation is told what is so, and nobody else is."""

import json
import logging

import pytest
from django.db.migrations.recorder import MigrationRecorder

from herd.accounts.models import Outfit
from herd.config import health
from herd.config.telling import Doing, name_request, read_logging, request_id
from herd.intake.models import DayState, ProcessingDay
from tests.config.installation import python
from tests.intake.field import herd

TOKEN = "a word for the watcher"
SERVE = (
    "import django, os; os.environ['DJANGO_SETTINGS_MODULE'] = 'herd.config.settings'; django.setup(); "
    "from django.test import Client; Client(headers={'host': 'localhost'}).get('/health/', "
    "headers={'x-request-id': 'given-by-the-proxy'})"
)
AT_WORK = (
    "from herd.config.celery import app\n"
    "import django; django.setup()\n"
    "import logging\n"
    "app.log.setup_logging_subsystem(loglevel='ERROR')\n"
    "@app.task\n"
    "def speak(): logging.getLogger('herd').info('at work')\n"
    "speak.apply(task_id='task-417')\n"
)


@pytest.fixture
def figures(client, settings, db):
    settings.METRICS_TOKEN = TOKEN

    def read():
        answer = client.get("/health/metrics/", headers={"authorization": f"Bearer {TOKEN}"})
        assert answer.status_code == 200
        lines = [line for line in answer.content.decode().splitlines() if not line.startswith("#")]
        return {name: float(value) for name, value in (line.rsplit(" ", 1) for line in lines)}

    return read


def test_a_database_that_is_behind_this_version_is_not_ready(client, db, monkeypatch):
    monkeypatch.setattr(health, "_known", set())
    MigrationRecorder.Migration.objects.filter(app="intake").order_by("-name").first().delete()
    answer = client.get("/health/ready/")
    assert (answer.status_code, answer.content) == (503, b"the database is not up to date\n")


def test_it_is_known_to_be_up_to_date_after_one_look(client, db, monkeypatch, django_assert_max_num_queries):
    monkeypatch.setattr(health, "_known", set())
    assert client.get("/health/ready/").status_code == 200
    with django_assert_max_num_queries(1):
        assert client.get("/health/ready/").content == b"ready\n"


def test_without_a_token_set_there_are_no_figures(client):
    assert client.get("/health/metrics/").status_code == 404
    assert client.get("/health/metrics/", headers={"authorization": "Bearer "}).status_code == 404


def test_a_wrong_token_reads_no_figures(client, settings):
    settings.METRICS_TOKEN = TOKEN
    for given in ("", "Bearer", "Bearer another", TOKEN):
        assert client.get("/health/metrics/", headers={"authorization": given}).status_code == 404


def test_requests_are_counted_by_route_and_never_by_address(client, figures):
    name = 'notchbook_requests_total{method="GET",route="health/ready/",status="200"}'
    before = figures().get(name, 0)
    client.get("/health/ready/?code=ABCDE-23456")
    client.get("/no/such/page/ABCDE-23456/")
    after = figures()
    assert after[name] == before + 1
    assert after['notchbook_request_seconds_count{route="health/ready/"}'] >= 1
    assert not [one for one in after if "ABCDE" in one]
    assert 'notchbook_requests_total{method="GET",route="(none)",status="404"}' in after


def test_made_up_methods_are_counted_as_one(client, figures):
    client.generic("BREW", "/health/")
    client.generic("STEEP", "/health/")
    assert not [one for one in figures() if "BREW" in one or "STEEP" in one]


def test_the_figures_tell_of_days_that_no_worker_works_on(figures, kettle_bench: Outfit):
    herd(kettle_bench, [417])
    before = figures()
    ProcessingDay.objects.create(
        outfit=kettle_bench, name="Work", worked_on="2026-03-14", state=DayState.WORKING,
        lease_until="2026-03-14T12:00:00Z",
    )  # fmt: skip
    after = figures()
    assert after['notchbook_days{state="working"}'] == before['notchbook_days{state="working"}'] + 1
    assert after["notchbook_days_overdue"] == before["notchbook_days_overdue"] + 1


def test_an_answer_names_its_request_and_keeps_what_the_proxy_gave(client):
    assert client.get("/health/", headers={"x-request-id": "0f3c-given-1"}).headers["X-Request-ID"] == "0f3c-given-1"
    first, second = (client.get("/health/").headers["X-Request-ID"] for _ in range(2))
    assert first != second
    assert request_id.get() == ""


@pytest.mark.parametrize("given", ["", "short", "x" * 65, 'a"b"c"d"e', "line\nbreaks", "spaces in it"])
def test_what_has_not_the_shape_of_an_id_is_named_anew(given):
    assert name_request(given) != given
    assert len(name_request(given)) == 32


def test_the_log_is_one_object_a_line_with_the_request(tmp_path):
    told = python(tmp_path, SERVE, NOTCHBOOK_LOG_FORM="json", NOTCHBOOK_LOG="info")
    line = json.loads(told.stderr.splitlines()[-1])
    assert {name: line[name] for name in ("level", "logger", "request_id", "route", "status", "method")} == {
        "level": "INFO", "logger": "notchbook.requests", "request_id": "given-by-the-proxy", "route": "health/",
        "status": 200, "method": "GET",
    }  # fmt: skip
    assert line["ms"] >= 0


def test_the_log_names_the_task_at_work_and_keeps_its_level_in_a_worker(tmp_path):
    told = python(tmp_path, AT_WORK, NOTCHBOOK_LOG_FORM="json", NOTCHBOOK_LOG="info")
    assert told.returncode == 0, told.stderr
    lines = [json.loads(line) for line in told.stderr.splitlines()]
    (line,) = [line for line in lines if line["logger"] == "herd"]
    assert (line["message"], line["task_id"], line["request_id"]) == ("at work", "task-417", "")


def test_the_log_refuses_a_form_it_does_not_know(tmp_path):
    told = python(tmp_path, SERVE, NOTCHBOOK_LOG_FORM="xml")
    assert "NOTCHBOOK_LOG_FORM must be one of json, plain, not 'xml'." in told.stderr


def test_a_changeset_is_named_once_it_is_kept(kettle_bench: Outfit, caplog, django_capture_on_commit_callbacks):
    with caplog.at_level(logging.INFO, "herd.ledger.record"):
        with django_capture_on_commit_callbacks(execute=True):
            herd(kettle_bench, [417, 530])
        told = [record for record in caplog.records if record.message == "changeset kept"]
    assert told
    assert all(record.outfit == str(kettle_bench.pk) and record.changes for record in told)
    assert len({record.changeset for record in told}) == len(told)


def test_records_outside_of_a_request_have_an_empty_name():
    record = logging.LogRecord("herd", logging.INFO, "", 0, "said", None, None)
    assert Doing().filter(record)
    assert (record.request_id, record.task_id) == ("", "")
    assert read_logging("plain", "INFO")["root"] == {"handlers": ["console"], "level": "INFO"}
