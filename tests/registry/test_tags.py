"""Tags: on one animal at a time, taken off and replaced with both numbers and the day kept."""

from collections.abc import Callable
from datetime import date
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction

from herd.accounts.models import Outfit
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, Tag, TagWearing
from herd.registry.queries.export import export_outfit
from herd.registry.services import tags
from herd.registry.services.batch import Batch, PutOn, TakeOff
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from herd.registry.undo import undo
from tests.cast import eid_tag, entry, register, vid_tag

EID = "840270000000417"
OTHER = "840270000000418"


def worn(animal_id: UUID) -> list[str]:
    rows = TagWearing.objects.filter(animal=animal_id, ended="", is_void=False).select_related("tag")
    return sorted(row.tag.number for row in rows)


def test_an_animal_is_registered_with_its_tags(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID), vid_tag("417"))
    assert worn(cow) == ["417", EID]


def test_a_tag_on_another_animal_is_refused_with_a_sentence(kettle_bench: Outfit) -> None:
    register(kettle_bench, eid_tag(EID))
    with pytest.raises(Refused, match=f"{EID} is on another animal now"):
        register(kettle_bench, eid_tag(EID))
    assert Animal.objects.of(kettle_bench).count() == 1


def test_the_database_refuses_a_tag_on_two_animals(kettle_bench: Outfit) -> None:
    register(kettle_bench, eid_tag(EID))
    other = register(kettle_bench)
    tag = Tag.objects.get(number=EID)
    with pytest.raises(IntegrityError), transaction.atomic():
        TagWearing.objects.create(outfit=kettle_bench, tag=tag, animal_id=other, kind="eid")


def test_the_database_refuses_the_same_number_twice(kettle_bench: Outfit) -> None:
    register(kettle_bench, eid_tag(EID))
    with pytest.raises(IntegrityError), transaction.atomic():
        Tag.objects.create(outfit=kettle_bench, kind="eid", number=EID, backwards=EID[::-1])


def test_a_batch_does_not_put_one_tag_on_two_animals(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench), register(kettle_bench)
    with pytest.raises(Refused, match="would be on 2 animals"):
        register(kettle_bench, vid_tag("5"), vid_tag("5"))
    tags.put_on(entry=entry(kettle_bench), tag=PutOn(first, "vid", "5", "yellow"))
    with pytest.raises(Refused, match="on another animal"):
        tags.put_on(entry=entry(kettle_bench), tag=PutOn(second, "vid", "5", "yellow"))


def test_a_second_open_eid_needs_its_reason(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    with pytest.raises(Refused, match=f"The animal wears EID {EID}"):
        tags.put_on(entry=entry(kettle_bench), tag=PutOn(cow, "eid", OTHER))
    second = PutOn(cow, "eid", OTHER, second_reason="first one reads badly")
    tags.put_on(entry=entry(kettle_bench), tag=second)
    assert worn(cow) == [EID, OTHER]


def test_the_database_refuses_a_second_open_eid_without_the_mark(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    tag = Tag.objects.create(outfit=kettle_bench, kind="eid", number=OTHER, backwards=OTHER[::-1])
    with pytest.raises(IntegrityError), transaction.atomic():
        TagWearing.objects.create(outfit=kettle_bench, tag=tag, animal_id=cow, kind="eid")
    TagWearing.objects.create(outfit=kettle_bench, tag=tag, animal_id=cow, kind="eid", is_second=True)


def test_two_new_eids_at_once_are_refused(kettle_bench: Outfit) -> None:
    with pytest.raises(Refused, match="wears one EID"):
        register(kettle_bench, eid_tag(EID), eid_tag(OTHER))


def test_two_animals_wear_the_same_visual_number_of_different_years(kettle_bench: Outfit) -> None:
    older = register(kettle_bench, vid_tag("112", year=2019))
    younger = register(kettle_bench, vid_tag("112", year=2025))
    assert worn(older) == worn(younger) == ["112"]


def test_two_animals_wear_the_same_visual_number_in_different_colours(kettle_bench: Outfit) -> None:
    register(kettle_bench, vid_tag("112", "yellow"))
    register(kettle_bench, vid_tag("112", "white"))
    with pytest.raises(Refused, match="112 is on another animal"):
        register(kettle_bench, vid_tag("112", "white"))


def test_a_tag_taken_off_keeps_its_days_and_its_reason(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID), on=date(2024, 3, 1))
    wearing = TagWearing.objects.get(animal=cow)
    tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=date(2024, 9, 1), ended="lost")
    wearing.refresh_from_db()
    assert (wearing.worn_from, wearing.worn_to, wearing.ended) == (date(2024, 3, 1), date(2024, 9, 1), "lost")
    assert worn(cow) == []


