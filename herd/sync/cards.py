"""Cards: what a device needs to know of an animal at the chute, in one small document."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any
from uuid import UUID

from django.utils import timezone

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, Event, TagWearing
from herd.registry.queries.withdrawal import withdrawals
from herd.values.withdrawal import latest_end

LAST_WEIGHTS = 3
KINDS = ("weight", "pregnancy_check", "service", "calving")


def cards_of(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[UUID, dict[str, Any]]:
    """The cards of these animals as they stand now, in four queries for each eight hundred of them."""
    found: dict[UUID, dict[str, Any]] = {}
    for ids in in_steps(animal_ids):
        found.update(cards_for(outfit, list(Animal.objects.of(outfit).filter(pk__in=ids))))
    return found


def cards_for(outfit: Outfit, animals: Sequence[Animal]) -> dict[UUID, dict[str, Any]]:
    """The cards of animals that were read already, at most eight hundred, in three queries."""
    ids = [animal.pk for animal in animals]
    tags, events = _tags(outfit, ids), _events(outfit, ids)
    holds = withdrawals(outfit, ids, timezone.now())
    found: dict[UUID, dict[str, Any]] = {}
    for animal in animals:
        hold = latest_end(holds.get(animal.pk, []))
        found[animal.pk] = {
            **_facts(animal),
            "tags": tags[animal.pk],
            **_last(events[animal.pk]),
            "in_withdrawal": hold is not None,
            "free_on": _plain(hold.free_on) if hold else None,
        }
    return found


def _facts(animal: Animal) -> dict[str, Any]:
    return {
        "id": str(animal.pk),
        "revision": animal.revision,
        "class": animal.animal_class,
        "status": animal.status,
        "status_since": _plain(animal.status_since),
        "group": _plain(animal.group_id),
        "location": _plain(animal.location_id),
        "entry_class": animal.entry_class,
        "entered_on": _plain(animal.entered_on),
        "born_on": _plain(animal.born_on),
        "born_precision": animal.born_precision,
        "breed": animal.breed,
        "coat": animal.coat,
        "origin": animal.origin,
        "dam": _plain(animal.dam_id),
        "sire": _plain(animal.sire_id),
    }


def _plain(value: Any) -> str | None:
    if value is None:
        return None
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


def _tags(outfit: Outfit, ids: list[UUID]) -> dict[UUID, list[dict[str, str]]]:
    rows = TagWearing.objects.of(outfit).filter(animal__in=ids, ended="").order_by("kind", "is_second", "id")
    found: dict[UUID, list[dict[str, str]]] = defaultdict(list)
    for animal, kind, number, colour in rows.values_list("animal_id", "kind", "tag__number", "tag__colour"):
        found[animal].append({"kind": kind, "number": number, "colour": colour})
    return found


def _events(outfit: Outfit, ids: list[UUID]) -> dict[UUID, list[Event]]:
    found: dict[UUID, list[Event]] = defaultdict(list)
    for event in Event.objects.of(outfit).filter(animal__in=ids, kind__in=KINDS).order_by("-happened_on", "-id"):
        found[event.animal_id].append(event)
    return found


def _last(events: list[Event]) -> dict[str, Any]:
    weights = [one for one in events if one.kind == "weight"][:LAST_WEIGHTS]
    check = next((one for one in events if one.kind == "pregnancy_check"), None)
    return {
        "weights": [
            {
                "on": _plain(one.happened_on),
                "weight": one.data.get("weight"),
                "unit": one.data.get("unit"),
                "ng": str(one.weight_ng),
            }
            for one in weights
        ],
        "pregnancy": {
            "on": _plain(check.happened_on),
            "result": check.data.get("result"),
            "days": check.data.get("days"),
        }
        if check
        else None,
    }
