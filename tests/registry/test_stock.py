"""Tag stock: boxes of numbers, what is used, missing and free in them, and the next free number."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herd.accounts.models import Outfit
from herd.ledger.models import Changeset
from herd.registry.models import MissingTag, TagBox, TagWearing
from herd.registry.queries import stock as queries
from herd.registry.queries.boxnumbers import Show, number_lines, number_page
from herd.registry.queries.stock import count_boxes, next_free, offers
from herd.registry.services import stock, tags
from herd.registry.services.batch import PutOn
from herd.registry.services.refused import Refused
from herd.registry.services.stock import NewBox
from herd.registry.undo import undo
from tests.cast import eid_tag, entry, register, vid_tag

FIRST, LAST = "840270000000500", "840270000000599"


def box_of(outfit: Outfit, first: str = FIRST, last: str = LAST, kind: str = "eid", **more: object) -> TagBox:
    ids = stock.receive_boxes(entry=entry(outfit), boxes=[NewBox(kind, first, last, **more)])
    return TagBox.objects.get(pk=ids[0])


def counted(box: TagBox) -> tuple[int, int, int, int, str]:
    one = count_boxes(box.outfit, [box])[0]
    return (one.total, one.used, one.missing, one.free, one.next_free)


def numbers(found: list[queries.FreeNumber]) -> list[str]:
    return [one.number for one in found]


@pytest.mark.parametrize(
    ("first", "last"),
    [(LAST, FIRST), (FIRST, "600"), ("KB100", "KC199"), ("100A", "199B")],
)
def test_a_box_that_runs_nowhere_is_refused(kettle_bench: Outfit, first: str, last: str) -> None:
    with pytest.raises(Refused, match=f"can't run from {first} to {last}"):
        stock.receive(entry=entry(kettle_bench), kind="vid", first=first, last=last)


def test_a_box_is_of_a_kind_of_tag(kettle_bench: Outfit) -> None:
    with pytest.raises(Refused, match="'ring' is no kind of tag"):
        stock.receive(entry=entry(kettle_bench), kind="ring", first="1", last="9")


@pytest.mark.parametrize(
    ("kind", "first", "last", "words"),
    [
        # ISO 11784: national numbers end at 274877906943.
        ("eid", "840274877906900", "840274877906999", "274877906943"),
        ("eid", "840270000000", "840270000099", "has 12 digits"),
        ("eid", "840270000000999", "841270000000100", "more than any box holds"),
        # eCVI Data Exchange Standard 3.1: two for the state, three letters, four digits.
        ("nues", "35ABC101", "35ABC199", "is not a metal tag number"),
        ("nues", "XXABC1001", "XXABC1100", "which is no state"),
    ],
)
def test_the_ends_of_a_box_are_numbers_of_its_kind(
    kettle_bench: Outfit, kind: str, first: str, last: str, words: str
) -> None:
    with pytest.raises(Refused, match=words):
        stock.receive(entry=entry(kettle_bench), kind=kind, first=first, last=last)


def test_a_number_of_a_box_is_marked_missing_once(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    stock.mark_missing(entry=entry(kettle_bench), box=box, number="840270000000510", reason="bent pin")
    with pytest.raises(Refused, match="marked missing already"):
        stock.mark_missing(entry=entry(kettle_bench), box=box, number="840270000000510", reason="again")
    with pytest.raises(IntegrityError), transaction.atomic():
        MissingTag.objects.create(outfit=kettle_bench, box=box, number="840270000000510")


@pytest.mark.parametrize("number", ["840270000000600", "510", "", "840270000000499"])
def test_a_number_outside_the_box_is_refused(kettle_bench: Outfit, number: str) -> None:
    box = box_of(kettle_bench)
    with pytest.raises(Refused, match="is not in the box"):
        stock.mark_missing(entry=entry(kettle_bench), box=box, number=number, reason="lost")


def test_a_box_of_another_outfit_is_refused(kettle_bench: Outfit, far_rim: Outfit) -> None:
    box = box_of(kettle_bench)
    with pytest.raises(Refused, match="not in this outfit's stock"):
        stock.mark_missing(entry=entry(far_rim), box=box, number=FIRST, reason="lost")


def test_a_box_that_shares_a_number_with_another_is_refused(kettle_bench: Outfit) -> None:
    box_of(kettle_bench)
    with pytest.raises(Refused, match=f"overlaps the box {FIRST} to {LAST}"):
        box_of(kettle_bench, "840270000000599", "840270000000700")
    with pytest.raises(Refused, match="overlaps"):
        box_of(kettle_bench)
    box_of(kettle_bench, "840270000000600", "840270000000700")


def test_boxes_of_one_delivery_share_no_number_either(kettle_bench: Outfit) -> None:
    boxes = [NewBox("vid", "1", "50"), NewBox("vid", "50", "90")]
    with pytest.raises(Refused, match="50 to 90 overlaps the box 1 to 50"):
        stock.receive_boxes(entry=entry(kettle_bench), boxes=boxes)
    assert not TagBox.objects.exists()


def test_visual_tags_begin_anew_in_another_colour_or_year(kettle_bench: Outfit) -> None:
    box_of(kettle_bench, "1", "300", "vid", colour="yellow", issuer_year=2025)
    box_of(kettle_bench, "1", "300", "vid", colour="white", issuer_year=2025)
    box_of(kettle_bench, "1", "300", "vid", colour="yellow", issuer_year=2026)
    with pytest.raises(Refused, match="Give the year of issue"):
        box_of(kettle_bench, "300", "400", "vid", colour="yellow", issuer_year=2026)


def test_another_outfits_boxes_hinder_nothing_and_count_nothing(kettle_bench: Outfit, far_rim: Outfit) -> None:
    box_of(far_rim)
    box = box_of(kettle_bench)
    register(far_rim, eid_tag(FIRST))
    assert counted(box) == (100, 0, 0, 100, FIRST)


def test_used_missing_and_free_numbers_are_counted(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    cow = register(kettle_bench, eid_tag(FIRST))
    register(kettle_bench, eid_tag("840270000000502"))
    stock.mark_missing(entry=entry(kettle_bench), box=box, number="840270000000501", reason="bent pin")
    assert counted(box) == (100, 2, 1, 97, "840270000000503")
    wearing = TagWearing.objects.get(animal=cow)
    tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=date(2025, 1, 1), ended="lost")
    assert counted(box)[1] == 2


def test_a_number_that_was_only_ever_an_error_is_free_again(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    wearing = TagWearing.objects.get(animal=register(kettle_bench, eid_tag(FIRST)))
    tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=date(2025, 1, 1), ended="data_error")
    assert counted(box) == (100, 0, 0, 100, FIRST)


def test_visual_numbers_of_all_lengths_are_counted_and_others_of_their_like_are_not(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench, "1", "300", "vid", colour="yellow")
    for number in ("1", "9", "10", "99", "100", "300", "301", "15B", "007", "1000"):
        register(kettle_bench, vid_tag(number))
    register(kettle_bench, vid_tag("50", "white"))
    register(kettle_bench, vid_tag("51", year=2026))
    assert counted(box) == (300, 6, 0, 294, "2")


def test_a_number_both_missing_and_worn_is_taken_once(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench, "840270000000500", "840270000000502")
    stock.mark_missing(entry=entry(kettle_bench), box=box, number=FIRST, reason="not in the bag")
    register(kettle_bench, eid_tag(FIRST))
    assert counted(box) == (3, 1, 1, 2, "840270000000501")


def test_a_worn_number_is_not_marked_missing(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    register(kettle_bench, eid_tag("840270000000505"))
    with pytest.raises(Refused, match="840270000000505 is on an animal now"):
        stock.mark_range(entry=entry(kettle_bench), box=box, first=FIRST, last=LAST, reason="burnt")


def test_a_range_is_marked_missing_and_found_again_in_one_changeset_each(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    stock.mark_missing(entry=entry(kettle_bench), box=box, number="840270000000511", reason="bent pin")
    marked = stock.mark_range(
        entry=entry(kettle_bench), box=box, first="840270000000510", last="840270000000519", reason="fell in the creek"
    )
    assert len(marked) == 9
    assert counted(box)[2] == 10
    found = stock.found_again(
        entry=entry(kettle_bench), box=box, first="840270000000512", last="840270000000530", reason="downstream"
    )
    assert len(found) == 8
    assert counted(box)[2] == 2
    with pytest.raises(Refused, match="None of these numbers is marked missing"):
        stock.found_again(entry=entry(kettle_bench), box=box, first=LAST, last=LAST, reason="no")


def test_found_again_is_taken_back_by_undo(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    stock.mark_missing(entry=entry(kettle_bench), box=box, number=FIRST, reason="lost")
    stock.found_again(entry=entry(kettle_bench), box=box, first=FIRST, last=FIRST, reason="in the truck")
    assert undo(entry(kettle_bench), Changeset.objects.order_by("recorded_at").last()).is_possible
    assert counted(box)[2] == 1


def test_too_many_numbers_at_once_are_refused(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench, "840270000000000", "840270000009999")
    with pytest.raises(Refused, match="10,000 numbers at once are too many"):
        stock.mark_range(entry=entry(kettle_bench), box=box, first=box.first, last=box.last, reason="lost")
    with pytest.raises(Refused, match="comes before"):
        stock.mark_range(entry=entry(kettle_bench), box=box, first=box.last, last=box.first, reason="lost")


def test_a_box_is_corrected_unless_missing_numbers_would_fall_out(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    stock.mark_missing(entry=entry(kettle_bench), box=box, number=LAST, reason="lost")
    with pytest.raises(Refused, match=f"{LAST} is marked missing, and would not be in the box"):
        stock.correct_box(
            entry=entry(kettle_bench), box=box, new=NewBox("eid", FIRST, "840270000000549"), reason="half a box"
        )
    longer = NewBox("eid", FIRST, "840270000000699", supplier="the co-op")
    stock.correct_box(entry=entry(kettle_bench), box=box, new=longer, reason="two hundred came")
    box.refresh_from_db()
    assert (counted(box)[0], box.supplier) == (200, "the co-op")


def test_a_box_taken_out_takes_its_missing_marks_along_and_comes_back_whole(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    stock.mark_missing(entry=entry(kettle_bench), box=box, number=LAST, reason="lost")
    stock.take_out(entry=entry(kettle_bench), box=box, reason="sent back")
    assert not TagBox.objects.of(kettle_bench).exists()
    assert not MissingTag.objects.of(kettle_bench).exists()
    assert undo(entry(kettle_bench), Changeset.objects.order_by("recorded_at").last()).is_possible
    assert counted(TagBox.objects.of(kettle_bench).get()) == (100, 0, 1, 99, FIRST)


def test_the_next_free_numbers_come_from_the_oldest_box_on(kettle_bench: Outfit) -> None:
    box_of(kettle_bench, "840270000000700", "840270000000701", received_on=date(2026, 2, 1))
    box_of(kettle_bench, "840270000000800", "840270000000801", received_on=date(2025, 2, 1))
    register(kettle_bench, eid_tag("840270000000800"))
    assert numbers(next_free(kettle_bench, "eid", count=5)) == [
        "840270000000801",
        "840270000000700",
        "840270000000701",
    ]


def test_one_number_of_each_kind_and_colour_is_offered(kettle_bench: Outfit) -> None:
    box_of(kettle_bench, FIRST, FIRST)
    box_of(kettle_bench, "840270000000600", "840270000000699")
    box_of(kettle_bench, "1", "9", "vid", colour="yellow")
    box_of(kettle_bench, "1", "9", "vid", colour="white")
    register(kettle_bench, eid_tag(FIRST))
    register(kettle_bench, vid_tag("1"))
    assert [(one.number, one.colour) for one in offers(kettle_bench)] == [
        ("840270000000600", ""),
        ("1", "white"),
        ("2", "yellow"),
    ]
    assert numbers(offers(kettle_bench, ["eid"])) == ["840270000000600"]


def test_a_box_of_a_million_is_searched_by_halves(
    kettle_bench: Outfit, django_assert_max_num_queries: object
) -> None:
    box = box_of(kettle_bench, "840270000000000", "840270000999999")
    for at in (0, 1, 700_000):
        register(kettle_bench, eid_tag(f"840270000{at:06d}"))
    with django_assert_max_num_queries(30):
        assert counted(box) == (1_000_000, 3, 0, 999_997, "840270000000002")


def test_many_boxes_are_counted_in_few_queries(kettle_bench: Outfit, django_assert_num_queries: object) -> None:
    boxes = [box_of(kettle_bench, f"84027000000{at}000", f"84027000000{at}999") for at in range(9)]
    with django_assert_num_queries(3):
        assert [one.free for one in count_boxes(kettle_bench, boxes)] == [1000] * 9


def test_the_numbers_of_a_box_are_paged_and_each_list_is_whole(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("herd.registry.queries.boxnumbers.STEP", 3)
    box = box_of(kettle_bench, "5", "14", "vid", colour="yellow")
    cow = register(kettle_bench, vid_tag("9"), vid_tag("10"))
    stock.mark_range(entry=entry(kettle_bench), box=box, first="11", last="12", reason="torn")
    shown = {show: [line.number for line in number_lines(box, show)] for show in Show}
    assert shown == {
        Show.ALL: [str(number) for number in range(5, 15)],
        Show.FREE: ["5", "6", "7", "8", "13", "14"],
        Show.USED: ["9", "10"],
        Show.MISSING: ["11", "12"],
    }
    nine, ten, eleven = number_page(box, Show.ALL, "8", 3)
    assert (nine.wearing.animal_id, ten.wearing.animal_id, eleven.missing.reason) == (cow, cow, "torn")


def test_under_a_number_worn_twice_stands_who_wears_it_now(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench, "1", "9", "vid", colour="yellow")
    first, second = register(kettle_bench, vid_tag("4")), register(kettle_bench)
    wearing = TagWearing.objects.get(animal=first)
    tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=date(2025, 1, 1), ended="removed")
    tags.put_on(entry=entry(kettle_bench), tag=PutOn(second, "vid", "4", "yellow", worn_from=date(2025, 2, 1)))
    assert number_page(box, Show.USED, "", 9)[0].wearing.animal_id == second


@given(
    used=st.sets(st.integers(90, 130), max_size=12),
    missing=st.sets(st.integers(90, 130), max_size=8),
)
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_free_numbers_are_just_those_neither_used_nor_missing(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch, used: set[int], missing: set[int]
) -> None:
    monkeypatch.setattr(queries, "SHORT", 4)
    with transaction.atomic():
        box = box_of(kettle_bench, "90", "130", "vid", colour="yellow")
        for number in missing:
            stock.mark_missing(entry=entry(kettle_bench), box=box, number=str(number), reason="x")
        register(kettle_bench, *(vid_tag(str(number)) for number in used))
        free = [str(number) for number in range(90, 131) if number not in used | missing]
        assert numbers(next_free(kettle_bench, "vid", "yellow", 99)) == free
        assert counted(box) == (41, len(used), len(missing), len(free), free[0] if free else "")
        transaction.set_rollback(True)
