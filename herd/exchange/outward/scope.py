"""What goes out: whose record, which animals of it, and what has changed since when."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Any
from uuid import UUID

from django.db.models import Max, Q

from herd.accounts.models import Outfit
from herd.exchange.moments import say_moment
from herd.exchange.names import OUTFIT, say_identifier, source_of
from herd.ledger.models import Change
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, Record
from herd.registry.queries.merged import standing_for
from herd.registry.queries.paging import by_key

STEP = 500


@dataclass(frozen=True)
class Scope:
    """An outfit's record, or the part of it in some groups or at one location; `since` and `until` bound changes."""

    outfit: Outfit
    since: datetime | None = None
    until: datetime | None = None
    groups: tuple[UUID, ...] = ()
    location: UUID | None = None
    merged: dict[UUID, UUID] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "merged", standing_for(self.outfit))

    @property
    def is_whole(self) -> bool:
        """Whether all of the outfit's animals are in it."""
        return not self.groups and self.location is None

    @property
    def is_changes(self) -> bool:
        """Whether only what has changed is asked for."""
        return self.since is not None or self.until is not None

    @cached_property
    def changed(self) -> dict[str, set[UUID]]:
        """The ids of what has changed, by kind of row; an animal has where a tag of it has."""
        found: dict[str, set[UUID]] = {}
        changes = Change.objects.filter(outfit=self.outfit, **self._between())
        for kind, key, animal in changes.values_list("subject_kind", "subject_id", "animal_id").iterator():
            found.setdefault(kind, set()).add(key)
            if kind == "wearing" and animal:
                found.setdefault("animal", set()).add(animal)
        return found

    def _between(self) -> dict[str, datetime]:
        bounds = {"changeset__recorded_at__gte": self.since, "changeset__recorded_at__lt": self.until}
        return {key: moment for key, moment in bounds.items() if moment is not None}

    def of_animals(self, prefix: str = "") -> Q:
        """What keeps rows to the animals of this part; `prefix` leads from a row to its animal."""
        asked = Q()
        if self.groups:
            asked &= Q(**{f"{prefix}group__in": self.groups})
        if self.location is not None:
            asked &= Q(**{f"{prefix}location": self.location})
        return asked

    def animals(self) -> Any:
        """The animals of this part."""
        return Animal.objects.of(self.outfit).filter(self.of_animals())

    def stretches(self, rows: Any, subject: str) -> Iterator[list[Any]]:
        """Rows by key, a few hundred at a time; only those that have changed where that is asked."""
        if not self.is_changes:
            yield from by_key(rows, STEP)
            return
        for ids in in_steps(sorted(self.changed.get(subject, ()))):
            yield list(rows.filter(pk__in=ids).order_by("pk"))

    def changed_among(self, rows: Any, subject: str) -> Any:
        """Of some rows those that have changed, as one query."""
        subjects = ("animal", "wearing") if subject == Animal.SUBJECT else (subject,)
        column = "animal_id" if subject == Animal.SUBJECT else "subject_id"
        changes = Change.objects.filter(outfit=self.outfit, subject_kind__in=subjects, **self._between())
        return rows.filter(pk__in=changes.values(column))

    def modified(self, ids: Iterable[UUID], subjects: tuple[str, ...]) -> dict[UUID, datetime]:
        """When each of these rows was last written, by its own id, or by the animal's for what it wears."""
        column = "animal_id" if "animal" in subjects else "subject_id"
        changes = Change.objects.filter(outfit=self.outfit, subject_kind__in=subjects, **{f"{column}__in": list(ids)})
        last = changes.order_by().values(column).annotate(last=Max("changeset__recorded_at"))
        return {one[column]: one["last"] for one in last}

    def meta(self, key: object, modified: datetime | None, *, is_deleted: bool = False) -> dict[str, Any]:
        """Where a resource comes from, and when it was last written."""
        when = say_moment(modified or self.outfit.created_at)
        found: dict[str, Any] = {"source": source_of(self.outfit), "sourceId": str(key), "modified": when}
        return {**found, "isDeleted": True} if is_deleted else found

    @property
    def place(self) -> dict[str, str]:
        """The outfit as the location of what it says."""
        return say_identifier(OUTFIT, self.outfit.code)


def ids_of(rows: Iterable[Record]) -> list[UUID]:
    """The ids of rows."""
    return [row.pk for row in rows]
