"""Another outfit's ids are refused by every service, and its rows answer no question."""

from collections.abc import Callable
from datetime import date
from uuid import UUID

import pytest

from herd.accounts.models import Outfit
from herd.ledger.models import Change
from herd.registry.models import Animal, Event, Group, Location, TagWearing
from herd.registry.queries.export import export_outfit
from herd.registry.queries.find import find_animals
from herd.registry.queries.headcount import count_head, members_on
from herd.registry.queries.history import history_of
from herd.registry.queries.tags import worn_by
from herd.registry.services import groups
from herd.registry.services.batch import (
    Batch,
    Edit,
    Join,
    Leave,
    NewAnimal,
    NewEvent,
    NewPlace,
    PutOn,
    TakeOff,
    VoidEvent,
)
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from tests.cast import eid_tag, entry, register

EID = "840270000000417"
DAY = date(2025, 10, 14)


@pytest.fixture
def theirs(kettle_bench: Outfit) -> UUID:
    """A cow of Kettle Bench with a tag, a group at a location, and a sample."""
    place = groups.open_location(entry=entry(kettle_bench), name="Bench")
    group = groups.open_group(entry=entry(kettle_bench), name="Upper Bench", location_id=place)
    cow = register(kettle_bench, eid_tag(EID), group_id=group, on=DAY)
    write(entry(kettle_bench), Batch(events=[NewEvent(cow, "sample", DAY, {"tube": "KB-1000"})]))
    return cow


@pytest.fixture
def mine(far_rim: Outfit, theirs: UUID) -> UUID:
    return register(far_rim)


def wearing() -> UUID:
    return TagWearing.objects.get().pk


BATCHES: dict[str, Callable[[UUID, UUID], Batch]] = {
    "edit": lambda theirs, mine: Batch(edits=[Edit(theirs, {"coat": "red"})]),
    "dam": lambda theirs, mine: Batch(animals=[NewAnimal({"dam_id": theirs})]),
    "dam by edit": lambda theirs, mine: Batch(edits=[Edit(mine, {"dam_id": theirs})]),
    "tag on": lambda theirs, mine: Batch(put_on=[PutOn(theirs, "vid", "5")]),
    "tag off": lambda theirs, mine: Batch(take_off=[TakeOff(wearing(), DAY, "lost")]),
    "event": lambda theirs, mine: Batch(events=[NewEvent(theirs, "note", DAY, {"note": "hm"})]),
    "void": lambda theirs, mine: Batch(voids=[VoidEvent(Event.objects.get().pk)]),
    "calf": lambda theirs, mine: Batch(events=[NewEvent(mine, "calving", DAY, {"calf": str(theirs)})]),
    "sire": lambda theirs, mine: Batch(events=[NewEvent(mine, "service", DAY, {"sire": str(theirs)})]),
    "location": lambda theirs, mine: Batch(
        events=[NewEvent(mine, "movement", DAY, {"to": "Bench", "location": str(Location.objects.get().pk)})]
    ),
    "corrected event": lambda theirs, mine: Batch(
        events=[NewEvent(mine, "note", DAY, {"note": "hm"}, supersedes=Event.objects.get().pk)]
    ),
    "join": lambda theirs, mine: Batch(joins=[Join(theirs, Group.objects.get().pk, DAY)]),
    "group": lambda theirs, mine: Batch(joins=[Join(mine, Group.objects.get().pk, DAY)]),
    "leave": lambda theirs, mine: Batch(leaves=[Leave(theirs, DAY)]),
    "place": lambda theirs, mine: Batch(
        places=[NewPlace("group", {"name": "Camp", "location_id": Location.objects.get().pk})]
    ),
}


@pytest.mark.parametrize("name", sorted(BATCHES))
def test_another_outfits_id_is_refused(far_rim: Outfit, theirs: UUID, mine: UUID, name: str) -> None:
    before = Change.objects.count()
    with pytest.raises(Refused, match="not in this outfit's record|not on the animal any more"):
        write(entry(far_rim), BATCHES[name](theirs, mine))
    assert Change.objects.count() == before


def test_two_outfits_may_wear_the_same_number(far_rim: Outfit, theirs: UUID) -> None:
    bought = register(far_rim, eid_tag(EID))
    assert [hit.animal.pk for hit in find_animals(far_rim, EID)] == [bought]


def test_two_outfits_may_use_the_same_tube(far_rim: Outfit, mine: UUID) -> None:
    write(entry(far_rim), Batch(events=[NewEvent(mine, "sample", DAY, {"tube": "KB-1000"})]))
    assert [hit.animal.pk for hit in find_animals(far_rim, "KB-1000")] == [mine]


def test_nothing_is_answered_about_another_outfits_animal(far_rim: Outfit, theirs: UUID) -> None:
    assert find_animals(far_rim, EID) == []
    assert find_animals(far_rim, "0417") == []
    assert history_of(far_rim, theirs) is None
    assert count_head(far_rim, DAY).total == 0
    assert members_on(far_rim, Group.objects.get().pk, DAY) == []
    assert worn_by(far_rim, [theirs])[theirs].eid == ""
    assert len(list(export_outfit(far_rim))) == 1


def test_an_animal_of_one_outfit_stays_there(kettle_bench: Outfit, far_rim: Outfit, theirs, mine) -> None:
    assert list(Animal.objects.of(kettle_bench).values_list("pk", flat=True)) == [theirs]
    assert list(Animal.objects.of(far_rim).values_list("pk", flat=True)) == [mine]
