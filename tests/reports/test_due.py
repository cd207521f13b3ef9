"""Which cows are due: by service, by days bred at a check, until they calve or turn out open."""

from datetime import date, timedelta

from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from herd.reports.due import OVERDUE_DAYS, due_cows
from tests.cast import entry, register

# Bred February 10, due November 20 after 283 days: Clemson Extension BC-1001 (1995 there).
BRED, DUE = date(2025, 2, 10), date(2025, 11, 20)
WEEK = timedelta(days=7)


def record(outfit, animal, kind, on, precision="day", **data):
    one = NewEvent(animal, kind, on, data, precision=precision)
    events.record(entry=entry(outfit), events=[one])


def due_in(outfit, today):
    return [(one.animal_id, one.due.expected) for one in due_cows(outfit, today, today + WEEK)]


def test_a_service_makes_her_due_as_published(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "service", BRED)
    assert due_in(kettle_bench, DUE - WEEK) == [(cow, DUE)]
    assert due_in(kettle_bench, DUE - WEEK - timedelta(days=1)) == []


def test_days_bred_at_a_check_make_her_due(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "pregnancy_check", BRED + timedelta(days=90), result="pregnant", days=90)
    assert due_in(kettle_bench, DUE) == [(cow, DUE)]


def test_a_known_service_goes_before_days_that_were_estimated(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "service", BRED)
    record(kettle_bench, cow, "pregnancy_check", BRED + timedelta(days=90), result="pregnant", days=60)
    assert due_in(kettle_bench, DUE) == [(cow, DUE)]


def test_one_that_calved_or_was_found_open_is_not_due(kettle_bench):
    calved, empty = register(kettle_bench), register(kettle_bench)
    for cow in (calved, empty):
        record(kettle_bench, cow, "service", BRED)
    record(kettle_bench, calved, "calving", DUE - WEEK, outcome="live")
    record(kettle_bench, empty, "pregnancy_check", BRED + timedelta(days=60), result="open")
    assert due_in(kettle_bench, DUE) == []


def test_an_overdue_cow_is_told_for_a_month(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "service", BRED)
    latest = DUE + timedelta(days=12)
    assert due_in(kettle_bench, latest + timedelta(days=OVERDUE_DAYS)) == [(cow, DUE)]
    assert due_in(kettle_bench, latest + timedelta(days=OVERDUE_DAYS + 1)) == []


def test_a_cow_that_was_sold_is_not_due(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "service", BRED)
    record(kettle_bench, cow, "sale", DUE - WEEK)
    assert due_in(kettle_bench, DUE) == []


def test_the_breed_has_its_own_length(kettle_bench):
    """Brahman 292 days: Torell, University of Nevada Cooperative Extension."""
    cow = register(kettle_bench, breed="Brahman")
    record(kettle_bench, cow, "service", BRED)
    assert due_in(kettle_bench, DUE + WEEK) == [(cow, BRED + timedelta(days=292))]


def test_a_check_known_only_to_the_month_counts_for_nothing(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "pregnancy_check", BRED.replace(day=1), "month", result="pregnant", days=30)
    assert due_cows(kettle_bench, DUE, DUE + timedelta(days=60)) == []


def test_another_outfits_cows_are_not_due_here_and_three_queries_are_enough(
    kettle_bench, far_rim, django_assert_num_queries
):
    record(far_rim, register(far_rim), "service", BRED)
    for _ in range(5):
        record(kettle_bench, register(kettle_bench), "service", BRED)
    with django_assert_num_queries(3):
        assert len(due_cows(kettle_bench, DUE, DUE)) == 5