@pytest.mark.parametrize(
    ("on", "ended", "says"),
    [
        (date(2024, 2, 1), "lost", "can't have come off on 2024-02-01"),
        (date(2024, 9, 1), "eaten", "'eaten' is no reason"),
        (date(2999, 1, 1), "lost", "lies in the future"),
    ],
)
def test_a_tag_does_not_come_off_before_it_went_on_or_without_a_reason(
    kettle_bench: Outfit, on: date, ended: str, says: str
) -> None:
    cow = register(kettle_bench, eid_tag(EID), on=date(2024, 3, 1))
    wearing = TagWearing.objects.get(animal=cow)
    with pytest.raises(Refused, match=says):
        tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=on, ended=ended)
    assert worn(cow) == [EID]


def test_a_tag_comes_off_once(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    wearing = TagWearing.objects.get(animal=cow)
    tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=date(2024, 9, 1), ended="lost")
    with pytest.raises(Refused, match="not on the animal any more"):
        tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=date(2024, 9, 2), ended="lost")


# 9 CFR 86.4 (official identification devices): a replacement keeps both numbers, the date and the reason.
def test_a_retag_keeps_the_old_and_the_new_number_with_the_day_and_the_reason(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID), on=date(2024, 3, 1))
    old = TagWearing.objects.get(animal=cow)
    new = PutOn(cow, "eid", OTHER, worn_from=date(2025, 10, 2), began="retagged")
    tags.replace(entry=entry(kettle_bench), old=old, ended="lost", new=new)
    rows = TagWearing.objects.of(kettle_bench).filter(animal=cow).select_related("tag").order_by("worn_from")
    told = [(row.tag.number, row.worn_from, row.began, row.worn_to, row.ended) for row in rows]
    assert told == [
        (EID, date(2024, 3, 1), "tagged", date(2025, 10, 2), "lost"),
        (OTHER, date(2025, 10, 2), "retagged", None, ""),
    ]


def test_a_replacement_without_a_day_is_refused(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    old = TagWearing.objects.get(animal=cow)
    with pytest.raises(ValueError, match="needs the day"):
        tags.replace(entry=entry(kettle_bench), old=old, ended="lost", new=PutOn(cow, "eid", OTHER))


def test_a_refused_replacement_leaves_the_old_tag_on(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    register(kettle_bench, eid_tag(OTHER))
    old = TagWearing.objects.get(animal=cow)
    new = PutOn(cow, "eid", OTHER, worn_from=date(2025, 10, 2))
    with pytest.raises(Refused):
        tags.replace(entry=entry(kettle_bench), old=old, ended="lost", new=new)
    assert worn(cow) == [EID]


def test_a_tag_taken_off_goes_on_again(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, vid_tag("417"), on=date(2024, 3, 1))
    wearing = TagWearing.objects.get(animal=cow)
    tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=date(2024, 9, 1), ended="lost")
    found = PutOn(cow, "vid", "417", "yellow", worn_from=date(2024, 9, 5), began="found")
    tags.put_on(entry=entry(kettle_bench), tag=found)
    assert worn(cow) == ["417"]
    assert Tag.objects.of(kettle_bench).count() == 1


def test_the_database_refuses_an_end_day_on_an_open_wearing(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID), on=date(2024, 3, 1))
    rows = TagWearing.objects.filter(animal=cow)
    with pytest.raises(IntegrityError), transaction.atomic():
        rows.update(worn_to=date(2024, 4, 1))
    with pytest.raises(IntegrityError), transaction.atomic():
        rows.update(worn_to=date(2024, 2, 1), ended="lost")


