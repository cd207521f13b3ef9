"""Two records of one animal made one, and one record of two animals made two; nothing of either is lost."""

from datetime import date
from typing import Any
from uuid import UUID

import pytest

from herd.accounts.models import Outfit
from herd.ledger.entry import Source
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, Event, GroupMembership, TagWearing
from herd.registry.queries.export import export_outfit
from herd.registry.queries.find import find_animals
from herd.registry.queries.history import history_of
from herd.registry.queries.merged import Parts, kept_for, original_parts, standing_for
from herd.registry.services import animals, events, groups, merging, tags
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent, PutOn
from herd.registry.services.merge_rows import MergeChoices
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from herd.registry.undo import UndoVerdict, undo
from tests.cast import eid_tag, entry, register, vid_tag

KEPT_EID, OTHER_EID = "840270000000417", "840270000000418"
SPRING, FALL, TODAY = date(2025, 3, 1), date(2025, 10, 14), date(2026, 5, 1)
FILE = Source("herd list.csv", 12)


def record_of(outfit: Outfit) -> list[dict]:
    return list(export_outfit(outfit))


def latest() -> Changeset:
    last = Change.objects.order_by("-position").first()
    assert last is not None
    return last.changeset


def take_back(outfit: Outfit, target: Changeset, animal_id: UUID | None = None) -> UndoVerdict:
    return undo(entry(outfit, title="taken back"), target, animal_id)


def merge(outfit: Outfit, kept: UUID, other: UUID, **choices: Any) -> Changeset:
    merging.merge(
        entry=entry(outfit, title="Merged"),
        kept_id=kept,
        other_id=other,
        choices=MergeChoices(**{"on": TODAY, "eid": "kept", "group": "kept", **choices}),
        reason="read from the same cow",
    )
    return latest()


def split(outfit: Outfit, animal: UUID, merged: UUID | None = None, parts: Parts | None = None, **facts: Any) -> UUID:
    if parts is None:
        assert merged is not None
        parts = original_parts(outfit, animal, merged)
    return merging.split(
        entry=entry(outfit, title="Split"),
        animal_id=animal,
        parts=parts,
        reason="they stood side by side",
        merged_id=merged,
        facts=facts,
    )


