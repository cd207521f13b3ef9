"""The way between installations: rounds that are cut, crash or are overtaken, and backups that are put back."""

import httpx
from django.db import OperationalError
from hypothesis import strategies as st
from hypothesis.stateful import initialize, precondition, rule

from herd.client.faults import ClientError
from tests.sync.properties.backup import Backup
from tests.sync.properties.fieldphone import crashing_after
from tests.sync.siblings.deeds import Kept
from tests.sync.siblings.installation import Fault
from tests.sync.siblings.walk import ANIMALS, PLACES, SIBLINGS, Walk

FAULTS = ("", "", "lost", "answer lost", "twice", "torn", "crash")


class Way(Walk):
    """Rounds and restores."""

    def __init__(self) -> None:
        super().__init__()
        self.kept: dict[int, Kept] = {}

    def round(self, at: int, fault: Fault | None) -> None:
        """A round; where it is whole, all that was done at the place before has arrived."""
        before = len(self.done.deeds)
        if self.world.places[at].at.sync(fault).is_whole:
            self.done.arrived[at] = before

    @initialize(at=PLACES)
    def begins_with_a_backup(self, at: int) -> None:
        """A place has one of before all that happens."""
        self.backs_up(at)

    @rule(at=PLACES)
    def backs_up(self, at: int) -> None:
        place = self.world.places[at]
        with place.at.here():
            self.kept[at] = self.done.kept(Backup(place.at.outfit))

    @precondition(lambda self: bool(self.kept))
    @rule(at=PLACES)
    def puts_back(self, at: int) -> None:
        """Last night's backup is all there is; phones and the other installations go on with what they have."""
        if at not in self.kept:
            at = min(self.kept)
        with self.world.places[at].at.here():
            self.kept[at].backup.put_back()
        self.done.was_put_back(at, self.kept[at])

    @rule(at=SIBLINGS, fault=st.sampled_from(FAULTS), call=st.integers(0, 8), statements=st.integers(0, 60))
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
            self.round(at, cut if fault else None)
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
                    self.done.note(at, "weight", event, str(kilograms))
            return ""

        self.round(at, meanwhile)
