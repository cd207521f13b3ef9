"""The page of gains: asked by group, by kept list and by picked animals, and how it leaves."""

import csv
import io
from datetime import date

import pytest
from django.urls import reverse

from herd.registry.services import events, groups, lists
from herd.registry.services.batch import NewEvent
from tests.cast import entry, register, vid_tag
from tests.office.conftest import weigh

GAIN, BEHIND = "office:report-gain", "office:report-gain-animals"
ASKED = {"since": "2025-01-01", "until": "2025-12-31"}


def text(answer):
    return " ".join(answer.content.decode().split())


def rows(answer):
    return list(csv.DictReader(io.StringIO(b"".join(answer).decode().removeprefix("\ufeff"))))


@pytest.fixture
def pen(cast):
    """Steers 1, 2 and 3 of Pen 4: 1 gains, 2 was weighed on one day, 3 died."""
    bench = cast.kettle_bench
    group = groups.open_group(entry=entry(bench), name="Pen 4")
    start = date(2025, 1, 1)
    ids = [
        register(bench, vid_tag(str(number)), animal_class="steer", on=start, group_id=group) for number in (1, 2, 3)
    ]
    for one in ids:
        weigh(bench, one, start, "600")
    weigh(bench, ids[0], date(2025, 9, 10), "1200")
    events.record(entry=entry(bench), events=[NewEvent(ids[2], "death", date(2025, 2, 1), {})])
    return group, ids


def test_a_group_shows_each_gain_and_says_why_another_has_none(ada_in, pen):
    page = text(ada_in.get(reverse(GAIN), {"group": str(pen[0]), **ASKED}))
    # A 4-H teaching sheet: 600 to 1,200 lb in 252 days is 2.4 lb a day (2.38).
    assert 'aria-label="2.38 lb a day, gain of 1 yellow">2.38</a></strong>' in page
    assert "Weighed on one day only" in page
    assert "died Feb 1, 2025" in page
    assert "With the dead in" in page
    assert reverse("office:animal", args=[pen[1][0]]) in page


@pytest.mark.parametrize(
    ("what", "said", "head"),
    [
        ("mean", "sum of the daily gains / head with a gain", 1),
        ("with-the-dead", "Died Feb 1, 2025.", 2),
        ("without-the-dead", "of those that lived", 1),
        ("gained", "600 lb on Jan 1, 2025 to 1200 lb on Sep 10, 2025. 2.38 lb a day.", 1),
        ("died", "dead in this time", 1),
        ("left-out", "Weighed on one day only", 1),
        ("head-{0}", "first weight 600 lb, last weight 1,200 lb, days between 252", 1),
    ],
)
def test_each_figure_opens_how_it_was_made_and_its_animals(ada_in, pen, what, said, head):
    group, ids = pen
    asked = {"group": str(group), **ASKED, "what": what.format(ids[0])}
    answer = ada_in.get(reverse(BEHIND), asked)
    assert said in text(answer)
    assert answer.context["heads"] == head
    # Of picked animals the same, by a form that carries them.
    posted = ada_in.post(f"{reverse(BEHIND)}?what={asked['what']}", {"animals": [str(one) for one in ids], **ASKED})
    assert said in text(posted)
    assert f'name="animals" value="{",".join(map(str, ids))}"' in text(posted)


def test_a_figure_that_is_none_is_not_found(ada_in, pen):
    assert ada_in.get(reverse(BEHIND), {"group": str(pen[0]), "what": "tides"}).status_code == 404
    assert ada_in.get(reverse(BEHIND)).url == reverse(GAIN)


def test_the_file_has_the_same_with_plain_figures(ada_in, pen):
    lines = rows(ada_in.get(reverse(GAIN), {"group": str(pen[0]), **ASKED, "as": "csv"}))
    assert [one["Visual tag"] for one in lines] == ["1 yellow", "3 yellow", "2 yellow"]
    assert (lines[0]["First weight, lb"], lines[0]["Days"], lines[0]["Gain, lb a day"]) == ("600", "252", "2.38")
    assert lines[1]["Died"] == "2025-02-01"
    assert lines[2]["Remark"].startswith("Weighed on one day only")


