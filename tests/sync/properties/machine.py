"""Histories at random: phones capture, push and pull over a bad network, the office works, backups are put back."""

from contextlib import ExitStack
from copy import deepcopy
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule

from herd.accounts.models import Outfit
from herd.sync.cursors import head_of
from herd.values.identity import new_id
from tests.sync.properties import checks
from tests.sync.properties.backup import Backup
from tests.sync.properties.fieldphone import Fault, FieldPhone, position
from tests.sync.properties.world import TODAY, VALUES, Office, World, eid_of

PHONES = st.integers(0, 2)
# Most of it happens to two animals, so that authors get in each other's way.
ANIMALS = st.sampled_from([0, 0, 0, 1, 1, 2, 3, 4, 5])
FREE_TAGS = st.integers(500, 503)
HOURS = st.integers(0, 60)
FAULTS = st.sampled_from([Fault.NONE, Fault.NONE, Fault.NONE, *Fault])
STATEMENTS = st.integers(0, 60)
NAMES = st.sampled_from(sorted(VALUES))
CHOICES = st.integers(0, 3)


class History(RuleBasedStateMachine):
    """One history in a transaction that is rolled back, checked whenever a phone has read, and at its end."""

    # The world before anything has happened, made once for all histories of a run.
    beginning: World

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.stack.enter_context(rolled_back())
        self.world = deepcopy(self.beginning)
        self.office = Office(self.world)
        self.backup: Backup | None = None
        self.weight = 900

    @initialize(edited=ANIMALS, name=NAMES)
    def begins_at_odds(self, edited: int, name: str) -> None:
        """The office has changed something that no phone has seen yet."""
        self.office.edits(self._animal(edited), name, VALUES[name][2])

    @rule(phone=PHONES, animal=ANIMALS, hours=HOURS, by_number=st.booleans())
    def weighs(self, phone: int, animal: int, hours: int, by_number: bool) -> None:
        self.weight += 1
        subject = {"eid": eid_of(100 + animal)} if by_number else self._subject(animal)
        data = {"kind": "weight", "data": {"weight": str(self.weight), "unit": "lb"}}
        self._phone(phone).capture("event", subject, data=data, hours=hours)

    @rule(phone=PHONES, animal=ANIMALS, name=NAMES, choice=CHOICES)
    def edits(self, phone: int, animal: int, name: str, choice: int) -> None:
        holder, key = self._phone(phone), str(self._animal(animal))
        shown, to = holder.seen(key, name), VALUES[name][choice % len(VALUES[name])]
        if shown is not None and shown != to:
            holder.capture("animal.edit", {"animal": key}, set={name: {"from": shown, "to": to}})

    @rule(phone=PHONES, animal=ANIMALS, name=NAMES, choice=CHOICES)
    def two_edit(self, phone: int, animal: int, name: str, choice: int) -> None:
        """Two change the same field at once, neither knowing of the other."""
        self.edits(phone, animal, name, choice)
        self.edits((phone + 1) % 3, animal, name, choice + 1)

    @rule(phone=PHONES, animal=ANIMALS, pen=st.integers(0, 1), hours=HOURS)
    def moves(self, phone: int, animal: int, pen: int, hours: int) -> None:
        data = {"group": str(self.world.groups[pen])}
        self._phone(phone).capture("move", self._subject(animal), data=data, hours=hours)

    @rule(phone=PHONES, number=FREE_TAGS, pen=st.integers(0, 1))
    def registers(self, phone: int, number: int, pen: int) -> None:
        """Two phones may use the same number for what each takes for a new animal."""
        made = new_id()
        tags = [{"kind": "eid", "number": eid_of(number)}]
        data = {"facts": {"entry_class": "cow"}, "tags": tags, "group": str(self.world.groups[pen])}
        self._phone(phone).capture("animal.register", {"animal": str(made)}, data=data)
        self.world.herd.append(made)

    @rule(phone=PHONES, animal=ANIMALS, number=FREE_TAGS)
    def tags(self, phone: int, animal: int, number: int) -> None:
        data = {"kind": "eid", "number": eid_of(number), "second_reason": "hard to read"}
        self._phone(phone).capture("tag.on", self._subject(animal), data=data)

    @rule(phone=PHONES, animal=ANIMALS, number=FREE_TAGS, replaces=st.booleans())
    def takes_tag_off(self, phone: int, animal: int, number: int, replaces: bool) -> None:
        data = {"kind": "eid", "number": eid_of(100 + animal), "ended": "lost"}
        more = {"new_number": eid_of(number)} if replaces else {}
        self._phone(phone).capture("tag.off", self._subject(animal), data=data | more)

    @rule(phone=PHONES, one=st.integers(0, 50), corrects=st.booleans())
    def takes_back(self, phone: int, one: int, corrects: bool) -> None:
        """Void or correct what any phone has recorded."""
        events = [op for other in self.world.phones for op in other.captured.values() if op["kind"] == "event"]
        if not events:
            return
        named = {"event": events[one % len(events)]["op_id"], "reason": "wrong head"}
        self.weight += 1
        more = {"data": {"weight": str(self.weight), "unit": "lb"}} if corrects else {}
        self._phone(phone).capture("event.correct" if corrects else "event.void", data=named | more)

    @rule(phone=PHONES, animal=ANIMALS, number=FREE_TAGS)
    def calves(self, phone: int, animal: int, number: int) -> None:
        """A calf and its dam's calving go together, whole or not at all."""
        calf, group = str(new_id()), str(uuid4())
        facts = {"entry_class": "heifer", "dam": str(self._animal(animal))}
        data = {"facts": facts, "tags": [{"kind": "eid", "number": eid_of(number)}]}
        self._phone(phone).capture("animal.register", {"animal": calf}, data=data, group=group)
        calving = {"kind": "calving", "data": {"calf": calf}}
        self._phone(phone).capture("event", self._subject(animal), data=calving, group=group)

    @rule(phone=PHONES, count=st.integers(1, 6), fault=FAULTS, after=STATEMENTS, backwards=st.booleans())
    def pushes(self, phone: int, count: int, fault: Fault, after: int, backwards: bool) -> None:
        self._phone(phone).push(count, fault, after, backwards=backwards)
        checks.groups_are_whole(self.world)

    @rule(phone=PHONES, count=st.integers(1, 3))
    def pushes_again(self, phone: int, count: int) -> None:
        """A duplicate that was on its way for long."""
        self._phone(phone).send_again(list(self._phone(phone).answers)[:count])

    @rule(phone=PHONES, fault=FAULTS, limit=st.sampled_from([1, 2, 500]), pages=st.sampled_from([1, 100]))
    def pulls(self, phone: int, fault: Fault, limit: int, pages: int) -> None:
        with checks.reading(self.world, self._phone(phone)) as came:
            came += self._phone(phone).pull(fault, limit=limit, pages=pages)

    @rule(phone=PHONES)
    def syncs(self, phone: int) -> None:
        """A good moment of the network: all is sent, all is read."""
        self._phone(phone).push()
        with checks.reading(self.world, self._phone(phone)) as came:
            came += self._phone(phone).pull()

    @rule(phone=PHONES, cut=st.integers(1, 12))
    def copies(self, phone: int, cut: int) -> None:
        self._phone(phone).first_copy(cut)

    @rule(phone=PHONES, hours=st.sampled_from([-24 * 365, -3, 3, 24]), restarts=st.booleans())
    def clock_jumps(self, phone: int, hours: int, restarts: bool) -> None:
        holder = self._phone(phone)
        holder.offset += timedelta(hours=hours)
        if restarts:
            holder.boot, holder.steady = str(uuid4()), 0

    @rule(animal=ANIMALS, name=NAMES, choice=CHOICES)
    def office_edits(self, animal: int, name: str, choice: int) -> None:
        self.office.edits(self._animal(animal), name, VALUES[name][choice % len(VALUES[name])])

    @rule(animal=ANIMALS, pen=st.integers(0, 1), days=st.integers(0, 4))
    def office_moves(self, animal: int, pen: int, days: int) -> None:
        self.office.moves(self._animal(animal), self.world.groups[pen], TODAY + timedelta(days=days))

    @rule(animal=ANIMALS, number=FREE_TAGS, what=st.sampled_from(["registers", "tags", "takes_off", "sells"]))
    def office_works(self, animal: int, number: int, what: str) -> None:
        one = self._animal(animal)
        {
            "registers": lambda: self.office.registers(eid_of(number), self.world.groups[0]),
            "tags": lambda: self.office.tags(one, eid_of(number)),
            "takes_off": lambda: self.office.takes_tag_off(one, TODAY),
            "sells": lambda: self.office.sells(one, TODAY + timedelta(days=2)),
        }[what]()

    @rule(kept=ANIMALS, other=st.integers(0, 8))
    def office_merges(self, kept: int, other: int) -> None:
        self.office.merges(self._animal(kept), self.world.herd[other % len(self.world.herd)])

    @rule(back=st.integers(0, 3))
    def office_undoes(self, back: int) -> None:
        self.office.undoes(back)

    @precondition(lambda self: self.backup is None)
    @rule()
    def backs_up(self) -> None:
        self.backup = Backup(self.world.outfit)

    @precondition(lambda self: self.backup is not None)
    @rule()
    def puts_back(self) -> None:
        """Last night's backup is all there is."""
        if self.backup is not None:
            self.backup.put_back()

    def teardown(self) -> None:
        """A quiet network, and then the promises."""
        with self.stack:
            quiet(self.world)
            checks.all_promises(self.world)

    def _phone(self, number: int) -> FieldPhone:
        return self.world.phones[number]

    def _animal(self, number: int) -> UUID:
        """One of the herd; sometimes one that a phone has made."""
        herd = self.world.herd
        return herd[-1] if number == 5 else herd[number]

    def _subject(self, number: int) -> dict[str, Any]:
        return {"animal": str(self._animal(number))}


def quiet(world: World) -> None:
    """Everyone sends and reads until each has read all that there is, which no one adds to any more."""
    for _ in range(6):
        for phone in world.phones:
            phone.push()
            with checks.reading(world, phone) as came:
                came += phone.pull()
        if all(is_at_the_end(world.outfit, phone) for phone in world.phones):
            return
    raise AssertionError("the network is quiet, and yet it does not come to rest")


def is_at_the_end(outfit: Outfit, phone: FieldPhone) -> bool:
    """Whether a phone has sent all, and has read all of the feed."""
    head = head_of(outfit)
    return not phone.outbox and (phone.epoch, position(phone.cursor)) == (str(head.epoch), head.position)


class rolled_back(ExitStack):  # noqa: N801
    """A transaction of which nothing is left in the end, whatever happened in it."""

    def __enter__(self) -> "rolled_back":
        super().__enter__()
        self.enter_context(transaction.atomic())
        return self

    def __exit__(self, *details: Any) -> Any:
        transaction.set_rollback(True)
        return super().__exit__(*details)
