"""Loads what rows from a record kept elsewhere are compared with: ids that stand here, stays, names of places."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from uuid import UUID

from herd.accounts.models import Outfit
from herd.intake.deciding.context import Context, Line, PastStay
from herd.intake.matching.numbers import Row
from herd.ledger.rows import in_steps
from herd.registry.models import Event, GroupMembership, Location, Record, TagWearing


def load_carried(outfit: Outfit, context: Context, lines: Iterable[Line]) -> None:
    """Fill the context with what deciding these lines needs; nothing is asked where no row was carried over."""
    listed = list(lines)
    rows = [row for line in listed for row in line.rows]
    context.called = {row.readings["called"]: line.key for line in listed for row in line.rows if _is_called(row)}
    for model, key in ((Event, "told"), (TagWearing, "worn"), (GroupMembership, "stay")):
        context.standing |= _standing(outfit, model, {UUID(one) for row in rows for one in _ids(row, key)})
    if any("place" in row.readings for row in rows):
        context.location_names = dict(Location.objects.of(outfit).values_list("id", "name"))
    with_stays = {line.animal_id for line in listed if line.animal_id and any("stay" in r.readings for r in line.rows)}
    context.stays = _stays(outfit, with_stays)


def _is_called(row: Row) -> bool:
    return bool(row.readings.get("called"))


def _ids(row: Row, key: str) -> Iterator[str]:
    said = row.readings.get(key, ())
    for one in [said] if isinstance(said, dict) else said:
        yield from one["ids"]


def _standing(outfit: Outfit, model: type[Record], ids: set[UUID]) -> set[UUID]:
    found: set[UUID] = set()
    for some in in_steps(ids):
        found.update(model.objects.of(outfit).filter(pk__in=some).values_list("pk", flat=True))
    return found


def _stays(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[UUID, list[PastStay]]:
    found: dict[UUID, list[PastStay]] = defaultdict(list)
    for ids in in_steps(animal_ids):
        rows = GroupMembership.objects.of(outfit).filter(animal__in=ids).order_by("joined_on", "id")
        for animal_id, name, joined, left in rows.values_list("animal_id", "group__name", "joined_on", "left_on"):
            found[animal_id].append(PastStay(name, joined, left))
    return found
