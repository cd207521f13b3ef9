"""The list of who is in withdrawal, and when each is free."""

import csv
import io
from datetime import datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from herd.registry.models import Animal
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from tests.cast import entry, register, vid_tag

PAGE = "office:withdrawal"


@pytest.fixture
def today(cast):
    return timezone.now().astimezone(cast.kettle_bench.zone).date()


def give(outfit, animal, on, days=None, **more):
    data = {"product": "penicillin"} | ({} if days is None else {"withdrawal_days": days})
    event = NewEvent(animal, "treatment", on, data, **more)
    events.record(entry=entry(outfit, title="treated"), events=[event])


def listed(client, **question):
    page = client.get(reverse(PAGE), question)
    return page, [one.animal.pk for one in [*page.context["timed"], *page.context["untimed"]]]


def test_the_soonest_free_stands_first_and_the_unknown_last(ada_in, cast, herd, today):
    give(cast.kettle_bench, herd.calf, today)
    give(cast.kettle_bench, herd.cow, today, 20)
    give(cast.kettle_bench, herd.heifer, today, 5)
    give(cast.kettle_bench, herd.bull, today, 0)
    page, animals = listed(ada_in)
    assert animals == [herd.heifer, herd.cow, herd.calf]
    assert "<strong>2 head</strong> are in withdrawal now" in page.content.decode()
    assert "of <strong>1</strong> more the withdrawal is not known" in page.content.decode()


def test_the_latest_end_of_several_counts_and_all_causes_are_told(ada_in, cast, herd, today):
    give(cast.kettle_bench, herd.cow, today, 20)
    give(cast.kettle_bench, herd.cow, today, 5)
    page, animals = listed(ada_in)
    assert animals == [herd.cow]
    assert page.context["timed"][0].last.days == 20
    assert page.content.decode().count("days of 24 hours;") == 1


def test_a_day_to_come_shows_who_is_still_held_then(ada_in, cast, herd, today):
    give(cast.kettle_bench, herd.cow, today, 20)
    give(cast.kettle_bench, herd.heifer, today, 5)
    # Date-only rule: 5 days from today free on the sixth day after it.
    assert set(listed(ada_in, on=(today + timedelta(days=5)).isoformat())[1]) == {herd.cow, herd.heifer}
    assert listed(ada_in, on=(today + timedelta(days=6)).isoformat())[1] == [herd.cow]


def test_with_the_hour_known_the_list_goes_by_the_hour(ada_in, cast, herd, today):
    now = timezone.now()
    for animal, ago in ((herd.cow, timedelta(days=2, minutes=5)), (herd.heifer, timedelta(days=2, minutes=-5))):
        at = now - ago
        give(cast.kettle_bench, animal, at.astimezone(cast.kettle_bench.zone).date(), 2, happened_at=at)
    assert listed(ada_in)[1] == [herd.heifer]


def test_an_empty_list_says_where_it_comes_from(ada_in, herd):
    assert "Nobody on hand is in withdrawal now." in ada_in.get(reverse(PAGE)).content.decode()


@pytest.mark.parametrize("question", [{"on": "soon"}, {"from": "-1"}, {"from": "99999999999"}, {"from": "²"}])
def test_a_question_that_makes_no_sense_shows_now(ada_in, cast, herd, today, question):
    give(cast.kettle_bench, herd.cow, today, 5)
    assert listed(ada_in, **question)[1] == [herd.cow]


def test_the_list_leaves_as_csv_with_hour_and_cause(ada_in, cast, herd, today):
    at = datetime(today.year, today.month, today.day, 0, 1, tzinfo=cast.kettle_bench.zone)
    give(cast.kettle_bench, herd.cow, today, 5, happened_at=at)
    give(cast.kettle_bench, herd.heifer, today)
    answer = ada_in.get(reverse(PAGE), {"as": "csv"})
    rows = list(csv.DictReader(io.StringIO(answer.getvalue().decode("utf-8-sig"))))
    assert [row["Visual tag"] for row in rows] == ["417 yellow", "12 yellow"]
    assert rows[0]["Hour"] in {"00:01", "01:01", "23:01"}
    assert rows[1]["Free from"] == "not known"
    assert "penicillin" in rows[0]["Held by"]


@pytest.mark.parametrize("way", ["xlsx", "print"])
def test_the_list_leaves_as_sheet_and_page(ada_in, cast, herd, today, way):
    give(cast.kettle_bench, herd.cow, today, 5)
    assert ada_in.get(reverse(PAGE), {"as": way}).status_code == 200


def test_a_reader_sees_it_and_another_outfit_sees_nothing_of_it(cast, as_person, herd, today):
    give(cast.kettle_bench, herd.cow, today, 5)
    assert listed(as_person(cast.dot))[1] == [herd.cow]
    assert listed(as_person(cast.eve))[1] == []


def test_a_long_list_is_paged_with_the_same_few_queries(ada_in, cast, today, django_assert_max_num_queries):
    cows = [Animal(outfit=cast.kettle_bench, entry_class="cow", animal_class="cow") for _ in range(250)]
    Animal.objects.bulk_create(cows)
    data = {"product": "penicillin", "withdrawal_days": 5}
    events.record(
        entry=entry(cast.kettle_bench), events=[NewEvent(one.pk, "vaccination", today, data) for one in cows]
    )
    register(cast.kettle_bench, vid_tag("9"))
    with django_assert_max_num_queries(8):
        _, first = listed(ada_in)
    assert len(first) == 200
    _, rest = listed(ada_in, **{"from": "200"})
    assert {*first, *rest} == {one.pk for one in cows}
