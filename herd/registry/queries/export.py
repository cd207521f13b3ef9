"""The record in a stable, documented form: what `manage.py export` prints and tests compare.

One outfit as plain JSON values. Animals come by id; tags, memberships and events of each by day and id.
Voided rows do not appear, so that a record that was changed and then undone prints the same bytes as before.
Beside each fact stands its source: the field file and line, or nothing for what was typed in the office.
"""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Action, Change
from herd.registry.models import Animal, Event, Group, GroupMembership, Location, TagWearing
from herd.registry.queries.changes import facts_of
from herd.registry.queries.paging import by_key

Sources = dict[UUID, dict[str, dict[str, Any]]]

STEP = 500

ANIMAL_FACTS = (
    "entry_class",
    "entered_on",
    "born_on",
    "born_precision",
    "breed",
    "coat",
    "origin",
    "dam_id",
    "sire_id",
    "animal_class",
    "status",
    "status_since",
)


def export_outfit(outfit: Outfit) -> Iterator[dict[str, Any]]:
    """Yield the outfit's head line, its locations and groups, then one item for each animal."""
    yield {"outfit": outfit.code, "name": outfit.name, "time_zone": outfit.time_zone, "format": 1}
    for location in Location.objects.of(outfit).order_by("name"):
        yield {"location": location.name, "premises_number": location.premises_number}
    for group in Group.objects.of(outfit).select_related("location").order_by("name"):
        place = group.location.name if group.location else None
        yield {"group": group.name, "kind": group.kind, "location": place, "is_closed": group.is_closed}
    for animals in by_key(Animal.objects.of(outfit).select_related("group", "location"), STEP):
        yield from _export_some(outfit, animals)


def _export_some(outfit: Outfit, animals: list[Animal]) -> Iterator[dict[str, Any]]:
    ids = [animal.pk for animal in animals]
    sources = _sources(outfit, ids)
    worn = TagWearing.objects.of(outfit).filter(animal__in=ids).select_related("tag")
    tags = _by_animal(worn, _tag, sources)
    joined = GroupMembership.objects.of(outfit).filter(animal__in=ids).select_related("group")
    stays = _by_animal(joined, _stay, sources)
    events = _by_animal(Event.objects.of(outfit).filter(animal__in=ids), _event, sources)
    for animal in animals:
        yield {
            "animal": str(animal.pk),
            "facts": {name: _plain(getattr(animal, name)) for name in ANIMAL_FACTS},
            "group": animal.group.name if animal.group else None,
            "location": animal.location.name if animal.location else None,
            "sources": dict(sorted(sources[animal.pk].items())),
            "tags": tags[animal.pk],
            "memberships": stays[animal.pk],
            "events": events[animal.pk],
        }


def _by_animal(rows: Any, shape: Any, sources: Sources) -> dict[UUID, list[dict[str, Any]]]:
    found: dict[UUID, list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        item = {"id": str(row.pk), **shape(row)}
        source = next(iter(sources[row.pk].values()), None)
        found[row.animal_id].append({**item, "source": source})
    for items in found.values():
        items.sort(key=lambda item: (item.get("from") or item.get("on") or "", item["id"]))
    return found


def _tag(row: TagWearing) -> dict[str, Any]:
    return {
        "kind": row.kind,
        "number": row.tag.number,
        "colour": row.tag.colour,
        "issuer_year": row.tag.issuer_year,
        "from": _plain(row.worn_from),
        "began": row.began,
        "to": _plain(row.worn_to),
        "ended": row.ended,
        "is_second": row.is_second,
    }


def _stay(row: GroupMembership) -> dict[str, Any]:
    return {"group": row.group.name, "from": _plain(row.joined_on), "to": _plain(row.left_on)}


def _event(row: Event) -> dict[str, Any]:
    return {
        "kind": row.kind,
        "on": _plain(row.happened_on),
        "at": _plain(row.happened_at),
        "precision": row.precision,
        "data": dict(sorted(row.data.items())),
        "weight_ng": row.weight_ng,
    }


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, (str, int, bool)):
        return value
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


def _sources(outfit: Outfit, animal_ids: list[UUID]) -> Sources:
    """For each row of these animals, the source of each column: that of the last change that stands."""
    changes = Change.objects.filter(outfit=outfit, animal_id__in=animal_ids)
    found: Sources = defaultdict(dict)
    for change in facts_of(changes):
        source = {"file": change.source_file, "line": change.source_line} if change.source_file else None
        for name in sorted(change.after or {}) if change.action != Action.VOIDED else ():
            if source:
                found[change.subject_id][name] = source
            else:
                found[change.subject_id].pop(name, None)
    return found
