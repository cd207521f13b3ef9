"""The world of a history: an outfit with two groups and a herd, its phones, and what the office does meanwhile."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from django.core.cache import cache

from herd.accounts.models import Outfit
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, TagWearing
from herd.registry.services import animals, events, groups, merging, tags
from herd.registry.services.batch import NewEvent, PutOn
from herd.registry.services.merge_rows import MergeChoices
from herd.registry.services.refused import Refused
from herd.registry.undo import undo
from herd.sync.devices import enrol, make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.cast import eid_tag, entry, register, vid_tag
from tests.sync.properties.fieldphone import FieldPhone

HERD = 6
TODAY = date(2026, 3, 14)
# Few values, so that two authors often mean the same field and sometimes the same value.
VALUES = {"breed": ("AN", "HE", "CH", "LM"), "coat": ("red", "black", "grey")}


def eid_of(number: int) -> str:
    """An EID of the herd or of the free tags in everyone's pocket (ISO 11784: country code and twelve digits)."""
    return f"840{number:012}"


@dataclass(slots=True)
class World:
    """All that takes part in one history; `seen` are the changes of facts that the office made with open eyes."""

    outfit: Outfit
    groups: list[UUID]
    herd: list[UUID]
    phones: list[FieldPhone] = field(default_factory=list)
    seen: set[tuple[UUID, str, str, str]] = field(default_factory=set)


def make_world() -> World:
    """An outfit with a herd in two groups, and three phones that have taken their first copy; one reads one group."""
    cache.clear()
    outfit = Outfit.objects.create(code="kettle-bench", name="Kettle Bench")
    pens = [groups.open_group(entry=entry(outfit), name=name) for name in ("Upper Bench", "Mill Trap")]
    herd = [
        register(
            outfit,
            eid_tag(eid_of(100 + number)),
            vid_tag(str(100 + number)),
            group_id=pens[number % 2],
            on=date(2024, 3, 1),
            breed="AN",
        )
        for number in range(HERD)
    ]
    world = World(outfit, pens, herd)
    for name, scope in (("north", []), ("south", []), ("trap", [pens[1]])):
        _, code = make_device(
            outfit=outfit, name=name, kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, groups=scope, by=None
        )
        enrolled = enrol(code)
        world.phones.append(FieldPhone(enrolled.token, frozenset(map(str, scope)), str(enrolled.device.pk)))
    for phone in world.phones:
        phone.first_copy()
    return world


class Office:
    """What people do at a desk while phones are away; what the record refuses them is no news here."""

    def __init__(self, world: World) -> None:
        self.world, self.outfit = world, world.outfit

    def edits(self, animal: UUID, name: str, to: str) -> None:
        """Change a fact, with the value that stood there before one's eyes."""
        row = Animal.objects.of(self.outfit).filter(pk=animal).first()
        if row is not None and getattr(row, name) != to:
            self.world.seen.add((animal, name, getattr(row, name), to))
            self._try(animals.correct, animal=row, facts={name: to}, reason="")

    def moves(self, animal: UUID, group: UUID, on: date) -> None:
        self._try(groups.move, animal_ids=[animal], group_id=group, on=on)

    def registers(self, number: str, group: UUID) -> None:
        """Register a new animal under a number that phones may use as well."""
        facts: dict[str, Any] = {"entry_class": "cow", "breed": "AN"}
        self._try(animals.register, facts=facts, tags=[eid_tag(number)], group_id=group, on=TODAY)

    def sells(self, animal: UUID, on: date) -> None:
        self._try(events.record, events=[NewEvent(animal, "sale", on)])

    def tags(self, animal: UUID, number: str) -> None:
        self._try(tags.put_on, tag=PutOn(animal, "eid", number, worn_from=TODAY, second_reason="odd"))

    def takes_tag_off(self, animal: UUID, on: date) -> None:
        worn = TagWearing.objects.of(self.outfit).filter(animal=animal, kind="eid", ended="").first()
        if worn is not None:
            self._try(tags.take_off, wearing_id=worn.pk, on=on, ended="lost")

    def merges(self, kept: UUID, other: UUID) -> None:
        """Make two records one; the one kept keeps its own facts and its tag."""
        choices = MergeChoices(on=TODAY, facts_of_other=frozenset(), eid="kept", group="kept")
        self._try(merging.merge, kept_id=kept, other_id=other, choices=choices, reason="")

    def undoes(self, back: int) -> None:
        """Take back one of the latest changesets that stand; each value that goes was before one's eyes."""
        latest = Changeset.objects.filter(outfit=self.outfit, is_undone=False).order_by("-recorded_at", "-id")
        target = list(latest[back : back + 1])
        if target and target[0].title not in {"registered", "test"}:
            undo(entry(self.outfit, title="taken back"), target[0])

    def _try(self, service: Any, **given: Any) -> None:
        try:
            service(entry=entry(self.outfit, title="desk"), **given)
        except Refused:
            return


def changed_facts(outfit: Outfit, name: str) -> list[Change]:
    """Each change of one fact of an animal that was there before, in the order of the feed."""
    changes = Change.objects.filter(outfit=outfit, subject_kind=Animal.SUBJECT).select_related("changeset")
    return [one for one in changes.order_by("position") if name in (one.after or {}) and name in (one.before or {})]
