"""The guard against an animal that would be among its own ancestors, through any number of generations."""

from collections.abc import Iterable, Mapping
from graphlib import CycleError, TopologicalSorter
from typing import Any
from uuid import UUID

from herd.ledger.rows import in_steps
from herd.registry.models import Animal
from herd.registry.services.work import Work

PARENTS = ("dam_id", "sire_id")
WORDS = {"dam_id": "dam", "sire_id": "sire"}

Parents = dict[UUID, dict[str, UUID]]


def check_ancestry(work: Work, facts: Iterable[tuple[UUID, Mapping[str, Any]]], *, are_new: bool) -> None:
    """Refuse dams and sires that descend from the animal itself.

    New animals are nobody's parents outside their batch, so only edits ask the record who the ancestors are: each
    generation in one query, each ancestor once.
    """
    given: Parents = {}
    for animal_id, one in facts:
        named = {key: one[key] for key in PARENTS if one.get(key)}
        if named:
            given.setdefault(animal_id, {}).update(named)
    if not given:
        return
    known = given if are_new else _ancestors(work, given)
    try:
        TopologicalSorter({key: set(named.values()) for key, named in known.items()}).prepare()
    except CycleError as problem:
        _refuse(work, given, problem.args[1])


def _ancestors(work: Work, given: Parents) -> Parents:
    """All ancestors of these animals, as the record will have them."""
    known = dict(given)
    for animal_id, one in _asked(work, list(given)).items():
        known[animal_id] = {**one, **given[animal_id]}
    ahead = _unknown(known, known.values())
    while ahead:
        found = _asked(work, ahead)
        known.update({key: found.get(key, {}) for key in ahead})
        ahead = _unknown(known, found.values())
    return known


def _unknown(known: Parents, some: Iterable[Mapping[str, UUID]]) -> list[UUID]:
    return list(dict.fromkeys(parent for one in some for parent in one.values() if parent not in known))


def _asked(work: Work, ids: list[UUID]) -> Parents:
    found: Parents = {}
    for some in in_steps(ids):
        rows = Animal.objects.of(work.outfit).filter(pk__in=some).values_list("pk", *PARENTS)
        for key, *parents in rows:
            found[key] = {name: parent for name, parent in zip(PARENTS, parents, strict=True) if parent}
    return found


def _refuse(work: Work, given: Parents, circle: list[UUID]) -> None:
    """Say it beside the parent that closes the circle; animals of a circle each have the one before as a parent."""
    for parent, animal_id in zip(circle, circle[1:], strict=False):
        for key, named in given.get(animal_id, {}).items():
            if named == parent and parent != animal_id:
                work.refuse(
                    f"The {WORDS[key]} descends from the animal itself; an animal can't be its own ancestor.",
                    field_name=key,
                    animal_id=animal_id,
                )
                return