@pytest.mark.parametrize(
    ("tag", "says"),
    [
        ({"kind": "eid", "number": " "}, "needs a kind and a number"),
        ({"kind": "ring", "number": "5"}, "needs a kind and a number"),
        ({"kind": "vid", "number": "5", "worn_from": date(2999, 1, 1)}, "lies in the future"),
    ],
)
def test_a_tag_without_kind_number_or_a_sound_day_is_refused(
    kettle_bench: Outfit, tag: dict, says: str
) -> None:
    cow = register(kettle_bench)
    with pytest.raises(Refused, match=says):
        tags.put_on(entry=entry(kettle_bench), tag=PutOn(cow, **tag))


def wearing_of(animal_id: UUID, kind: str = "eid", **more: object) -> TagWearing:
    return TagWearing.objects.get(animal=animal_id, kind=kind, is_void=False, **more)


# 9 CFR 86.4(e): the day, where it came off, both numbers, the type of each device, the reason (wording from memory).
def test_a_replacement_keeps_all_that_the_law_asks_for(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, {"kind": "nues", "number": "35ABC1234"})
    old = wearing_of(cow, "nues")
    new = PutOn(cow, "eid", EID, worn_from=date(2026, 3, 1), began="retagged")
    tags.replace(
        entry=entry(kettle_bench), old=old, ended="replaced", new=new, reason="infected ear", removed_at="Mill Creek"
    )
    old.refresh_from_db()
    now = wearing_of(cow)
    assert (old.worn_to, old.ended, old.ended_reason, old.removed_at) == (
        date(2026, 3, 1), "replaced", "infected ear", "Mill Creek",
    )  # fmt: skip
    assert (now.replaces_id, now.kind, old.kind) == (old.pk, "eid", "nues")
    change = Change.objects.get(subject_id=old.pk, action="changed")
    assert change.reason == "infected ear"


