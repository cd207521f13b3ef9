"""Many at once with connections of their own, on the engine that these tests run on; nobody waits for anybody.

PostgreSQL runs them truly side by side, and its sessions are ended from outside; SQLite lets one write at a time,
and there the database fails from inside.
"""

import itertools
import logging
import random
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from unittest.mock import patch
from uuid import UUID

import pytest
from django.db import DatabaseError, connection
from django.db.models import F
from django.db.models.functions import Greatest

from herd.ledger import record
from herd.ledger.models import FeedCounter
from herd.registry.models import Animal, Event
from herd.sync.models import Operation
from tests.sync.properties import checks, fieldphone
from tests.sync.properties.fieldphone import Broken, Client, FieldPhone, crashing_after
from tests.sync.properties.machine import quiet
from tests.sync.properties.scenarios import edit, weigh
from tests.sync.properties.world import Office, World, make_world

WORKERS = 3
ENGINE = pytest.mark.parametrize("engine", [f"on {connection.vendor}"])
pytestmark = [pytest.mark.django_db(transaction=True), ENGINE]


@pytest.fixture
def world() -> Iterator[World]:
    logging.disable(logging.CRITICAL)
    yield make_world()
    logging.disable(logging.NOTSET)


def at_once(*works: Callable[[], None]) -> None:
    """Run each in a thread with a connection of its own, all beginning together; the first fault of any is raised."""
    faults: list[BaseException] = []
    begin = threading.Barrier(len(works))

    def run(work: Callable[[], None]) -> None:
        try:
            begin.wait(10)
            work()
        except BaseException as fault:
            faults.append(fault)
        finally:
            with suppress(DatabaseError):
                connection.close()

    threads = [threading.Thread(target=run, args=[work]) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    if faults:
        raise faults[0]


def deliver(phone: FieldPhone, tries: int = 40) -> None:
    """Push until it is answered, as a phone does whatever goes wrong on the way."""
    for _ in range(tries):
        try:
            phone.push()
        except (Broken, DatabaseError):
            connection.close()
            time.sleep(0.02)
        if not phone.outbox:
            return
    raise AssertionError("the outbox does not empty")


def follow(phone: FieldPhone, is_over: threading.Event) -> None:
    """Read all the time, in pages as small as may be."""
    while not is_over.is_set():
        with suppress(Broken, DatabaseError):
            phone.pull(limit=1)


def _phone_works(world: World, phone: FieldPhone, own: list[UUID], number: int) -> None:
    # Each weighs animals of its own: one and the same weight from two is one event, and not two.
    weigh(phone, own[number % 3], str(1100 + number), hours=24 * number)
    edit(phone, world.herd[0], "breed", f"B{number}{phone.device[:8]}")
    deliver(phone)


def _office_works(world: World, number: int) -> None:
    with suppress(DatabaseError):
        Office(world).edits(world.herd[number % 3], "coat", ("red", "grey")[number % 2])


def work_side_by_side(world: World, *disturbers: Callable[[threading.Event], None]) -> None:
    """Two phones deliver, the office writes, two readers follow; then all is quiet, and the promises hold."""
    over, left = threading.Event(), itertools.count(1)
    if len(world.phones) == 3:
        # One that reads all, with the token of another.
        world.phones.append(FieldPhone(world.phones[1].token, frozenset(), world.phones[1].device))

    def worker(work: Callable[[int], None]) -> Callable[[], None]:
        def run() -> None:
            try:
                for number in range(8):
                    work(number)
            finally:
                if next(left) == WORKERS:
                    over.set()

        return run

    at_once(
        worker(partial(_phone_works, world, world.phones[0], world.herd[:3])),
        worker(partial(_phone_works, world, world.phones[1], world.herd[3:])),
        worker(partial(_office_works, world)),
        *(lambda one=one: follow(one, over) for one in world.phones[2:]),
        *(lambda one=one: one(over) for one in disturbers),
    )
    quiet(world)
    checks.everything_is_stored(world)
    checks.each_event_is_there_once(world)
    checks.all_have_the_same(world)


def test_one_operation_from_two_tabs_and_two_devices_is_done_once(world, engine):
    first, second = world.phones[:2]
    for number in range(3):
        weigh(first, world.herd[number])
    second.outbox, second.captured = list(first.outbox), dict(first.captured)
    tab = FieldPhone(first.token, first.scope, first.device, list(first.outbox), dict(first.captured))
    at_once(lambda: deliver(first), lambda: deliver(second), lambda: deliver(tab))
    assert Event.objects.filter(kind="weight").count() == 3
    assert Operation.objects.count() == 3


def test_two_who_saw_the_same_value_never_overwrite_each_other(world, engine):
    for animal in world.herd[:4]:
        for phone, to in zip(world.phones[:2], ("HE", "CH"), strict=True):
            edit(phone, animal, "breed", to)
        at_once(lambda: deliver(world.phones[0]), lambda: deliver(world.phones[1]))
    for animal in world.herd[:4]:
        found = Operation.objects.filter(subject_id=animal, kind="animal.edit").values_list("status", flat=True)
        assert sorted(found) == ["applied", "review"]
        assert Animal.objects.get(pk=animal).breed in {"HE", "CH"}


def test_what_was_held_is_taken_up_once_by_two_pushes(world, engine):
    late, early, other = world.phones
    op = weigh(late, world.herd[0])
    corrected = {"event": op, "data": {"weight": "1185", "unit": "lb"}}
    early.capture("event.correct", data=corrected)
    deliver(early)
    assert Operation.objects.get().status == "held"
    # The event comes, and at the same moment two others call.
    at_once(lambda: deliver(late), lambda: other.push(), lambda: early.push())
    early.push()
    assert set(Operation.objects.values_list("status", flat=True)) == {"applied"}
    assert Event.objects.of(world.outfit).get(kind="weight").data["weight"] == "1185"


def test_a_reader_that_follows_all_the_time_ends_with_the_record(world, engine):
    work_side_by_side(world)


def test_nothing_is_lost_or_done_twice_when_the_database_goes_away_at_any_moment(world, engine):
    chance = random.Random(7)  # noqa: S311

    def ends_sessions(over: threading.Event) -> None:
        while not over.wait(0.4):
            with connection.cursor() as cursor:
                cursor.execute(
                    "SELECT pid FROM pg_stat_activity WHERE datname = current_database()"
                    " AND pid <> pg_backend_pid() AND state <> 'idle'"
                )
                for (pid,) in cursor.fetchall():
                    if chance.random() < 0.5:
                        cursor.execute("SELECT pg_terminate_backend(%s)", [pid])

    if connection.vendor == "postgresql":
        connection.close()
        work_side_by_side(world, ends_sessions)
        return
    push = FieldPhone.push

    def fails_inside(self: FieldPhone, *given: object, **more: object) -> None:
        if threading.current_thread() is not threading.main_thread() and chance.random() < 0.5:
            with crashing_after(chance.randrange(60)):
                push(self, *given, **more)
        else:
            push(self, *given, **more)

    with patch.object(FieldPhone, "push", fails_inside):
        work_side_by_side(world)


def test_numbers_given_before_the_order_of_commits_are_seen_as_a_fault(world, engine):
    """SQLite lets nobody write between the number and the commit, so that there the same fault does no harm."""
    numbers, has_number, may_go_on = itertools.count(1_000), threading.Event(), threading.Event()

    def early(outfit: object, count: int) -> int:
        first = [next(numbers) for _ in range(count)][0]
        if threading.current_thread() is not threading.main_thread():
            has_number.set()
            may_go_on.wait(20)
        FeedCounter.objects.filter(outfit=outfit).update(position=Greatest(F("position"), first + count - 1))
        return first

    def is_slow() -> None:
        Office(world).edits(world.herd[1], "coat", "red")
        connection.close()

    with patch.object(record, "_take_positions", early):
        slow = threading.Thread(target=is_slow)
        slow.start()
        assert has_number.wait(20)
        if connection.vendor == "postgresql":
            Office(world).edits(world.herd[3], "coat", "grey")
        world.phones[0].pull()
        may_go_on.set()
        slow.join(20)
    if connection.vendor == "postgresql":
        with pytest.raises(AssertionError, match="I1"):
            _is_read_to_the_end(world)
    else:
        _is_read_to_the_end(world)


def test_the_same_two_writers_do_no_harm_where_numbers_come_last(world, engine):
    at_once(
        lambda: Office(world).edits(world.herd[1], "coat", "red"),
        lambda: Office(world).edits(world.herd[3], "coat", "grey"),
        lambda: world.phones[0].pull(),
    )
    _is_read_to_the_end(world)


def _is_read_to_the_end(world: World) -> None:
    quiet(world)
    checks.all_have_the_same(world)


@pytest.fixture(autouse=True)
def own_clients(monkeypatch: pytest.MonkeyPatch) -> None:
    """A client for each thread, since one keeps the answer it is at."""
    mine = threading.local()

    class PerThread:
        def generic(self, *given: object, **more: object) -> object:
            if not hasattr(mine, "client"):
                mine.client = Client(raise_request_exception=False)
            return mine.client.generic(*given, **more)

    monkeypatch.setattr(fieldphone, "CLIENT", PerThread())
