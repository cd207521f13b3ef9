"""A herd at the office, and what people do at either place."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from io import StringIO
from typing import Any
from uuid import UUID

from django.core.management import call_command

from herd.accounts.models import Outfit
from herd.ledger.models import Change
from herd.registry.models import Animal, TagWearing
from herd.registry.services import animals, events, groups, merging, tags
from herd.registry.services.batch import NewEvent, PutOn
from herd.registry.services.following import FOLLOWS
from herd.registry.services.merge_rows import MergeChoices
from herd.registry.services.refused import Refused
from herd.sync.devices import enrol, make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.cast import eid_tag, entry, register, vid_tag
from tests.sync.siblings.installation import Installation
from tests.sync.siblings.pocket import PocketPhone

DAY = date(2026, 3, 14)
BOUGHT = date(2024, 3, 1)
KILOGRAM = 1_000_000_000_000


def eid_of(number: int) -> str:
    """An EID of the herd (ISO 11784: country code and twelve digits)."""
    return f"840{number:012}"


@dataclass(slots=True)
class Place:
    """One installation and the people who work there; what the record refuses them is no news here."""

    at: Installation
    refused: list[str] = field(default_factory=list)

    def edits(self, animal: UUID, **facts: str) -> None:
        with self.at.here():
            row = Animal.objects.of(self.at.outfit).filter(pk=animal).first()
            if row is not None:
                self._try(animals.correct, animal=row, facts=facts, reason="")

    def weighs(self, animal: UUID, kilograms: int, on: date = DAY) -> UUID:
        data = {"weight": str(kilograms), "unit": "kg"}
        new = NewEvent(animal, "weight", on, data, weight_ng=kilograms * KILOGRAM)
        with self.at.here():
            self._try(events.record, events=[new])
        return new.id

    def voids(self, event: UUID) -> None:
        with self.at.here():
            self._try(events.void, event_id=event, reason="")

    def corrects(self, event: UUID, animal: UUID, kilograms: int) -> UUID:
        data = {"weight": str(kilograms), "unit": "kg"}
        new = NewEvent(animal, "weight", DAY, data, weight_ng=kilograms * KILOGRAM)
        with self.at.here():
            self._try(events.correct, event_id=event, new=new, reason="")
        return new.id

    def sells(self, animal: UUID, on: date = DAY) -> None:
        with self.at.here():
            self._try(events.record, events=[NewEvent(animal, "sale", on)])

    def moves(self, animal: UUID, group: UUID, on: date = DAY) -> None:
        with self.at.here():
            self._try(groups.move, animal_ids=[animal], group_id=group, on=on)

    def opens_group(self, name: str) -> UUID | None:
        with self.at.here():
            found: UUID | None = self._try(groups.open_group, name=name)
            return found

    def tags(self, animal: UUID, number: str, kind: str = "eid") -> None:
        with self.at.here():
            self._try(tags.put_on, tag=PutOn(animal, kind, number, worn_from=DAY))

    def takes_tag_off(self, animal: UUID, on: date = DAY) -> None:
        with self.at.here():
            worn = TagWearing.objects.of(self.at.outfit).filter(animal=animal, kind="eid", ended="").first()
            if worn is not None:
                self._try(tags.take_off, wearing_id=worn.pk, on=on, ended="lost")

    def replaces_tag(self, animal: UUID, number: str) -> None:
        with self.at.here():
            worn = TagWearing.objects.of(self.at.outfit).filter(animal=animal, kind="eid", ended="").first()
            if worn is not None:
                new = PutOn(animal, "eid", number, worn_from=DAY, began="retagged")
                self._try(tags.replace, old=worn, ended="broken", new=new)

    def registers(self, number: str, group: UUID | None = None, **facts: Any) -> UUID | None:
        wanted = {"entry_class": "cow", "breed": "AN", **facts}
        with self.at.here():
            made: UUID | None = self._try(
                animals.register, facts=wanted, tags=[eid_tag(number)], group_id=group, on=BOUGHT
            )
            return made

    def merges(self, kept: UUID, other: UUID) -> None:
        choices = MergeChoices(on=DAY, facts_of_other=frozenset(), eid="kept", group="kept")
        with self.at.here():
            self._try(merging.merge, kept_id=kept, other_id=other, choices=choices, reason="")

    def phone(self, name: str, scope: Sequence[UUID] = ()) -> PocketPhone:
        """A phone that delivers here, with its first copy of the groups of its scope, of all where there is none."""
        phone = {"name": name, "kind": DeviceKind.PHONE, "role": DeviceRole.CAPTURE, "groups": scope}
        with self.at.here():
            enrolled = enrol(make_device(outfit=self.at.outfit, by=None, **phone)[1])
            made = PocketPhone(enrolled.token, frozenset(map(str, scope)), str(enrolled.device.pk))
            made.first_copy()
        return made

    def animal(self, key: UUID) -> Animal:
        with self.at.here():
            return Animal.objects.get(pk=key)

    def worn(self, animal: UUID) -> list[str]:
        """The EIDs that the animal wears."""
        with self.at.here():
            rows = TagWearing.objects.filter(animal=animal, ended="", is_void=False, kind="eid")
            return sorted(rows.values_list("tag__number", flat=True))

    def _try(self, service: Any, **given: Any) -> Any:
        try:
            return service(entry=entry(self.at.outfit, title=f"at the {self.at.name}"), **given)
        except Refused as problem:
            self.refused.extend(one.reason for one in problem.refusals)
            return None


@dataclass(slots=True)
class World:
    """The office and the installations that follow it, with a herd in two groups."""

    office: Place
    laptop: Place
    pen: Place
    groups: list[UUID]
    herd: list[UUID]

    @property
    def places(self) -> list[Place]:
        return [self.office, self.laptop, self.pen]

    def settle(self, rounds: int = 2) -> int:
        """Let everyone sync until nothing is on its way; return how much moved."""
        following = [place for place in (self.laptop, self.pen) if place.at.line is not None]
        done = [place.at.sync() for _ in range(rounds) for place in following]
        return sum(one.sent + one.came for one in done)

    def is_one(self) -> None:
        """Every place has the same record, and each is what its rows come to."""
        exports = [place.at.export() for place in self.places if place is self.office or place.at.line is not None]
        for export in exports[1:]:
            assert export == exports[0]
        ledgers = [_ledger(place) for place in self.places if place is self.office or place.at.line is not None]
        for ledger in ledgers[1:]:
            assert ledger == ledgers[0], "the ledgers tell different histories"
        for place in self.places:
            with place.at.here():
                call_command("check_record", stdout=StringIO())


def _ledger(place: Place) -> list[tuple[UUID, UUID]]:
    """The changes in their order, each with its changeset, without the marks that tell devices of rows set back."""
    with place.at.here():
        rows = Change.objects.exclude(changeset__title=FOLLOWS).order_by("position")
        return list(rows.values_list("pk", "changeset_id"))


def make_world(installations: list[Installation], *, head: int = 4, with_pen: bool = False) -> World:
    """An office with a herd in two groups, and one or two installations that have taken their first copy."""
    office, laptop, pen = installations
    with office.here():
        outfit = Outfit.objects.create(code="kettle-bench", name="Kettle Bench")
        pens = [groups.open_group(entry=entry(outfit), name=name) for name in ("Upper Bench", "Mill Trap")]
        herd = [
            register(
                outfit,
                eid_tag(eid_of(100 + number)),
                vid_tag(str(100 + number)),
                group_id=pens[number % 2],
                on=BOUGHT,
                breed="AN",
            )
            for number in range(head)
        ]
    laptop.enrol_with(office)
    if with_pen:
        pen.enrol_with(office)
    return World(Place(office), Place(laptop), Place(pen), pens, herd)
