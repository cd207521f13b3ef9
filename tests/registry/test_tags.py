"""Tags: on one animal at a time, taken off and replaced with both numbers and the day kept."""

from datetime import date
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Tag, TagWearing
from herd.registry.services import tags
from herd.registry.services.batch import PutOn
from herd.registry.services.refused import Refused
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
