"""Doubtful tags: each check finds what it is for, leaves the sound alone, and goes on where a page ended."""

from datetime import date

import pytest

from herd.accounts.models import Outfit
from herd.registry.models import TagBox, TagWearing
from herd.registry.queries import doubtfultags
from herd.registry.queries.doubtfultags import CHECKS, count_up_to, doubts_of, page_of
from herd.registry.services import events, stock, tags
from herd.registry.services.batch import NewEvent, PutOn
from herd.registry.services.stock import NewBox
from tests.cast import eid_tag, entry, register, vid_tag

EID = "840270000000417"


def found(outfit: Outfit, check: str) -> list[tuple[str, str]]:
    return [(doubt.number, doubt.reason) for doubt in doubts_of(outfit, check)]


def numbers(outfit: Outfit, check: str) -> list[str]:
    return [doubt.number for doubt in doubts_of(outfit, check)]


def test_a_sound_herd_raises_no_doubt(kettle_bench: Outfit) -> None:
    register(kettle_bench, eid_tag(EID), vid_tag("417"), {"kind": "nues", "number": "35ABC1234"})
    register(kettle_bench, vid_tag("418"))
    assert {check: found(kettle_bench, check) for check in CHECKS} == {check: [] for check in CHECKS}


def test_numbers_that_look_wrong_are_told_with_their_reason(kettle_bench: Outfit, far_rim: Outfit) -> None:
    # ICAR: 999 is for tests.
    cow = register(kettle_bench, eid_tag("999000000001337"), vid_tag("4O7"))
    register(far_rim, eid_tag("999000000001338"))
    doubts = list(doubts_of(kettle_bench, "numbers"))
    assert [(one.number, one.animal_id) for one in doubts] == [("999000000001337", cow), ("4O7", cow)]
    assert "is for tests" in doubts[0].reason
    assert "may be 407" in doubts[1].reason


def test_animals_not_on_hand_and_tags_that_came_off_raise_no_doubt(kettle_bench: Outfit) -> None:
    sold = register(kettle_bench, eid_tag("999000000001337"))
    events.record(entry=entry(kettle_bench), events=[NewEvent(sold, "sale", date(2025, 5, 1))])
    cow = register(kettle_bench, eid_tag("999000000001338"), vid_tag("1"))
    gone = TagWearing.objects.get(animal=cow, kind="eid")
    tags.take_off(entry=entry(kettle_bench), wearing_id=gone.pk, on=date(2025, 5, 1), ended="broken")
    assert found(kettle_bench, "numbers") == []
    assert found(kettle_bench, "untagged") == []


def test_one_number_on_two_animals_is_told_for_each(kettle_bench: Outfit) -> None:
    register(kettle_bench, vid_tag("112", "yellow"))
    register(kettle_bench, vid_tag("112", "white"))
    register(kettle_bench, vid_tag("5", year=2024))
    register(kettle_bench, vid_tag("5", year=2026))
    register(kettle_bench, {"kind": "eid", "number": EID, "colour": "white"})
    register(kettle_bench, eid_tag(EID))
    assert found(kettle_bench, "twice") == [
        (EID, f"EID {EID} is on 2 animals."),
        (EID, f"EID {EID} is on 2 animals."),
        ("112", "112 is on 2 animals; the others in yellow."),
        ("112", "112 is on 2 animals; the others in white."),
        ("5", "5 yellow is on 2 animals, told apart by the year of issue alone."),
        ("5", "5 yellow is on 2 animals, told apart by the year of issue alone."),
    ]


def test_an_animal_without_any_tag_is_told(kettle_bench: Outfit) -> None:
    bare = register(kettle_bench)
    assert [one.animal_id for one in doubts_of(kettle_bench, "untagged")] == [bare]


def test_a_second_eid_is_told_unless_it_has_its_reason(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    tags.put_on(entry=entry(kettle_bench), tag=PutOn(cow, "eid", "840270000000418", second_reason="export"))
    assert found(kettle_bench, "second") == []
    TagWearing.objects.filter(is_second=True).update(second_reason="")
    assert numbers(kettle_bench, "second") == ["840270000000418"]


def test_a_number_marked_missing_that_is_worn_is_told_with_its_box(kettle_bench: Outfit) -> None:
    box = TagBox.objects.get(
        pk=stock.receive(entry=entry(kettle_bench), kind="vid", first="1", last="9", colour="yellow")
    )
    stock.mark_range(entry=entry(kettle_bench), box=box, first="4", last="6", reason="lost")
    cow = register(kettle_bench, vid_tag("5"))
    register(kettle_bench, vid_tag("4", "white"))
    register(kettle_bench, vid_tag("6", year=2026))
    (doubt,) = doubts_of(kettle_bench, "missing")
    assert (doubt.number, doubt.animal_id, doubt.box_id) == ("5", cow, box.pk)


def test_tags_from_no_box_are_told_where_boxes_cover_their_series(kettle_bench: Outfit) -> None:
    boxes = [
        NewBox("eid", "840270000000400", "840270000000499", received_on=date(2025, 1, 1)),
        NewBox("eid", "840270000000600", "840270000000699", received_on=date(2025, 6, 1)),
        NewBox("vid", "1", "120", colour="yellow", received_on=date(2025, 1, 1)),
    ]
    stock.receive_boxes(entry=entry(kettle_bench), boxes=boxes)
    for number in ("840270000000400", "840270000000650", "840270000000500", "840270000000700", "982000000000012"):
        register(kettle_bench, eid_tag(number), on=date(2025, 7, 1))
    register(kettle_bench, eid_tag("840270000000001"), on=date(2024, 7, 1))
    for number, colour in (("120", "yellow"), ("121", "yellow"), ("121", "white"), ("99A", "yellow")):
        register(kettle_bench, vid_tag(number, colour), on=date(2025, 7, 1))
    assert numbers(kettle_bench, "outside") == ["840270000000500", "840270000000700", "121"]


def test_pages_put_together_are_the_whole_list(kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doubtfultags, "STEP", 2)
    for at in range(7):
        register(kettle_bench, eid_tag(f"99900000000133{at}"), vid_tag("9", year=2010 + at))
    for check, count in (("numbers", 7), ("twice", 7)):
        pages: list[str] = []
        after = ""
        while True:
            page, after = page_of(kettle_bench, check, after, 3)
            pages += [one.number for one in page]
            if not after:
                break
        assert pages == numbers(kettle_bench, check)
        assert len(pages) == count


def test_a_place_that_is_none_begins_at_the_start(kettle_bench: Outfit) -> None:
    register(kettle_bench, eid_tag("999000000001337"))
    assert page_of(kettle_bench, "numbers", "no such key", 5) == page_of(kettle_bench, "numbers", "", 5)


def test_counting_stops_above_the_most(kettle_bench: Outfit) -> None:
    for _ in range(4):
        register(kettle_bench)
    assert (count_up_to(kettle_bench, "untagged", 2), count_up_to(kettle_bench, "untagged", 9)) == (3, 4)


def test_a_large_herd_is_looked_through_in_few_queries(
    kettle_bench: Outfit, django_assert_max_num_queries: object
) -> None:
    for at in range(40):
        register(kettle_bench, eid_tag(f"8402700000009{at:02d}"), vid_tag(str(at)))
    stock.receive(entry=entry(kettle_bench), kind="eid", first="840270000000900", last="840270000000999")
    with django_assert_max_num_queries(12):
        assert sum(count_up_to(kettle_bench, check, 200) for check in CHECKS) == 0
