"""Which tables an archive holds, in the order in which they are loaded, and which rows are an outfit's."""

from dataclasses import dataclass
from typing import Any

from django.db import models
from django.db.models import Q

from herd.accounts.models import KeptAnswer, Outfit, OutfitChange, OutfitPerson, Person, ResetCode
from herd.intake.models import (
    FieldFile,
    Finding,
    MergedLine,
    ProcessingDay,
    Recipe,
    Ruling,
    StagedRow,
    StandingRule,
)
from herd.ledger.models import Change, Changeset, FeedCounter
from herd.registry.models import (
    Animal,
    Breed,
    Event,
    Group,
    GroupMembership,
    HeadCheck,
    HerdList,
    Location,
    MissingTag,
    PolicyValue,
    Product,
    Tag,
    TagBox,
    TagWearing,
)
from herd.sync.models import Alias, Device, Operation, Receipt, Upstream


@dataclass(frozen=True, slots=True)
class ArchiveTable:
    """A table of the archive; `outfit` is the way from a row to its outfit, empty for people, who may have several."""

    model: type[models.Model]
    outfit: str = "outfit"

    @property
    def label(self) -> str:
        """Room and model in small letters, as in registry.animal."""
        return self.model._meta.label_lower

    @property
    def entry(self) -> str:
        """The table's name inside the archive."""
        return f"tables/{self.label}.ndjson"

    @property
    def fields(self) -> list[Any]:
        """The columns that stand in the table; a field file's bytes lie beside it."""
        return [field for field in self.model._meta.concrete_fields if not isinstance(field, models.BinaryField)]

    def rows(self, outfit: Outfit | None) -> models.QuerySet[Any]:
        """All rows of an outfit, voided ones too, or of every outfit, by key."""
        rows: models.QuerySet[Any] = self.model._default_manager.order_by("pk")
        if outfit is None:
            return rows
        return rows.filter(Q(**{self.outfit: outfit.pk}) if self.outfit else _people_of(outfit))


TABLES: tuple[ArchiveTable, ...] = (
    ArchiveTable(Outfit, "pk"),
    ArchiveTable(Person, ""),
    ArchiveTable(OutfitPerson),
    ArchiveTable(OutfitChange),
    ArchiveTable(Location),
    ArchiveTable(Breed),
    ArchiveTable(Product),
    ArchiveTable(Group),
    ArchiveTable(Animal),
    ArchiveTable(GroupMembership),
    ArchiveTable(Tag),
    ArchiveTable(TagWearing),
    ArchiveTable(Event),
    ArchiveTable(TagBox),
    ArchiveTable(MissingTag),
    ArchiveTable(HeadCheck),
    ArchiveTable(HerdList),
    ArchiveTable(PolicyValue),
    ArchiveTable(FeedCounter),
    ArchiveTable(Changeset),
    ArchiveTable(Change),
    ArchiveTable(ProcessingDay),
    ArchiveTable(FieldFile, "day__outfit"),
    ArchiveTable(Recipe),
    ArchiveTable(MergedLine, "day__outfit"),
    ArchiveTable(StagedRow, "day__outfit"),
    ArchiveTable(Finding, "day__outfit"),
    ArchiveTable(Ruling, "day__outfit"),
    ArchiveTable(StandingRule),
    ArchiveTable(Device),
    ArchiveTable(Operation),
    ArchiveTable(Upstream),
    ArchiveTable(Receipt),
    ArchiveTable(Alias),
)

# One-time codes lapse within hours; permissions name rows that Django numbers anew in each installation.
LEFT_OUT: tuple[type[models.Model], ...] = (
    ResetCode,
    KeptAnswer,
    Person.groups.through,
    Person.user_permissions.through,
)


def file_entry(day_id: object, file_id: object) -> str:
    """The name of a field file's bytes inside the archive."""
    return f"files/{day_id}/{file_id}"


def _people_of(outfit: Outfit) -> Q:
    """People who have a role in the outfit, or whose name stands on something that they once did in it."""
    named: list[models.QuerySet[Any]] = [
        OutfitPerson.objects.filter(outfit=outfit).values("person"),
        OutfitChange.objects.filter(outfit=outfit, person__isnull=False).values("person"),
        Changeset.objects.filter(outfit=outfit, person__isnull=False).values("person"),
        ProcessingDay.objects.filter(outfit=outfit, made_by__isnull=False).values("made_by"),
        ProcessingDay.objects.filter(outfit=outfit, asked_by__isnull=False).values("asked_by"),
        Ruling.objects.filter(day__outfit=outfit, person__isnull=False).values("person"),
        StandingRule.objects.filter(outfit=outfit, person__isnull=False).values("person"),
        Device.objects.filter(outfit=outfit, made_by__isnull=False).values("made_by"),
    ]
    people = Q()
    for some in named:
        people |= Q(pk__in=some)
    return people
