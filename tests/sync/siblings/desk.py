"""What people do at a desk, at any of the three places."""


from hypothesis import strategies as st
from hypothesis.stateful import rule

from herd.ledger.models import Changeset
from herd.registry.undo import undo
from tests.cast import entry
from tests.sync.siblings.walk import ANIMALS, FREE_TAGS, PLACES, VALUES, Walk
from tests.sync.siblings.world import eid_of


class Desk(Walk):
    """Facts, weights, tags, moves, sales, merges, and what is taken back."""

    @rule(at=PLACES, animal=ANIMALS, name=st.sampled_from(sorted(VALUES)), value=st.integers(0, 2))
    def edits(self, at: int, animal: int, name: str, value: int) -> None:
        place = self.world.places[at]
        key, to = self.animal(place, animal), VALUES[name][value % len(VALUES[name])]
        if key:
            seen = getattr(place.animal(key), name)
            if seen != to:
                self.done.note(at, "edit", key, name, seen, to)
                place.edits(key, **{name: to})

    @rule(at=PLACES, animal=ANIMALS, kilograms=st.integers(400, 600))
    def weighs(self, at: int, animal: int, kilograms: int) -> None:
        place = self.world.places[at]
        if key := self.animal(place, animal):
            count = len(place.refused)
            event = place.weighs(key, kilograms)
            if len(place.refused) == count:
                self.done.note(at, "weight", event, str(kilograms))

    @rule(at=PLACES, number=FREE_TAGS)
    def registers(self, at: int, number: int) -> None:
        made = self.world.places[at].registers(eid_of(number), self.world.groups[0])
        if made:
            self.done.note(at, "tag", made, eid_of(number))

    @rule(at=PLACES, animal=ANIMALS, group=st.integers(0, 1))
    def moves(self, at: int, animal: int, group: int) -> None:
        place = self.world.places[at]
        if key := self.animal(place, animal):
            place.moves(key, self.world.groups[group])

    @rule(at=PLACES, animal=ANIMALS)
    def sells(self, at: int, animal: int) -> None:
        place = self.world.places[at]
        if key := self.animal(place, animal):
            place.sells(key)

    @rule(at=PLACES, animal=ANIMALS, number=FREE_TAGS, is_new=st.booleans())
    def tags(self, at: int, animal: int, number: int, is_new: bool) -> None:
        place = self.world.places[at]
        if key := self.animal(place, animal):
            count = len(place.refused)
            if is_new:
                place.tags(key, eid_of(number))
            else:
                place.replaces_tag(key, eid_of(number))
            if len(place.refused) == count and eid_of(number) in place.worn(key):
                self.done.note(at, "tag", key, eid_of(number))

    @rule(at=PLACES, animal=ANIMALS)
    def takes_tag_off(self, at: int, animal: int) -> None:
        place = self.world.places[at]
        if key := self.animal(place, animal):
            place.takes_tag_off(key)

    @rule(at=PLACES, kept=ANIMALS, other=ANIMALS)
    def merges(self, at: int, kept: int, other: int) -> None:
        place = self.world.places[at]
        one, two = self.animal(place, kept), self.animal(place, other)
        if one and two and one != two:
            place.merges(one, two)

    @rule(at=PLACES, back=st.integers(0, 2))
    def undoes(self, at: int, back: int) -> None:
        place = self.world.places[at]
        with place.at.here():
            latest = Changeset.objects.filter(is_undone=False).exclude(title__in=["registered", "test"])
            for target in list(latest.order_by("-recorded_at", "-id")[back : back + 1]):
                named = target.changes.values_list("subject_id", "animal_id")
                self.done.undone |= {key for pair in named for key in pair if key}
                undo(entry(place.at.outfit, title="taken back"), target)