# 9 CFR 86.4(d): the number on the old device, if known (wording from memory).
def test_a_retag_months_after_the_loss_still_names_the_lost_number(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    lost = wearing_of(cow)
    tags.take_off(entry=entry(kettle_bench), wearing_id=lost.pk, on=date(2025, 5, 1), ended="lost")
    new = PutOn(cow, "eid", OTHER, worn_from=date(2025, 10, 1), began="retagged")
    tags.put_on(entry=entry(kettle_bench), tag=new)
    assert wearing_of(cow, ended="").replaces_id == lost.pk


def test_a_retag_does_not_name_a_tag_that_was_replaced_before_or_was_an_error(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    new = PutOn(cow, "eid", OTHER, worn_from=date(2025, 5, 1), began="retagged")
    tags.replace(entry=entry(kettle_bench), old=wearing_of(cow), ended="lost", new=new)
    second = wearing_of(cow, ended="")
    tags.take_off(entry=entry(kettle_bench), wearing_id=second.pk, on=date(2025, 6, 1), ended="data_error")
    third = PutOn(cow, "eid", "840270000000419", worn_from=date(2025, 7, 1), began="retagged")
    tags.put_on(entry=entry(kettle_bench), tag=third)
    assert wearing_of(cow, ended="").replaces_id is None


def test_two_retags_of_a_day_each_name_their_own(kettle_bench: Outfit) -> None:
    cow, other = register(kettle_bench, eid_tag(EID), vid_tag("417")), register(kettle_bench, vid_tag("5"))
    gone = list(TagWearing.objects.of(kettle_bench))
    day = date(2025, 5, 1)
    batch = Batch(
        take_off=[TakeOff(one.pk, day, "lost") for one in gone],
        put_on=[
            PutOn(other, "vid", "6", "yellow", worn_from=day, began="retagged"),
            PutOn(cow, "vid", "418", "yellow", worn_from=day, began="retagged"),
            PutOn(cow, "eid", OTHER, worn_from=day, began="retagged"),
        ],
    )
    write(entry(kettle_bench), batch)
    new = TagWearing.objects.of(kettle_bench).filter(ended="").select_related("tag", "replaces__tag")
    pairs = {one.tag.number: one.replaces.tag.number for one in new}
    assert pairs == {"6": "5", "418": "417", OTHER: EID}


def test_a_reason_beside_the_only_eid_leaves_it_the_first(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, {"kind": "nues", "number": "35ABC1234"})
    tags.put_on(entry=entry(kettle_bench), tag=PutOn(cow, "eid", EID, second_reason="840 tag beside a metal tag"))
    assert (wearing_of(cow).is_second, wearing_of(cow).second_reason) == (False, "840 tag beside a metal tag")
    with pytest.raises(Refused, match=f"wears EID {EID}"):
        tags.put_on(entry=entry(kettle_bench), tag=PutOn(cow, "eid", OTHER))


def hangs(animal_id: UUID, **more: object) -> tags.Hangs:
    return tags.Hangs(animal_id, more.pop("on", date(2026, 3, 1)), "seen in the chute", **more)


def test_a_tag_that_was_moved_ends_on_one_animal_and_begins_on_the_other(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench, eid_tag(EID)), register(kettle_bench)
    old = wearing_of(first)
    tags.pass_on(entry=entry(kettle_bench), wearing=old, hangs=hangs(second))
    old.refresh_from_db()
    now = wearing_of(second)
    assert (old.ended, old.worn_to, old.ended_reason) == ("removed", date(2026, 3, 1), "seen in the chute")
    assert (now.tag_id, now.worn_from, now.began) == (old.tag_id, date(2026, 3, 1), "tagged")
    assert len({one.changeset_id for one in Change.objects.filter(subject_id__in=[old.pk, now.pk])}) == 2


def test_a_record_set_right_reads_as_if_it_had_always_been_so(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench, eid_tag(EID)), register(kettle_bench)
    old = wearing_of(first)
    tags.set_right(entry=entry(kettle_bench), wearing=old, hangs=hangs(second))
    old.refresh_from_db()
    now = wearing_of(second)
    assert (old.ended, old.worn_from) == ("data_error", now.worn_from)
    assert (now.began, now.worn_from, now.ended) == ("corrected", date(2024, 3, 1), "")


@pytest.mark.parametrize("way", [tags.pass_on, tags.set_right])
def test_what_was_set_right_is_taken_back_whole(kettle_bench: Outfit, way: Callable[..., None]) -> None:
    first, second = register(kettle_bench, eid_tag(EID)), register(kettle_bench, eid_tag(OTHER))
    before = list(export_outfit(kettle_bench))
    way(entry=entry(kettle_bench), wearing=wearing_of(first), hangs=hangs(second, own_ended="lost"))
    assert (worn(first), worn(second)) == ([], [EID])
    assert undo(entry(kettle_bench), Changeset.objects.order_by("recorded_at").last()).is_possible
    assert list(export_outfit(kettle_bench)) == before


def test_the_other_animals_own_eid_must_be_accounted_for(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench, eid_tag(EID)), register(kettle_bench, eid_tag(OTHER))
    old = wearing_of(first)
    with pytest.raises(Refused, match=f"wears EID {OTHER}"):
        tags.pass_on(entry=entry(kettle_bench), wearing=old, hangs=hangs(second))
    assert worn(first) == [EID]
    tags.pass_on(entry=entry(kettle_bench), wearing=old, hangs=hangs(second, second_reason="both are on"))
    assert worn(second) == [EID, OTHER]
    assert wearing_of(second, is_second=True).second_reason == "both are on"


def test_a_tag_is_not_set_right_onto_an_animal_born_after_it_went_on(kettle_bench: Outfit) -> None:
    first = register(kettle_bench, eid_tag(EID))
    calf = register(kettle_bench, on=date(2026, 1, 1), born_on=date(2026, 1, 1), born_precision="day")
    with pytest.raises(Refused, match="was born on 2026-01-01; so it came off the other one later"):
        tags.set_right(entry=entry(kettle_bench), wearing=wearing_of(first), hangs=hangs(calf))


def test_a_tag_is_not_moved_to_where_it_is_nor_to_another_outfit(kettle_bench: Outfit, far_rim: Outfit) -> None:
    cow, far = register(kettle_bench, eid_tag(EID)), register(far_rim)
    for animal, words in ((cow, "on that animal already"), (far, "not in this outfit's record")):
        with pytest.raises(Refused, match=words):
            tags.pass_on(entry=entry(kettle_bench), wearing=wearing_of(cow), hangs=hangs(animal))
