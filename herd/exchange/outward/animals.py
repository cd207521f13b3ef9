"""Animals with their tags and parents, and the registration of those that were born here."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from herd.exchange.facts import read_facts
from herd.exchange.kinds.shape import filled
from herd.exchange.moments import When, read_when, say_day
from herd.exchange.names import ANIMAL, BREED, EXTENSION, SCHEME_OF_TAG, say_identifier
from herd.exchange.node import Node
from herd.exchange.outward.scope import Scope, ids_of
from herd.exchange.whole import say_own_when
from herd.registry.models import Animal, AnimalStatus, TagKind, TagWearing

_ANY_ZONE = ZoneInfo("UTC")
GENDERS = {"cow": "Female", "heifer": "Female", "bull": "Male", "steer": "MaleNeuter"}
STATES = {
    AnimalStatus.ON_HAND: "Alive",
    AnimalStatus.DEAD: "Dead",
    AnimalStatus.SOLD: "OffFarm",
    AnimalStatus.TRANSFERRED: "OffFarm",
    AnimalStatus.MISSING: "Unknown",
}


def gender_of(animal_class: str) -> str:
    """The standard's word for the sex of a class."""
    return GENDERS.get(animal_class, "Unknown")


def say_animals(scope: Scope) -> Iterator[dict[str, Any]]:
    """Yield the animals, each with all its tags."""
    for animals in scope.stretches(scope.animals(), Animal.SUBJECT):
        yield from say_stretch(scope, animals)


def say_stretch(scope: Scope, animals: Sequence[Animal]) -> Iterator[dict[str, Any]]:
    """Yield these animals."""
    ids = ids_of(animals)
    worn: dict[UUID, list[TagWearing]] = defaultdict(list)
    for row in TagWearing.objects.of(scope.outfit).filter(animal__in=ids).select_related("tag").order_by("pk"):
        worn[row.animal_id].append(row)
    modified = scope.modified(ids, (Animal.SUBJECT, TagWearing.SUBJECT))
    for animal in animals:
        resource = _say_animal(animal, worn[animal.pk])
        resource["meta"] = scope.meta(animal.pk, modified.get(animal.pk))
        resource["location"] = scope.place
        yield resource


def _say_animal(animal: Animal, worn: Sequence[TagWearing]) -> dict[str, Any]:
    open_ones = [row for row in worn if row.is_open]
    visual = next((row.tag.number for row in open_ones if row.kind == TagKind.VID), "")
    resource = filled(
        {
            "resourceType": "icarAnimalCoreResource",
            "identifier": say_identifier(ANIMAL, animal.pk),
            "alternativeIdentifiers": [say_identifier(SCHEME_OF_TAG[row.kind], row.tag.number) for row in open_ones],
            "specie": "Cattle",
            "gender": gender_of(animal.animal_class),
            "birthDate": say_day(animal.born_on) if animal.born_on else "",
            "primaryBreed": say_identifier(BREED, animal.breed) if animal.breed else {},
            "coatColor": animal.coat,
            "managementTag": visual,
            "status": STATES[AnimalStatus(animal.status)],
            "parentage": list(_parentage(animal)),
        }
    )
    own = _extension(resource, animal) | {"tags": [_say_wearing(row) for row in worn]}
    return {**resource, EXTENSION: own}


def _parentage(animal: Animal) -> Iterator[dict[str, Any]]:
    for gender, parent in (("Female", animal.dam_id), ("Male", animal.sire_id)):
        if parent:
            child, one = say_identifier(ANIMAL, animal.pk), say_identifier(ANIMAL, parent)
            yield {"parentOf": child, "gender": gender, "relation": "Genetic", "identifier": one}


def _extension(resource: dict[str, Any], animal: Animal) -> dict[str, Any]:
    """The facts that reading the standard's part alone does not give."""
    meant = filled(
        {
            "class": animal.entry_class,
            "enteredOn": animal.entered_on.isoformat() if animal.entered_on else "",
            "breed": animal.breed,
            "coat": animal.coat,
            "origin": animal.origin,
        }
    )
    said = read_facts(Node(resource))
    facts = {key: value for key, value in meant.items() if said.get(key) != value}
    without = sorted(set(said) - set(meant))
    birth = When(animal.born_on, None, animal.born_precision)
    born = say_own_when(read_when(Node(resource), "birthDate", _ANY_ZONE), birth)
    return filled({"facts": facts, "without": without, "birth": born})


def _say_wearing(row: TagWearing) -> dict[str, Any]:
    return filled(
        {
            "id": str(row.pk),
            "kind": row.kind,
            "number": row.tag.number,
            "colour": row.tag.colour,
            "issuerYear": row.tag.issuer_year or None,
            "from": row.worn_from.isoformat() if row.worn_from else None,
            "precision": row.worn_from_precision,
            "began": row.began,
            "to": row.worn_to.isoformat() if row.worn_to else None,
            "ended": row.ended,
            "isSecond": row.is_second or None,
            "secondReason": row.second_reason,
            "endedReason": row.ended_reason,
            "removedAt": row.removed_at,
            "replaces": str(row.replaces_id) if row.replaces_id else None,
        }
    )


def say_births(scope: Scope) -> Iterator[dict[str, Any]]:
    """Yield the registration of each animal whose birth day and dam are known: it was born here."""
    rows = scope.animals().filter(born_on__isnull=False, dam__isnull=False)
    for animals in scope.stretches(rows, Animal.SUBJECT):
        yield from say_birth_stretch(scope, animals)


def say_birth_stretch(scope: Scope, animals: Iterable[Animal]) -> Iterator[dict[str, Any]]:
    """Yield the registrations of these animals."""
    listed = list(animals)
    modified = scope.modified(ids_of(listed), (Animal.SUBJECT, TagWearing.SUBJECT))
    for animal in listed:
        key = f"{animal.pk}:birth"
        resource: dict[str, Any] = {
            "resourceType": "icarMovementBirthEventResource",
            "id": key,
            "meta": scope.meta(key, modified.get(animal.pk)),
            "location": scope.place,
            "animal": say_identifier(ANIMAL, animal.pk),
            "eventDateTime": say_day(animal.born_on) if animal.born_on else "",
            "registrationReason": "Born",
        }
        own = say_own_when(When(animal.born_on, None, "day"), When(animal.born_on, None, animal.born_precision))
        yield {**resource, EXTENSION: {"when": own}} if own else resource
