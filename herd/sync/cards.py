"""Cards: what a device needs to know of an animal at the chute, in one small document."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any
from uuid import UUID

import orjson
from django.db.models import F
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.ledger.rows import day_text, driver_rows, id_text, in_steps
from herd.registry.models import Animal, Event, TagWearing
from herd.registry.queries.withdrawal import withdrawals
from herd.reports.due import due_of
from herd.values.withdrawal import latest_end

Card = dict[str, Any]

LAST_WEIGHTS = 3
COLUMNS = (
    "id",
    "revision",
    "animal_class",
    "status",
    "status_since",
    "group_id",
    "location_id",
    "entry_class",
    "entered_on",
    "born_on",
    "born_precision",
    "breed",
    "coat",
    "origin",
    "dam_id",
    "sire_id",
)
# COLUMNS of an animal as the driver hands them.
AnimalRow = tuple[Any, ...]


def cards_of(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[UUID, Card]:
    """The cards of these animals as they stand now, in a few queries for each eight hundred of them."""
    found: dict[UUID, Card] = {}
    for ids in in_steps(animal_ids):
        cards = cards_for(outfit, driver_rows(Animal.objects.of(outfit).filter(pk__in=ids).values_list(*COLUMNS)))
        found.update((UUID(card["id"]), card) for card in cards)
    return found


def cards_for(outfit: Outfit, animals: Sequence[AnimalRow]) -> list[Card]:
    """The cards of animals that were read already, with COLUMNS as the driver hands them, in a few queries."""
    ids = [_id(row[0]) for row in animals]
    tags, weights, checks = _tags(outfit, ids), *_latest(outfit, ids)
    now = timezone.now()
    holds, due = withdrawals(outfit, ids, now), due_of(outfit, ids, now.astimezone(outfit.zone).date())
    cards = []
    for row, key in zip(animals, ids, strict=True):
        card, same = _facts(row), row[0]
        hold = latest_end(holds[key]) if key in holds else None
        card["tags"] = tags.get(same, [])
        card["weights"] = weights.get(same, [])
        card["pregnancy"] = checks.get(same)
        card["due_on"] = day_text(due[key].expected) if key in due else None
        card["in_withdrawal"] = hold is not None
        card["free_on"] = day_text(hold.free_on) if hold else None
        cards.append(card)
    return cards


def _id(value: Any) -> UUID:
    return UUID(value) if type(value) is str else value


def _facts(row: AnimalRow) -> Card:
    key, revision, animal_class, status, since, group, location, entry_class, entered, born, precision, *rest = row
    breed, coat, origin, dam, sire = rest
    return {
        "id": id_text(key),
        "revision": revision,
        "class": animal_class,
        "status": status,
        "status_since": day_text(since),
        "group": id_text(group),
        "location": id_text(location),
        "entry_class": entry_class,
        "entered_on": day_text(entered),
        "born_on": day_text(born),
        "born_precision": precision,
        "breed": breed,
        "coat": coat,
        "origin": origin,
        "dam": id_text(dam),
        "sire": id_text(sire),
    }


def _tags(outfit: Outfit, ids: list[UUID]) -> dict[Any, list[dict[str, str]]]:
    rows = TagWearing.objects.of(outfit).filter(animal__in=ids, ended="").order_by("kind", "is_second", "id")
    found: dict[Any, list[dict[str, str]]] = defaultdict(list)
    for animal, kind, number, colour in driver_rows(
        rows.values_list("animal_id", "kind", "tag__number", "tag__colour")
    ):
        found[animal].append({"kind": kind, "number": number, "colour": colour})
    return found


def _latest(outfit: Outfit, ids: list[UUID]) -> tuple[dict[Any, list[Card]], dict[Any, Card]]:
    """The last weights and the last pregnancy check of each animal; what has no day counts as the oldest."""
    rows = Event.objects.of(outfit).filter(animal__in=ids, kind__in=("weight", "pregnancy_check"))
    rows = rows.order_by(F("happened_on").desc(nulls_last=True), "-id")
    weights: dict[Any, list[Card]] = defaultdict(list)
    checks: dict[Any, Card] = {}
    for animal, kind, on, data, ng in driver_rows(
        rows.values_list("animal_id", "kind", "happened_on", "data", "weight_ng")
    ):
        if kind == "pregnancy_check":
            if animal not in checks:
                said = orjson.loads(data)
                checks[animal] = {"on": day_text(on), "result": said.get("result"), "days": said.get("days")}
        elif len(weights[animal]) < LAST_WEIGHTS:
            said = orjson.loads(data)
            figure, unit = said.get("weight"), said.get("unit")
            weights[animal].append({"on": day_text(on), "weight": figure, "unit": unit, "ng": str(ng)})
    return weights, checks
