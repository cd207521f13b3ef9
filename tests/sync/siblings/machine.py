"""Random histories: an office, two installations that follow it, a phone at each; cuts, crashes, retries."""

from contextlib import ExitStack
from typing import Any, ClassVar
from uuid import UUID

import httpx
from django.core.cache import cache
from django.db import OperationalError
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule

from herd.client.faults import ClientError
from herd.ledger.models import Changeset
from herd.registry.undo import undo
from herd.values.identity import new_id
from tests.cast import entry
from tests.sync.properties.fieldphone import crashing_after
from tests.sync.siblings import promises
from tests.sync.siblings.installation import rolled_back
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.world import Place, World, eid_of

PLACES = st.integers(0, 2)
SIBLINGS = st.integers(1, 2)
ANIMALS = st.integers(0, 7)
# Few values, so that two authors often mean the same field and sometimes the same value.
VALUES = {"breed": ("AN", "HE", "CH"), "coat": ("red", "black")}
FREE_TAGS = st.integers(900, 903)
FAULTS = ("", "", "lost", "answer lost", "twice", "torn", "crash")
HOURS = st.integers(-300, 20)


class History(RuleBasedStateMachine):
    """One history of a world that was made before; it is rolled back at the end."""

    beginning: ClassVar[World]
    phones_at: ClassVar[list[PocketPhone]]

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.world = self.beginning
        self.stack.enter_context(rolled_back(*(place.at for place in self.world.places)))
        self.done = promises.Done()
        self.phones: list[PocketPhone] = []

    @initialize()
    def begin(self) -> None:
        """Phones as they were enrolled."""
        cache.clear()
        self.phones = [
            PocketPhone(one.token, one.scope, one.device, base=dict(one.base), cursor=one.cursor, epoch=one.epoch)
            for one in self.phones_at
        ]

    def teardown(self) -> None:
        """Quiet: everything is delivered, everyone has synced, and all that was promised holds."""
        try:
            if self.phones:
                self.quiet()
                promises.all_hold(self.world, self.phones, self.done)
        finally:
            self.stack.close()

    def quiet(self) -> None:
        for _ in range(2):
            for place, phone in zip(self.world.places, self.phones, strict=True):
                with place.at.here():
                    phone.ask_again()
                    phone.delivers()
            self.world.settle()
        for place, phone in zip(self.world.places, self.phones, strict=True):
            with place.at.here():
                phone.ask_again()
                phone.pull()

    def animal(self, place: Place, number: int) -> UUID | None:
        """One of the animals that this place has."""
        known = promises.animals_at(place)
        return known[number % len(known)] if known else None

    # What people do at a desk, at any of the three places

    @rule(at=PLACES, animal=ANIMALS, name=st.sampled_from(sorted(VALUES)), value=st.integers(0, 2))
    def edits(self, at: int, animal: int, name: str, value: int) -> None:
        place = self.world.places[at]
        key, to = self.animal(place, animal), VALUES[name][value % len(VALUES[name])]
        if key:
            seen = getattr(place.animal(key), name)
            if seen != to:
                self.done.edits.append((key, name, seen, to))
                place.edits(key, **{name: to})

    @rule(at=PLACES, animal=ANIMALS, kilograms=st.integers(400, 600))
    def weighs(self, at: int, animal: int, kilograms: int) -> None:
        place = self.world.places[at]
        if key := self.animal(place, animal):
            count = len(place.refused)
            event = place.weighs(key, kilograms)
            if len(place.refused) == count:
                self.done.events[event] = str(kilograms)

    @rule(at=PLACES, number=FREE_TAGS)
    def registers(self, at: int, number: int) -> None:
        made = self.world.places[at].registers(eid_of(number), self.world.groups[0])
        if made:
            self.done.animals.add(made)
            self.done.tags.append((made, eid_of(number)))

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
                self.done.tags.append((key, eid_of(number)))

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
                undo(entry(place.at.outfit, title="taken back"), target)
                self.done.undone = True

    # What happens at the chute

    @rule(at=PLACES, animal=ANIMALS, weight=st.integers(1000, 1300), hours=HOURS)
    def phone_weighs(self, at: int, animal: int, weight: int, hours: int) -> None:
        phone = self.phones[at]
        if known := phone.animals():
            data = {"kind": "weight", "data": {"weight": str(weight), "unit": "lb"}}
            phone.capture("event", {"animal": known[animal % len(known)]}, data=data, hours=hours)

    @rule(at=PLACES, animal=ANIMALS, name=st.sampled_from(sorted(VALUES)), value=st.integers(0, 2))
    def phone_edits(self, at: int, animal: int, name: str, value: int) -> None:
        phone, to = self.phones[at], VALUES[name][value % len(VALUES[name])]
        if known := phone.animals():
            key = known[animal % len(known)]
            seen = phone.seen(key, name)
            if seen is not None and seen != to:
                phone.capture("animal.edit", {"animal": key}, set={name: {"from": seen, "to": to}})
                self.done.edits.append((UUID(key), name, seen, to))

    @rule(at=PLACES, animal=ANIMALS, number=FREE_TAGS)
    def phone_retags(self, at: int, animal: int, number: int) -> None:
        phone = self.phones[at]
        if known := phone.animals():
            card = phone.base[("animal", known[animal % len(known)])]
            worn = [one["number"] for one in card["tags"] if one["kind"] == "eid"]
            if worn:
                data = {"kind": "eid", "number": worn[0], "new_number": eid_of(number), "ended": "lost"}
                phone.capture("tag.off", {"animal": card["id"]}, data=data)

    @rule(at=PLACES, animal=ANIMALS, group=st.integers(0, 1))
    def phone_moves(self, at: int, animal: int, group: int) -> None:
        phone = self.phones[at]
        if known := phone.animals():
            data = {"group": str(self.world.groups[group])}
            phone.capture("move", {"animal": known[animal % len(known)]}, data=data)

    @rule(at=PLACES, number=FREE_TAGS)
    def phone_registers(self, at: int, number: int) -> None:
        tags = [{"kind": "eid", "number": eid_of(number)}]
        data = {"facts": {"entry_class": "heifer"}, "tags": tags}
        self.phones[at].capture("animal.register", {"animal": str(new_id())}, data=data)

    @rule(at=PLACES, count=st.integers(1, 4))
    def phone_delivers(self, at: int, count: int) -> None:
        with self.world.places[at].at.here():
            self.phones[at].delivers(count)

    @rule(at=PLACES)
    def phone_reads(self, at: int) -> None:
        with self.world.places[at].at.here():
            self.phones[at].ask_again()
            self.phones[at].pull()

    # The way between

    @rule(at=SIBLINGS, fault=st.sampled_from(FAULTS), call=st.integers(0, 5), statements=st.integers(0, 60))
    def syncs(self, at: int, fault: str, call: int, statements: int) -> None:
        """A round that may be cut: one call does not come through, or the office's database goes away in it."""
        calls = 0

        def cut(path: str, request: httpx.Request) -> str:
            nonlocal calls
            calls += 1
            if calls != call + 1:
                return ""
            return f"crash {statements}" if fault == "crash" else fault

        try:
            self.world.places[at].at.sync(cut if fault else None)
        except ClientError:
            assert fault, "a round without a fault was cut"

    @rule(at=SIBLINGS, statements=st.integers(0, 400))
    def crashes_while_it_syncs(self, at: int, statements: int) -> None:
        """The sibling's own database goes away somewhere in a round."""
        place = self.world.places[at]
        with place.at.here(), crashing_after(statements):
            try:
                place.at.sync()
            except (OperationalError, ClientError):
                return

    @precondition(lambda self: bool(self.phones))
    @rule(at=SIBLINGS, animal=ANIMALS, kilograms=st.integers(400, 600))
    def someone_writes_while_it_syncs(self, at: int, animal: int, kilograms: int) -> None:
        """Work goes on at the sibling between two calls of a round."""
        place = self.world.places[at]
        key = self.animal(place, animal)
        calls = 0

        def meanwhile(path: str, request: httpx.Request) -> str:
            nonlocal calls
            calls += 1
            if calls == 2 and key:
                count = len(place.refused)
                event = place.weighs(key, kilograms)
                if len(place.refused) == count:
                    self.done.events[event] = str(kilograms)
            return ""

        place.at.sync(meanwhile)




def begin_with(world: World) -> Any:
    """The machine, from a world that was made before."""
    History.beginning = world
    History.phones_at = [place.phone(f"phone at the {place.at.name}") for place in world.places]
    return History