def test_sources_of_the_twofold_cow(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    merge(kettle_bench, kept, other)
    row = next(one for one in record_of(kettle_bench)[1:] if one["id"] == str(kept))
    assert row["sources"]["coat"] == {"file": FILE.file, "line": FILE.line}
    assert {one["number"]: one["source"] for one in row["tags"]}["12"] == {"file": FILE.file, "line": FILE.line}


@pytest.fixture
def twofold(kettle_bench: Outfit) -> tuple[UUID, UUID]:
    """One cow recorded twice: each with an EID, a group, a weight they share and a calf; the other from a file."""
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    bench = groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    kept = register(kettle_bench, eid_tag(KEPT_EID), vid_tag("417"), group_id=trap, on=SPRING)
    other = NewAnimal({"entry_class": "cow", "coat": "red", "entered_on": date(2025, 1, 1)}, source=FILE)
    weighed = {"weight": "1200", "unit": "lb"}
    batch = Batch(
        animals=[other],
        put_on=[
            PutOn(other.id, "eid", OTHER_EID, worn_from=SPRING, source=FILE),
            PutOn(other.id, "vid", "12", "white", worn_from=SPRING, source=FILE),
        ],
        events=[
            NewEvent(kept, "weight", FALL, weighed, weight_ng=1200 * 453_592_370_000),
            NewEvent(other.id, "weight", FALL, weighed, weight_ng=1200 * 453_592_370_000, source=FILE),
            NewEvent(other.id, "note", FALL, {"note": "limps"}, source=FILE),
        ],
        joins=[Join(other.id, bench, SPRING, FILE)],
    )
    write(entry(kettle_bench, title="List"), batch)
    dam = register(kettle_bench, vid_tag("900"))
    events.record(
        entry=entry(kettle_bench),
        events=[NewEvent(dam, "calving", date(2024, 4, 1), {"calf": str(other.id), "outcome": "live"})],
    )
    register(kettle_bench, vid_tag("88"), animal_class="heifer", dam_id=other.id, born_on=date(2025, 4, 1))
    return kept, other.id


def test_all_that_stood_on_the_other_stands_on_the_record_kept(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    merge(kettle_bench, kept, other)
    row = Animal.objects.get(pk=other)
    assert (row.is_void, row.same_as_id, standing_for(kettle_bench)) == (True, kept, {other: kept})
    worn = {one.tag.number: one.ended for one in TagWearing.objects.of(kettle_bench).filter(animal=kept)}
    assert worn == {KEPT_EID: "", "417": "", OTHER_EID: "data_error", "12": ""}
    assert Animal.objects.of(kettle_bench).get(dam=kept).animal_class == "heifer"
    assert Event.objects.of(kettle_bench).get(kind="calving").data["calf"] == str(kept)
    assert Event.objects.of(kettle_bench).filter(animal=kept, kind="weight").count() == 1
    assert Event.objects.of(kettle_bench).filter(animal=kept, kind="note").exists()
    assert not Event.objects.of(kettle_bench).filter(animal=other).exists()
    assert Animal.objects.get(pk=kept).entered_on == date(2025, 1, 1)


def test_a_number_of_the_merged_record_finds_the_one_kept(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    merge(kettle_bench, kept, other)
    assert [hit.animal.pk for hit in find_animals(kettle_bench, OTHER_EID)] == [kept]
    assert kept_for(kettle_bench, other) == kept
    assert kept_for(kettle_bench, kept) is None


@pytest.mark.parametrize("group", ["kept", "other"])
def test_of_two_groups_the_chosen_one_stands(kettle_bench: Outfit, twofold, group: str) -> None:
    kept, other = twofold
    wanted = Animal.objects.get(pk=kept if group == "kept" else other).group_id
    merge(kettle_bench, kept, other, group=group)
    assert Animal.objects.get(pk=kept).group_id == wanted
    assert GroupMembership.objects.of(kettle_bench).filter(animal=kept, left_on=None).count() == 1
    assert GroupMembership.objects.of(kettle_bench).filter(animal=kept).count() == 2


def test_one_group_on_both_counts_once_from_the_earlier_day(kettle_bench: Outfit) -> None:
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    kept = register(kettle_bench, vid_tag("1"), group_id=trap, on=FALL)
    other = register(kettle_bench, vid_tag("2"), group_id=trap, on=SPRING)
    before = record_of(kettle_bench)
    done = merge(kettle_bench, kept, other)
    assert GroupMembership.objects.of(kettle_bench).get(animal=kept).joined_on == SPRING
    assert take_back(kettle_bench, done).is_possible
    assert record_of(kettle_bench) == before


def test_a_second_eid_stays_on_with_its_reason(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    before = record_of(kettle_bench)
    done = merge(kettle_bench, kept, other, eid="both", second_reason="Canadian tag kept")
    second = TagWearing.objects.of(kettle_bench).get(animal=kept, is_second=True)
    assert (second.tag.number, second.second_reason) == (OTHER_EID, "Canadian tag kept")
    take_back(kettle_bench, done)
    assert record_of(kettle_bench) == before


def test_the_others_eid_may_be_the_one_that_stays(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    before = record_of(kettle_bench)
    done = merge(kettle_bench, kept, other, eid="other", ended="lost", group="other")
    ended = TagWearing.objects.of(kettle_bench).get(animal=kept, tag__number=KEPT_EID)
    assert (ended.ended, ended.worn_to) == ("lost", TODAY)
    assert take_back(kettle_bench, done).is_possible
    assert record_of(kettle_bench) == before


@pytest.mark.parametrize(
    ("choices", "says"),
    [
        ({"eid": ""}, "say which one stays on"),
        ({"eid": "both"}, "Say why"),
        ({"group": ""}, "in two groups"),
    ],
)
def test_a_choice_that_is_missing_is_asked_for(kettle_bench: Outfit, twofold, choices: dict, says: str) -> None:
    before = record_of(kettle_bench)
    with pytest.raises(Refused, match=says):
        merge(kettle_bench, *twofold, **choices)
    assert record_of(kettle_bench) == before


def test_an_event_on_both_may_have_happened_twice(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    apart = Event.objects.of(kettle_bench).get(animal=other, kind="weight").pk
    merge(kettle_bench, kept, other, apart=frozenset([apart]))
    assert Event.objects.of(kettle_bench).filter(animal=kept, kind="weight").count() == 2


def test_a_sale_on_the_other_ends_the_membership_of_the_one_kept(kettle_bench: Outfit) -> None:
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    kept, other = register(kettle_bench, vid_tag("1"), group_id=trap), register(kettle_bench, vid_tag("2"))
    events.record(entry=entry(kettle_bench), events=[NewEvent(other, "sale", FALL)])
    before = record_of(kettle_bench)
    done = merge(kettle_bench, kept, other)
    assert Animal.objects.get(pk=kept).status == "sold"
    assert GroupMembership.objects.of(kettle_bench).get(animal=kept).left_on == FALL
    assert take_back(kettle_bench, done).is_possible
    assert record_of(kettle_bench) == before


def test_dam_and_calf_are_never_one_animal(kettle_bench: Outfit) -> None:
    dam = register(kettle_bench, vid_tag("1"))
    calf = register(kettle_bench, vid_tag("2"), animal_class="heifer", dam_id=dam)
    for kept, other in ((dam, calf), (calf, dam)):
        with pytest.raises(Refused, match="dam or sire"):
            merge(kettle_bench, kept, other)


def test_a_grandam_is_not_merged_into_her_grandcalf(kettle_bench: Outfit) -> None:
    grandam = register(kettle_bench, vid_tag("1"))
    dam = register(kettle_bench, vid_tag("2"), dam_id=grandam)
    calf = register(kettle_bench, vid_tag("3"), animal_class="heifer", dam_id=dam)
    with pytest.raises(Refused, match="own ancestor"):
        merge(kettle_bench, calf, grandam)


def test_a_dam_and_a_sire_are_never_one_animal(kettle_bench: Outfit) -> None:
    dam = register(kettle_bench, vid_tag("1"))
    sire = register(kettle_bench, vid_tag("2"), animal_class="bull")
    register(kettle_bench, dam_id=dam, animal_class="heifer")
    register(kettle_bench, sire_id=sire, animal_class="heifer")
    with pytest.raises(Refused, match="can’t be both"):
        merge(kettle_bench, dam, sire)


def test_another_outfits_animal_is_not_merged(kettle_bench: Outfit, far_rim: Outfit) -> None:
    with pytest.raises(Refused, match="of this outfit"):
        merge(kettle_bench, register(kettle_bench), register(far_rim))


def test_undo_of_a_merge_brings_both_back_as_they_were(kettle_bench: Outfit, twofold) -> None:
    before = record_of(kettle_bench)
    done = merge(kettle_bench, *twofold)
    merged = record_of(kettle_bench)
    for _ in range(2):
        assert take_back(kettle_bench, done).is_possible
        assert record_of(kettle_bench) == before
        assert take_back(kettle_bench, latest()).is_possible
        assert record_of(kettle_bench) == merged


def test_a_merge_is_not_taken_back_in_part(kettle_bench: Outfit, twofold) -> None:
    done = merge(kettle_bench, *twofold)
    for animal in twofold:
        verdict = take_back(kettle_bench, done, animal)
        assert not verdict.is_possible
        assert "taken back whole" in verdict.reasons[0]


def later_note(outfit: Outfit, kept: UUID) -> None:
    events.record(entry=entry(outfit, title="Later note"), events=[NewEvent(kept, "note", TODAY, {"note": "fat"})])


def later_loss(outfit: Outfit, kept: UUID) -> None:
    wearing = TagWearing.objects.of(outfit).get(animal=kept, tag__number="12")
    tags.take_off(entry=entry(outfit, title="Later loss"), wearing_id=wearing.pk, on=TODAY, ended="lost")


def later_fact(outfit: Outfit, kept: UUID) -> None:
    animals.correct(
        entry=entry(outfit, title="Later fact"), animal=Animal.objects.get(pk=kept), facts={"coat": "roan"}, reason="x"
    )


@pytest.mark.parametrize("later", [later_note, later_loss, later_fact])
def test_later_work_on_the_merged_record_hinders_the_undo(kettle_bench: Outfit, twofold, later) -> None:
    before = record_of(kettle_bench)
    done = merge(kettle_bench, *twofold)
    later(kettle_bench, twofold[0])
    work = latest()
    verdict = take_back(kettle_bench, done)
    assert "has built on it" in verdict.reasons[0]
    assert take_back(kettle_bench, work).is_possible
    assert take_back(kettle_bench, done).is_possible
    assert record_of(kettle_bench) == before


def test_work_before_the_merge_does_not_hinder_its_undo(kettle_bench: Outfit, twofold) -> None:
    later_note(kettle_bench, twofold[0])
    assert take_back(kettle_bench, merge(kettle_bench, *twofold)).is_possible


@pytest.mark.parametrize("eid", ["kept", "other", "both"])
def test_merge_and_split_with_the_same_parts_give_the_record_as_it_was(kettle_bench: Outfit, twofold, eid: str) -> None:
    kept, other = twofold
    before = record_of(kettle_bench)
    merge(kettle_bench, kept, other, eid=eid, second_reason="two", group="other")
    merged = record_of(kettle_bench)
    assert split(kettle_bench, kept, other) == other
    assert record_of(kettle_bench) == before
    assert take_back(kettle_bench, latest()).is_possible
    assert record_of(kettle_bench) == merged


def test_split_long_after_leaves_later_work_where_it_was_put(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    merge(kettle_bench, kept, other)
    later_loss(kettle_bench, kept)
    later_note(kettle_bench, kept)
    later_fact(kettle_bench, kept)
    note = Event.objects.of(kettle_bench).get(animal=kept, happened_on=TODAY)
    first = original_parts(kettle_bench, kept, other)
    split(kettle_bench, kept, other, Parts(first.wearings, first.stays, first.events | {note.pk}, first.calves))
    note.refresh_from_db()
    assert note.animal_id == other
    assert Animal.objects.get(pk=kept).coat == "roan"
    lost = TagWearing.objects.of(kettle_bench).get(animal=other, tag__number="12")
    assert (lost.ended, lost.worn_to) == ("lost", TODAY)
    assert TagWearing.objects.of(kettle_bench).get(animal=other, tag__number=OTHER_EID).is_open
    assert kept_for(kettle_bench, other) is None


def test_nothing_is_opened_beside_what_was_opened_since(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    merge(kettle_bench, kept, other, eid="other", group="other")
    bench = Animal.objects.get(pk=kept).group_id
    trap = groups.open_group(entry=entry(kettle_bench), name="Heifer Lot")
    groups.move(entry=entry(kettle_bench), animal_ids=[kept], group_id=trap, on=TODAY)
    split(kettle_bench, kept, other)
    # The move since stays with the record kept; what the merge had closed there stays closed.
    assert Animal.objects.get(pk=kept).group_id == trap
    assert Animal.objects.get(pk=other).group_id is None
    assert GroupMembership.objects.of(kettle_bench).get(animal=other).group_id == bench


def test_two_animals_recorded_as_one_come_apart(kettle_bench: Outfit) -> None:
    both = register(kettle_bench, eid_tag(KEPT_EID), vid_tag("1"))
    second = PutOn(both, "eid", OTHER_EID, worn_from=SPRING, second_reason="two were read")
    write(entry(kettle_bench), Batch(put_on=[second], events=[NewEvent(both, "note", FALL, {"note": "red cow"})]))
    before = record_of(kettle_bench)
    wearing, note = TagWearing.objects.get(tag__number=OTHER_EID), Event.objects.get(kind="note")
    parts = Parts(frozenset([wearing.pk]), events=frozenset([note.pk]))
    new = split(kettle_bench, both, None, parts, entry_class="cow", entered_on=SPRING)
    wearing.refresh_from_db()
    assert (wearing.animal_id, wearing.is_second, wearing.second_reason) == (new, False, "")
    assert Animal.objects.of(kettle_bench).count() == 2
    assert take_back(kettle_bench, latest()).is_possible
    assert record_of(kettle_bench) == before


def test_an_animal_is_not_split_into_one_with_nothing(kettle_bench: Outfit) -> None:
    with pytest.raises(Refused, match="at least one tag or event"):
        split(kettle_bench, register(kettle_bench, vid_tag("1")), None, Parts())


def test_a_record_is_split_off_once(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    merge(kettle_bench, kept, other)
    split(kettle_bench, kept, other)
    with pytest.raises(Refused, match="split off already"):
        split(kettle_bench, kept, other, Parts())


def test_the_history_of_the_record_kept_tells_both_lives(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    merge(kettle_bench, kept, other)
    found = history_of(kettle_bench, kept)
    assert found is not None
    told = {(change.subject_id, change.action) for change in found.changes}
    assert (other, "created") in told
    assert (other, "voided") in told
    moved = Event.objects.of(kettle_bench).get(animal=kept, kind="note")
    assert [change.action for change in found.changes if change.subject_id == moved.pk] == ["created", "changed"]


def test_after_a_split_both_histories_name_it(kettle_bench: Outfit, twofold) -> None:
    kept, other = twofold
    merge(kettle_bench, kept, other)
    split(kettle_bench, kept, other)
    done = latest()
    for animal in (kept, other):
        found = history_of(kettle_bench, animal)
        assert found is not None
        assert done.pk in {change.changeset_id for change in found.changes}
    back = history_of(kettle_bench, other)
    assert back is not None
    row = next(one for one in back.wearings if one.tag.number == "12")
    assert "herd list.csv" in {change.source_file for change in back.changes if change.subject_id == row.pk}


def test_records_merged_one_after_the_other_stand_in_a_chain(kettle_bench: Outfit) -> None:
    first, second, third = (register(kettle_bench, vid_tag(number)) for number in ("1", "2", "3"))
    before = record_of(kettle_bench)
    early = merge(kettle_bench, second, first)
    late = merge(kettle_bench, third, second)
    assert standing_for(kettle_bench) == {first: third, second: third}
    assert not take_back(kettle_bench, early).is_possible
    assert take_back(kettle_bench, late).is_possible
    assert take_back(kettle_bench, early).is_possible
    assert record_of(kettle_bench) == before
