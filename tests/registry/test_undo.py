"""Undo: whole, one animal's part, refused where later work builds on it, and taken back in turn."""

from collections.abc import Callable
from datetime import date
from uuid import UUID

import pytest

from herd.accounts.models import Outfit
from herd.ledger.entry import Source
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, Event, MissingTag, Tag, TagBox, TagWearing
from herd.registry.queries.export import export_outfit
from herd.registry.queries.history import history_of
from herd.registry.services import animals, events, groups, stock, tags
from herd.registry.services.batch import Batch, Edit, Join, NewAnimal, NewEvent, NewPlace, PutOn, TakeOff
from herd.registry.services.writer import write
from herd.registry.undo import UndoVerdict, judge, undo
from tests.cast import eid_tag, entry, register, vid_tag

EID, OTHER = "840270000000417", "840270000000418"
SPRING, FALL = date(2025, 3, 1), date(2025, 10, 14)


def latest() -> Changeset:
    last = Change.objects.order_by("-position").first()
    assert last is not None
    return last.changeset


def record_of(outfit: Outfit) -> list[dict]:
    return list(export_outfit(outfit))


def take_back(outfit: Outfit, target: Changeset, animal_id: UUID | None = None) -> UndoVerdict:
    return undo(entry(outfit, title="taken back"), target, animal_id)


def day_of_work(outfit: Outfit, first: UUID, second: UUID, group_id: UUID) -> Changeset:
    """A day that touches two cows: a retag, events, an edit, a move, and a new calf in a new group."""
    wearing = TagWearing.objects.get(animal=first, kind="eid", ended="", is_void=False)
    calf, lot = NewAnimal({"entry_class": "heifer", "dam_id": first}), NewPlace("group", {"name": "New Lot"})
    source = Source("chute.csv", 7)
    batch = Batch(
        places=[lot],
        animals=[calf],
        edits=[Edit(second, {"coat": "red"}, source=source)],
        take_off=[TakeOff(wearing.pk, FALL, "lost", source)],
        put_on=[PutOn(first, "eid", OTHER, worn_from=FALL, began="retagged", source=source)],
        events=[
            NewEvent(first, "pregnancy_check", FALL, {"result": "open"}, source=source),
            NewEvent(second, "sale", FALL, {}, source=source),
        ],
        joins=[Join(first, group_id, FALL), Join(calf.id, lot.id, FALL)],
    )
    return write(entry(outfit, title="Weaning"), batch)


@pytest.fixture
def herd(kettle_bench: Outfit) -> tuple[UUID, UUID, UUID]:
    """Two cows in Mill Trap, and Upper Bench to move them to."""
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    bench = groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    first = register(kettle_bench, eid_tag(EID), vid_tag("1"), group_id=trap, on=SPRING)
    return first, register(kettle_bench, vid_tag("2"), group_id=trap, on=SPRING), bench


def test_undo_brings_the_record_back_as_it_was(kettle_bench: Outfit, herd) -> None:
    before = record_of(kettle_bench)
    day = day_of_work(kettle_bench, *herd)
    assert record_of(kettle_bench) != before
    verdict = take_back(kettle_bench, day)
    assert verdict.is_possible
    assert verdict.count == Change.objects.filter(changeset=day).count()
    assert record_of(kettle_bench) == before
    day.refresh_from_db()
    assert day.is_undone


def test_judging_writes_nothing(kettle_bench: Outfit, herd) -> None:
    day = day_of_work(kettle_bench, *herd)
    before = Change.objects.count(), record_of(kettle_bench)
    assert judge(day).is_possible
    assert (Change.objects.count(), record_of(kettle_bench)) == before


def test_undo_of_an_undo_brings_the_work_and_its_sources_again(kettle_bench: Outfit, herd) -> None:
    before = record_of(kettle_bench)
    day = day_of_work(kettle_bench, *herd)
    after = record_of(kettle_bench)
    for _ in range(2):
        take_back(kettle_bench, day)
        assert record_of(kettle_bench) == before
        assert take_back(kettle_bench, latest()).is_possible
        assert record_of(kettle_bench) == after
        day.refresh_from_db()
        assert not day.is_undone
    assert history_of(kettle_bench, herd[0]).sources


def test_a_changeset_is_taken_back_once(kettle_bench: Outfit, herd) -> None:
    day = day_of_work(kettle_bench, *herd)
    take_back(kettle_bench, day)
    verdict = take_back(kettle_bench, day)
    assert (verdict.is_possible, verdict.reasons) == (False, ("There is nothing left to take back.",))


def test_one_animals_part_is_taken_back_alone(kettle_bench: Outfit, herd) -> None:
    first, second, _ = herd
    day = day_of_work(kettle_bench, *herd)
    assert take_back(kettle_bench, day, second).is_possible
    assert Animal.objects.get(pk=second).status == "on_hand"
    assert Animal.objects.get(pk=second).group_id is not None
    assert Animal.objects.get(pk=second).coat == ""
    assert Event.objects.of(kettle_bench).filter(animal=first).exists()
    day.refresh_from_db()
    assert not day.is_undone


def test_the_rest_is_taken_back_after_one_animals_part(kettle_bench: Outfit, herd) -> None:
    before = record_of(kettle_bench)
    day = day_of_work(kettle_bench, *herd)
    take_back(kettle_bench, day, herd[1])
    assert take_back(kettle_bench, day).is_possible
    assert record_of(kettle_bench) == before
    day.refresh_from_db()
    assert day.is_undone


