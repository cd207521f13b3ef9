"""Pages of a collection: some rows of it by number, said in the standard's words."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from herd.exchange.kinds.table import RESOURCES, kinds_of
from herd.exchange.outward import animals, events, places
from herd.exchange.outward.scope import Scope
from herd.registry.models import Animal, Event, Group, GroupMembership

Rows = Callable[[Scope], Any]
SayRows = Callable[[Scope, Any], Iterator[dict[str, Any]]]


@dataclass(frozen=True, slots=True)
class Paged:
    """A collection that is read page by page: its rows, what kind of row they are, how they are said."""

    rows: Rows
    subject: str
    say: SayRows


def _born(scope: Scope) -> Any:
    return scope.animals().filter(born_on__isnull=False, dam__isnull=False)


def _left(scope: Scope) -> Any:
    return places.stays_of(scope).filter(left_on__isnull=False)


PAGED: dict[str, Paged] = {
    "animal-sets": Paged(places.groups_of, Group.SUBJECT, places.say_set_stretch),
    "animals": Paged(Scope.animals, Animal.SUBJECT, animals.say_stretch),
    "births": Paged(_born, Animal.SUBJECT, animals.say_birth_stretch),
    "animal-set-joins": Paged(places.stays_of, GroupMembership.SUBJECT, partial(places.say_moves, move="Join")),
    "animal-set-leaves": Paged(_left, GroupMembership.SUBJECT, partial(places.say_moves, move="Leave")),
    **{
        one.plural: Paged(partial(events.rows_of, kinds=kinds_of(one.plural)), Event.SUBJECT, events.say_stretch)
        for one in RESOURCES.values()
    },
}


def count_and_page(scope: Scope, plural: str, start: int, most: int) -> tuple[int, list[dict[str, Any]]]:
    """How many resources the collection has, and those from a place on; raises KeyError for no collection."""
    paged = PAGED[plural]
    rows = paged.rows(scope).order_by("pk")
    if scope.is_changes:
        rows = scope.changed_among(rows, paged.subject)
    return rows.count(), list(paged.say(scope, list(rows[start : start + most])))
