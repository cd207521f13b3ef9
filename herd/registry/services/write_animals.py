"""New animals, and edits of their facts."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from herd.registry.models import Animal
from herd.registry.services.batch import EDITABLE_FACTS
from herd.registry.services.work import Work, fetch, insert, save_all, update

PARENTS = {"dam_id": ("dam", {"bull", "steer"}), "sire_id": ("sire", {"cow", "heifer", "steer"})}


def insert_animals(work: Work) -> None:
    """Insert animals; dams and sires may be among them."""
    wanted = work.batch.animals
    if not wanted:
        return
    news = {animal.id: animal.facts for animal in wanted}
    parents = _parents(work, [animal.facts for animal in wanted])
    for animal in wanted:
        _check_facts(work, animal.id, animal.facts, {**parents, **news})
    if work.refusals:
        return
    rows = [Animal(id=one.id, outfit=work.outfit, **one.facts) for one in wanted]
    # A dam inserted after her calf would be a key without a row for a moment, which SQLite refuses at once.
    rows.sort(key=lambda row: _depth(row.pk, news))
    sources = {one.id: one.source for one in wanted}
    insert(work, rows, [sources[row.pk] for row in rows])
    work.refold.update(news)


def edit_animals(work: Work) -> None:
    """Set facts of animals already in the record."""
    wanted = work.batch.edits
    if not wanted:
        return
    rows = fetch(Animal, work.outfit, (edit.animal_id for edit in wanted))
    parents = _parents(work, [edit.facts for edit in wanted])
    touched: set[str] = set()
    for edit in wanted:
        row = rows.get(edit.animal_id)
        if row is None:
            work.refuse("That animal is not in this outfit's record.", animal_id=edit.animal_id)
            continue
        _check_facts(work, row.pk, edit.facts, parents)
        if update(work, row, edit.facts, source=edit.source, reason=edit.reason):
            touched.update(edit.facts)
            work.refold.add(row.pk)
    if not work.refusals:
        save_all(rows.values(), touched)


def _parents(work: Work, facts: list[Mapping[str, Any]]) -> dict[UUID, Mapping[str, Any]]:
    """Return what is known of the dams and sires that these facts name."""
    ids = {one[key] for one in facts for key in PARENTS if one.get(key)}
    rows = fetch(Animal, work.outfit, ids)
    return {key: {"entry_class": row.animal_class, "born_on": row.born_on} for key, row in rows.items()}


def _check_facts(
    work: Work, animal_id: UUID, facts: Mapping[str, Any], known: Mapping[UUID, Mapping[str, Any]]
) -> None:
    unknown = set(facts) - set(EDITABLE_FACTS)
    if unknown:
        work.refuse(f"An animal has no fact called {', '.join(sorted(unknown))}.", animal_id=animal_id)
    born = facts.get("born_on")
    if isinstance(born, date) and born > work.now.date():
        work.refuse(f"The birth date {born} lies in the future.", field_name="born_on", animal_id=animal_id)
    for key, (word, impossible) in PARENTS.items():
        parent_id = facts.get(key)
        if not parent_id:
            continue
        parent = known.get(parent_id)
        if parent is None:
            work.refuse(f"The {word} is not in this outfit's record.", field_name=key, animal_id=animal_id)
        elif parent.get("entry_class") in impossible:
            work.refuse(
                f"A {parent['entry_class']} can't be a {word}.", field_name=key, animal_id=animal_id
            )
        elif born and parent.get("born_on") and parent["born_on"] >= born:
            work.refuse(f"The {word} is younger than her calf." if word == "dam" else "The sire is younger than his calf.", field_name=key, animal_id=animal_id)


def _depth(animal_id: UUID, news: Mapping[UUID, Mapping[str, Any]], seen: int = 0) -> int:
    """How many generations of new animals stand before this one; a ring of parents counts as deep."""
    if animal_id not in news or seen > 50:
        return seen
    facts = news[animal_id]
    return max(
        (_depth(facts[key], news, seen + 1) for key in PARENTS if facts.get(key) in news), default=seen
    )