def later_sale(outfit: Outfit, first: UUID, second: UUID) -> None:
    animals.correct(
        entry=entry(outfit, title="Later correction"),
        animal=Animal.objects.get(pk=second),
        facts={"coat": "brindle"},
        reason="seen again",
    )


def later_retag(outfit: Outfit, first: UUID, second: UUID) -> None:
    wearing = TagWearing.objects.get(animal=first, tag__number=OTHER)
    tags.take_off(entry=entry(outfit, title="Later loss"), wearing_id=wearing.pk, on=FALL, ended="lost")


def later_member(outfit: Outfit, first: UUID, second: UUID) -> None:
    lot = Animal.objects.get(dam=first).group_id
    register(outfit, group_id=lot, on=FALL)


def later_calf(outfit: Outfit, first: UUID, second: UUID) -> None:
    register(outfit, dam_id=Animal.objects.get(dam=first).pk)


def later_event_of_the_calf(outfit: Outfit, first: UUID, second: UUID) -> None:
    calf = Animal.objects.get(dam=first)
    events.record(
        entry=entry(outfit, title="Later note"), events=[NewEvent(calf.pk, "note", FALL, {"note": "lame"})]
    )


@pytest.mark.parametrize(
    ("later", "says"),
    [
        (later_sale, "“Later correction” has built on it"),
        (later_retag, "“Later loss” has built on it"),
        (later_event_of_the_calf, "“Later note” has built on it"),
        (later_member, "Animals have joined a group"),
        (later_calf, "A later calf has a dam"),
    ],
)
def test_undo_is_refused_where_later_work_builds_on_it(
    kettle_bench: Outfit, herd, later: Callable[[Outfit, UUID, UUID], None], says: str
) -> None:
    day = day_of_work(kettle_bench, *herd)
    later(kettle_bench, herd[0], herd[1])
    latest_work = latest()
    after = record_of(kettle_bench)
    verdict = take_back(kettle_bench, day)
    assert not verdict.is_possible
    assert any(says in reason for reason in verdict.reasons)
    assert record_of(kettle_bench) == after
    assert take_back(kettle_bench, latest_work).is_possible
    assert take_back(kettle_bench, day).is_possible


def test_later_work_on_one_animal_does_not_hinder_the_others_part(kettle_bench: Outfit, herd) -> None:
    day = day_of_work(kettle_bench, *herd)
    later_retag(kettle_bench, herd[0], herd[1])
    assert take_back(kettle_bench, day, herd[1]).is_possible


def test_work_brought_again_hinders_the_undo_of_what_lies_under_it(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, coat="black")
    under = latest()
    animals.correct(
        entry=entry(kettle_bench), animal=Animal.objects.get(pk=cow), facts={"coat": "red"}, reason="seen"
    )
    above = latest()
    take_back(kettle_bench, above)
    take_back(kettle_bench, latest())
    assert Animal.objects.get(pk=cow).coat == "red"
    assert not judge(under).is_possible
    assert take_back(kettle_bench, above).is_possible
    assert take_back(kettle_bench, under).is_possible


def test_work_is_not_brought_again_over_a_tag_worn_elsewhere(kettle_bench: Outfit) -> None:
    register(kettle_bench, eid_tag(EID))
    take_back(kettle_bench, latest())
    undone = latest()
    register(kettle_bench, eid_tag(EID))
    after = record_of(kettle_bench)
    verdict = take_back(kettle_bench, undone)
    assert not verdict.is_possible
    assert "can't stand beside" in verdict.reasons[0]
    assert record_of(kettle_bench) == after


def test_a_tag_used_again_hinders_the_undo_of_its_first_use(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench, vid_tag("9")), register(kettle_bench)
    made = TagWearing.objects.get(animal=first)
    day = Change.objects.get(subject_kind="wearing").changeset
    take_back(kettle_bench, day, first)
    assert TagWearing.objects.get(pk=made.pk).is_void
    tags.put_on(entry=entry(kettle_bench), tag=PutOn(second, "vid", "9", "yellow"))
    assert Tag.objects.of(kettle_bench).count() == 1
    verdict = take_back(kettle_bench, day)
    assert "A tag that it brought in is on another animal" in verdict.reasons[0]


def test_a_box_with_missing_numbers_is_not_taken_back(kettle_bench: Outfit) -> None:
    stock.receive(entry=entry(kettle_bench), kind="vid", first="100", last="199")
    box, received = TagBox.objects.get(), latest()
    stock.mark_missing(entry=entry(kettle_bench), box=box, number="107", reason="torn")
    assert not take_back(kettle_bench, received).is_possible
    assert take_back(kettle_bench, latest()).is_possible
    assert not MissingTag.objects.of(kettle_bench).exists()
    assert take_back(kettle_bench, received).is_possible


def test_another_outfits_changeset_is_refused(kettle_bench: Outfit, far_rim: Outfit) -> None:
    register(kettle_bench, eid_tag(EID))
    verdict = take_back(far_rim, latest())
    assert verdict.reasons == ("That changeset is not in this outfit's record.",)
    assert Animal.objects.of(kettle_bench).count() == 1
