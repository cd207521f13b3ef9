"""What happens at the chute: a phone at each place captures, delivers and reads."""

from datetime import timedelta
from uuid import UUID, uuid4

from hypothesis import strategies as st
from hypothesis.stateful import rule

from herd.values.identity import new_id
from tests.sync.siblings.walk import ANIMALS, FREE_TAGS, PLACES, VALUES, Walk
from tests.sync.siblings.world import eid_of

HOURS = st.integers(-300, 20)


class Chute(Walk):
    """Weights, facts, retags, moves, new animals; pushes in portions."""

    @rule(at=PLACES, animal=ANIMALS, hours=HOURS)
    def phone_weighs(self, at: int, animal: int, hours: int) -> None:
        phone = self.phones[at]
        if known := phone.animals():
            data = {"kind": "weight", "data": {"weight": self.weight(), "unit": "lb"}}
            phone.capture("event", {"animal": known[animal % len(known)]}, data=data, hours=hours)

    @rule(at=PLACES, number=FREE_TAGS)
    def phone_weighs_a_number(self, at: int, number: int) -> None:
        """A scale reads a tag that nobody knows, or not yet."""
        data = {"kind": "weight", "data": {"weight": self.weight(), "unit": "lb"}}
        self.phones[at].capture("event", {"eid": eid_of(number)}, data=data)

    @rule(at=PLACES, animal=ANIMALS, name=st.sampled_from(sorted(VALUES)), value=st.integers(0, 2))
    def phone_edits(self, at: int, animal: int, name: str, value: int) -> None:
        phone, to = self.phones[at], VALUES[name][value % len(VALUES[name])]
        if known := phone.animals():
            key = known[animal % len(known)]
            seen = phone.seen(key, name)
            if seen is not None and seen != to:
                phone.capture("animal.edit", {"animal": key}, set={name: {"from": seen, "to": to}})
                self.done.note(at, "edit", UUID(key), name, seen, to, by_phone=True)

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

    @rule(at=PLACES, animal=ANIMALS, number=FREE_TAGS)
    def phone_calves(self, at: int, animal: int, number: int) -> None:
        """A calf and its dam's calving go together, whole or not at all."""
        phone = self.phones[at]
        if known := phone.animals():
            calf, group, dam = str(new_id()), str(new_id()), known[animal % len(known)]
            facts = {"entry_class": "heifer", "dam": dam}
            data = {"facts": facts, "tags": [{"kind": "eid", "number": eid_of(number)}]}
            phone.capture("animal.register", {"animal": calf}, data=data, group=group)
            phone.capture("event", {"animal": dam}, data={"kind": "calving", "data": {"calf": calf}}, group=group)

    @rule(at=PLACES, hours=st.sampled_from([-24 * 365, -3, 3, 24]), restarts=st.booleans())
    def phone_clock_jumps(self, at: int, hours: int, restarts: bool) -> None:
        self.phones[at].offset += timedelta(hours=hours)
        if restarts:
            self.phones[at].boot, self.phones[at].steady = str(uuid4()), 0