def test_it_leaves_in_every_way_by_group_and_picked(ada_in, pen):
    for way in ("csv", "xlsx", "pdf", "print"):
        assert ada_in.get(reverse(GAIN), {"group": str(pen[0]), **ASKED, "as": way}).status_code == 200
        answer = ada_in.post(f"{reverse(GAIN)}?as={way}", {"animals": [str(one) for one in pen[1]], **ASKED})
        assert answer.status_code == 200


def test_picked_animals_are_carried_with_the_days(ada_in, pen):
    picked = ",".join(str(one) for one in pen[1][:2])
    page = text(ada_in.post(reverse(GAIN), {"animals": picked, **ASKED}))
    assert "<strong>2 head</strong> are picked" in page
    assert f'name="animals" value="{picked}"' in page
    assert "2.38" in page
    assert 'value="2025-01-01"' in page


def test_a_kept_list_names_the_animals_that_answer_it(ada_in, cast, pen):
    facts = {"name": "Steers", "question": "class=steer"}
    kept = lists.add(entry=entry(cast.kettle_bench), subject="herd_list", facts=facts)
    page = ada_in.get(reverse(GAIN), {"kept": str(kept), **ASKED})
    # The dead one answers no question about the herd on hand.
    assert {one.gain.animal_id for one in page.context["lines"]} == set(pen[1][:2])
    assert "Gain of Steers" in text(page)


def test_a_link_with_a_group_alone_shows_the_days_that_are_meant(ada_in, cast, pen):
    answer = ada_in.get(reverse(GAIN), {"group": str(pen[0])})
    first, last = answer.context["first"], answer.context["last"]
    assert (last - first).days == 365
    assert f'value="{first}"' in text(answer)
    assert f'value="{last}"' in text(answer)


def test_without_a_question_it_says_what_to_do(ada_in, cast):
    assert "Choose a group or a kept list" in text(ada_in.get(reverse(GAIN)))
    answer = ada_in.get(reverse(GAIN), ASKED)
    assert answer.context["form"].errors["group"] == ["Choose a group or a kept list."]


def test_nobody_picked_is_no_error_but_the_form(ada_in, cast):
    assert "Choose a group or a kept list" in text(ada_in.post(reverse(GAIN)))


def test_an_empty_group_says_so_and_offers_another(ada_in, cast):
    empty = groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")
    assert "Mill Trap held nobody" in text(ada_in.get(reverse(GAIN), {"group": str(empty), **ASKED}))


def test_days_that_cannot_be_read_stand_beside_their_field(ada_in, pen):
    answer = ada_in.get(reverse(GAIN), {"group": str(pen[0]), "since": "2025-02-31", "until": "2025-12-31"})
    assert "since" in answer.context["form"].errors
    assert "2.38" in text(answer)


def test_another_outfits_group_and_animals_are_unknown(ada_in, cast):
    far = groups.open_group(entry=entry(cast.far_rim), name="Rim Pen")
    theirs = register(cast.far_rim, group_id=far)
    answer = ada_in.get(reverse(GAIN), {"group": str(far), **ASKED})
    assert "group" in answer.context["form"].errors
    assert "Rim Pen" not in text(answer)
    assert "Choose a group" in text(ada_in.post(reverse(GAIN), {"animals": str(theirs)}))


def test_a_long_list_goes_on_over_pages_with_few_queries(ada_in, cast, django_assert_max_num_queries):
    bench = cast.kettle_bench
    group = groups.open_group(entry=entry(bench), name="Big Pen")
    for number in range(203):
        register(bench, vid_tag(str(number)), on=date(2025, 1, 1), group_id=group)
    with django_assert_max_num_queries(14):
        first = ada_in.get(reverse(GAIN), {"group": str(group), **ASKED})
    second = ada_in.get(f"{reverse(GAIN)}{first.context['page'].next}")
    assert (len(first.context["lines"]), len(second.context["lines"])) == (200, 3)
