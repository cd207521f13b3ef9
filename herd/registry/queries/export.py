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
from herd.registry.queries.changes import changes_about, facts_of
from herd.registry.queries.paging import by_key

Sources = dict[UUID, dict[str, dict[str, Any]]]

STEP = 500

ANIMAL_FACTS = {
    "class": "animal_class",
    "status": "status",
    "status_since": "status_since",
    "entry_class": "entry_class",
    "entered_on": "entered_on",
    "born_on": "born_on",
    "born_precision": "born_precision",
    "breed": "breed",
    "coat": "coat",
    "origin": "origin",
    "dam": "dam_id",
    "sire": "sire_id",
}


def outfit_head(outfit: Outfit) -> dict[str, Any]:
    """The outfit itself, with its locations and groups."""
    locations = Location.objects.of(outfit).order_by("name")
    groups = Group.objects.of(outfit).select_related("location").order_by("name")
    return {
        "format": 1,
        "outfit": outfit.code,
        "name": outfit.name,
        "time_zone": outfit.time_zone,
        "locations": [{"name": one.name, "premises_number": one.premises_number} for one in locations],
        "groups": [
            {
                "name": one.name,
                "kind": one.kind,
                "location": one.location.name if one.location else None,
                "is_closed": one.is_closed,
            }
            for one in groups
        ],
    }


def export_outfit(outfit: Outfit) -> Iterator[dict[str, Any]]:
    """Yield the outfit's head, then its animals."""
    yield outfit_head(outfit)
    yield from export_animals(outfit)


def export_animals(outfit: Outfit) -> Iterator[dict[str, Any]]:
    """Yield one item for each animal, by id, in flat memory."""
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
            "id": str(animal.pk),
            **{key: _plain(getattr(animal, name)) for key, name in ANIMAL_FACTS.items()},
            "group": animal.group.name if animal.group else None,
            "location": animal.location.name if animal.location else None,
            "sources": {
                key: sources[animal.pk][name]
                for key, name in ANIMAL_FACTS.items()
                if name in sources[animal.pk]
            },
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
    changes = changes_about(Change.objects.filter(outfit=outfit), animal_ids)
    found: Sources = defaultdict(dict)
    for change in facts_of(changes):
        source = {"file": change.source_file, "line": change.source_line} if change.source_file else None
        for name in sorted(change.after or {}) if change.action != Action.VOIDED else ():
            if source:
                found[change.subject_id][name] = source
            else:
                found[change.subject_id].pop(name, None)
    return found
