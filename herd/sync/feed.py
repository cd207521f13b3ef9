"""The feed: what changed since a cursor, as cards of the animals and rows of the lists that the changes touched.

The ledger is the feed: its positions appear in the order of commits, so that a reader never skips one. A page
covers a stretch of positions; each thing in it comes once, as it stands now, which may be newer than the
stretch and never older.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Change
from herd.ledger.rows import read_rows
from herd.registry.models import Animal, Group, Location, Product, Record
from herd.registry.queries.merged import standing_for
from herd.sync.cards import cards_of
from herd.sync.cursors import head_of, read_cursor, scope_of, write_cursor

LISTS: dict[str, type[Record]] = {model.SUBJECT: model for model in (Group, Location, Product)}
LIST_COLUMNS = {
    Group.SUBJECT: ("name", "kind", "location_id", "is_closed"),
    Location.SUBJECT: ("name", "premises_number", "is_retired"),
    Product.SUBJECT: (
        "name",
        "ingredient",
        "is_vaccine",
        "meat_withdrawal_days",
        "dose",
        "route",
        "needs_prescription",
        "is_retired",
    ),
}
# One animal's work is a handful of changes; so many changes make a page of at most about so many items.
MOST_CHANGES = 4_000


@dataclass(frozen=True, slots=True)
class Page:
    """A page of the feed."""

    epoch: UUID
    cursor: str
    more: bool
    items: list[dict[str, Any]]


def changes_since(outfit: Outfit, cursor: str, groups: list[UUID], limit: int) -> Page:
    """What changed since a cursor; raises Outdated. `limit` bounds the items of the page, roughly."""
    # The head is read before the page: what commits in between is in the next one.
    head, scope = head_of(outfit), scope_of(groups)
    after = read_cursor(cursor, head, scope)
    most = min(MOST_CHANGES, limit * 4)
    rows = Change.objects.filter(outfit=outfit, position__gt=after, position__lte=head.position)
    columns = ("position", "subject_kind", "subject_id", "animal_id", "before", "after")
    some = read_rows(rows.order_by("position").values_list(*columns)[: most + 1])
    more = len(some) > most
    some = some[:most]
    reached = some[-1][0] if more else head.position
    animals = {animal for *_, animal, _, _ in some if animal}
    animals |= {UUID(str(one)) for row in some for one in _named(row[4], row[5])}
    animals |= _moved_with_groups(outfit, some)
    lists = {(kind, subject) for _, kind, subject, *_ in some if kind in LISTS}
    items = [*list_items(outfit, lists, groups), *animal_items(outfit, animals, groups)]
    return Page(head.epoch, write_cursor(head, reached, scope), more, items)


def _named(before: Any, after: Any) -> set[str]:
    """Animals that a change names beside its own, as where a row went from one animal to another."""
    columns = ("animal_id", "same_as_id")
    return {side[name] for side in (before or {}, after or {}) for name in columns if side.get(name)}


def _moved_with_groups(outfit: Outfit, some: Iterable[Any]) -> set[UUID]:
    """The animals of groups that went to another location, which no change of their own tells."""
    moved = {
        subject
        for _, kind, subject, _, before, _ in some
        if kind == Group.SUBJECT and "location_id" in (before or {})
    }
    if not moved:
        return set()
    return set(Animal.objects.of(outfit).filter(group__in=moved).values_list("pk", flat=True))


def animal_items(outfit: Outfit, animals: Iterable[UUID], groups: list[UUID]) -> list[dict[str, Any]]:
    """One item an animal: its card where the scope has it, else that it left, was merged or is gone."""
    wanted = sorted(set(animals))
    cards = cards_of(outfit, wanted)
    scope = {str(one) for one in groups}
    merged = standing_for(outfit) if len(cards) < len(wanted) else {}
    return [_animal_item(key, cards.get(key), scope, merged) for key in wanted]


def _animal_item(
    key: UUID, card: dict[str, Any] | None, scope: set[str], merged: dict[UUID, UUID]
) -> dict[str, Any]:
    if card is None:
        into = merged.get(key)
        if into is not None:
            return {"kind": "animal", "state": "merged", "id": str(key), "into": str(into)}
        return {"kind": "animal", "state": "gone", "id": str(key)}
    if scope and card["group"] not in scope:
        return {"kind": "animal", "state": "out", "id": str(key)}
    return {"kind": "animal", "state": "in", "id": str(key), "card": card}


def list_items(outfit: Outfit, wanted: Iterable[tuple[str, UUID]], groups: list[UUID]) -> list[dict[str, Any]]:
    """One item a row of a list: the row, or that it is gone."""
    items = []
    by_kind: dict[str, set[UUID]] = {}
    for kind, key in wanted:
        by_kind.setdefault(kind, set()).add(key)
    for kind, keys in sorted(by_kind.items()):
        if kind == Group.SUBJECT and groups:
            keys &= set(groups)
        rows = LISTS[kind].objects.of(outfit).filter(pk__in=keys).in_bulk()
        items += [list_item(kind, key, rows.get(key)) for key in sorted(keys)]
    return items


def list_item(kind: str, key: UUID, row: Record | None) -> dict[str, Any]:
    """A row of a list as an item."""
    if row is None:
        return {"kind": kind, "state": "gone", "id": str(key)}
    columns = {name.removesuffix("_id"): getattr(row, name) for name in LIST_COLUMNS[kind]}
    plain = {name: str(value) if isinstance(value, UUID) else value for name, value in columns.items()}
    return {"kind": kind, "state": "in", "id": str(key), "card": {"id": str(key), **plain}}
