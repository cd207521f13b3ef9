"""What all parts of a random history share: the world, the phones, what was done; how it ends in quiet."""

from contextlib import ExitStack
from typing import ClassVar
from uuid import UUID

from django.core.cache import cache
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize

from tests.sync.properties.machine import is_at_the_end
from tests.sync.siblings import promises
from tests.sync.siblings.deeds import Done
from tests.sync.siblings.installation import rolled_back
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.world import Place, World

PLACES = st.integers(0, 2)
SIBLINGS = st.integers(1, 2)
ANIMALS = st.integers(0, 7)
# Few values, so that two authors often mean the same field and sometimes the same value.
VALUES = {"breed": ("AN", "HE", "CH"), "coat": ("red", "black")}
FREE_TAGS = st.integers(900, 903)
MOST_ROUNDS = 8


class Walk(RuleBasedStateMachine):
    """One history of a world that was made before; it is rolled back at the end."""

    beginning: ClassVar[World]
    phones_at: ClassVar[list[PocketPhone]]

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.world = self.beginning
        self.stack.enter_context(rolled_back(*(place.at for place in self.world.places)))
        self.done = Done()
        self.pounds = 1_000
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
                come_to_rest(self.world, self.phones)
                promises.all_hold(self.world, self.phones, self.done)
        finally:
            self.stack.close()

    def weight(self) -> str:
        """A weight that nothing else had, since an equal one of that day is in the record once."""
        self.pounds += 1
        return str(self.pounds)

    def animal(self, place: Place, number: int) -> UUID | None:
        """One of the animals that this place has."""
        known = promises.animals_at(place)
        return known[number % len(known)] if known else None


def come_to_rest(world: World, phones: list[PocketPhone]) -> None:
    """Let everyone send, sync and read until nothing moves any more, and each phone has all and is told all."""
    for _ in range(MOST_ROUNDS):
        for place, phone in zip(world.places, phones, strict=True):
            with place.at.here():
                phone.pull()
                phone.delivers()
        moved = world.settle(rounds=1)
        if not moved and all(map(has_all, world.places, phones)):
            return
    raise AssertionError("the network is quiet, and yet it does not come to rest")


def has_all(place: Place, phone: PocketPhone) -> bool:
    """Whether a phone has sent all, was told what came of it, and has read all of its place's feed."""
    with place.at.here():
        phone.ask_again()
        return not phone.relayed and is_at_the_end(place.at.outfit, phone)
