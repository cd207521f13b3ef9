"""What a sibling pulls: the ledger from a position on, and the rows that it is about, whole and as they are now."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Change, Changeset
from herd.ledger.rows import in_steps
from herd.registry.models import SUBJECTS, Record
from herd.registry.services.work import plain, written_columns
from herd.sync.cursors import Head, head_of
from herd.sync.siblings.carrying import change_as_json, head_as_json

MOST_CHANGES = 1_000

Asked = Mapping[str, Iterable[UUID]]


@dataclass(frozen=True, slots=True)
class Page:
    """A page: changes in the order of the feed, the changesets that they are of, rows, and ids that are not here."""

    head: Head
    reached: int
    more: bool
    changesets: dict[str, dict[str, Any]]
    changes: list[dict[str, Any]]
    rows: list[dict[str, Any]]
    absent: list[dict[str, str]]


def page_after(outfit: Outfit, after: int, asked: Asked) -> Page:
    """The changes after a position, with the rows of their subjects and of those that are asked for.

    The head is read first: what commits meanwhile is in the next page. Rows may be newer than the page, never older.
    """
    head = head_of(outfit)
    rows = Change.objects.filter(outfit=outfit, position__gt=after, position__lte=head.position)
    some = list(rows.order_by("position")[: MOST_CHANGES + 1])
    more = len(some) > MOST_CHANGES
    some = some[:MOST_CHANGES]
    reached = some[-1].position if more else head.position
    wanted: dict[str, set[UUID]] = defaultdict(set)
    for kind, ids in asked.items():
        wanted[kind].update(ids)
    for change in some:
        wanted[change.subject_kind].add(change.subject_id)
    found, absent = _rows(outfit, wanted)
    heads = _heads({change.changeset_id for change in some})
    return Page(head, reached, more, heads, [_change(one) for one in some], found, absent)


def rows_only(outfit: Outfit, asked: Asked) -> Page:
    """Only the rows that are asked for."""
    head = head_of(outfit)
    found, absent = _rows(outfit, {kind: set(ids) for kind, ids in asked.items()})
    return Page(head, head.position, more=False, changesets={}, changes=[], rows=found, absent=absent)


def _change(one: Change) -> dict[str, Any]:
    return {"changeset": str(one.changeset_id), **change_as_json(one)}


def _heads(ids: set[UUID]) -> dict[str, dict[str, Any]]:
    found = {}
    for some in in_steps(ids):
        found.update({str(one.pk): head_as_json(one) for one in Changeset.objects.filter(pk__in=some)})
    return found


def _rows(outfit: Outfit, wanted: Mapping[str, set[UUID]]) -> tuple[list[dict[str, Any]], list[dict[str, str]]]:
    found: list[dict[str, Any]] = []
    absent: list[dict[str, str]] = []
    for kind, model in SUBJECTS.items():
        missing = set(wanted.get(kind, ()))
        for ids in in_steps(sorted(missing)):
            for row in model.objects.filter(outfit=outfit, pk__in=ids):
                missing.discard(row.pk)
                found.append({"kind": kind, "id": str(row.pk), "is_void": row.is_void, "columns": _columns(row)})
        absent += [{"kind": kind, "id": str(key)} for key in sorted(missing)]
    return found, absent


def _columns(row: Record) -> dict[str, Any]:
    """All columns but those that follow from others."""
    return {name: plain(getattr(row, name)) for name in written_columns(type(row))}
