"""What nobody looked at for long: groups, animals missing, tags that run out."""

from datetime import date, timedelta

import pytest

from herd.registry.models import Group
from herd.registry.services import events, groups, headchecks, stock
from herd.registry.services.batch import NewEvent
from herd.reports.neglect import COUNT_EVERY, FEW_TAGS, missing_long, not_counted, not_weighed, running_out
from tests.cast import entry, register, vid_tag
from tests.office.conftest import weigh

TODAY = date(2026, 6, 1)


@pytest.fixture
def bench_group(kettle_bench):
    """Upper Bench with one cow."""
    key = groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    register(kettle_bench, group_id=key)
    return Group.objects.get(pk=key)


def test_a_group_counted_lately_is_not_named(kettle_bench, bench_group):
    assert [(one.group, one.head, one.last) for one in not_counted(kettle_bench, TODAY)] == [(bench_group, 1, None)]
    on = TODAY - COUNT_EVERY
    headchecks.keep(entry=entry(kettle_bench), group=bench_group, on=on, count=headchecks.Count(1))
    assert not_counted(kettle_bench, TODAY) == []
    assert [one.last for one in not_counted(kettle_bench, TODAY + timedelta(days=1))] == [on]


def test_a_group_of_which_one_was_weighed_lately_is_not_named(kettle_bench, bench_group):
    assert [one.group for one in not_weighed(kettle_bench, TODAY)] == [bench_group]
    weigh(kettle_bench, register(kettle_bench, group_id=bench_group.pk), date(2025, 9, 1), "1200")
    assert not_weighed(kettle_bench, TODAY) == []


def test_an_empty_group_is_not_named(kettle_bench):
    groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    assert not_counted(kettle_bench, TODAY) == []


def test_only_those_missing_for_a_month_are_counted(kettle_bench):
    for days in (10, 30, 200):
        gone = NewEvent(register(kettle_bench), "missing", TODAY - timedelta(days=days))
        events.record(entry=entry(kettle_bench), events=[gone])
    assert missing_long(kettle_bench, TODAY) == 2


def test_boxes_of_one_kind_and_colour_run_out_together(kettle_bench):
    stock.receive(entry=entry(kettle_bench), kind="vid", first="1", last="10", colour="yellow")
    assert running_out(kettle_bench, TODAY) == []
    register(kettle_bench, vid_tag("3"), on=date(2026, 5, 1))
    assert [one.free for one in running_out(kettle_bench, TODAY)] == [9]
    stock.receive(entry=entry(kettle_bench), kind="vid", first="101", last=str(100 + FEW_TAGS), colour="yellow")
    assert running_out(kettle_bench, TODAY) == []


def test_a_colour_that_is_out_of_use_is_not_asked_about(kettle_bench):
    stock.receive(entry=entry(kettle_bench), kind="vid", first="1", last="2", colour="green")
    register(kettle_bench, vid_tag("1", "green"), on=date(2023, 5, 1))
    assert running_out(kettle_bench, TODAY) == []
