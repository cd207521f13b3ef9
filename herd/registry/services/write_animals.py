"""New animals, and edits of their facts."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any
from uuid import UUID

from herd.ledger.rows import new_row
from herd.registry.models import Animal
from herd.registry.services.ancestry import check_ancestry
from herd.registry.services.batch import EDITABLE_FACTS, Edit
from herd.registry.services.work import Work, fetch, insert, save_all, update

PARENTS = {"dam_id": ("dam", {"bull", "steer"}), "sire_id": ("sire", {"cow", "heifer", "steer"})}


def insert_animals(work: Work) -> None:
    """Insert animals; dams and sires may be among them."""
    wanted = work.batch.animals
    if not wanted:
        return
    news = {animal.id: animal.facts for animal in wanted}
    known = {**_parents(work, [animal.facts for animal in wanted]), **news}
    for animal in wanted:
        _check_facts(work, animal.id, animal.facts, known)
    check_ancestry(work, ((animal.id, animal.facts) for animal in wanted), are_new=True)
    if work.refusals:
        return
    rows = [new_row(Animal, id=one.id, outfit_id=work.outfit.pk, **one.facts) for one in wanted]
    insert(work, rows, [one.source for one in wanted])
    work.refold.update(news)


def edit_animals(work: Work) -> None:
    """Set facts of animals already in the record."""
    wanted = work.batch.edits
    if not wanted:
        return
    rows = fetch(Animal, work.outfit, (edit.animal_id for edit in wanted), to_edit=True)
    parents = _parents(work, [*(edit.facts for edit in wanted), *map(_parents_of, rows.values())])
    _as_edited(parents, wanted)
    check_ancestry(work, ((edit.animal_id, edit.facts) for edit in wanted), are_new=False)
    touched: set[str] = set()
    for edit in wanted:
        row = rows.get(edit.animal_id)
        if row is None:
            work.refuse("That animal is not in this outfit's record.", animal_id=edit.animal_id)
            continue
        if {"born_on", *PARENTS} & set(edit.facts):
            _check_facts(work, row.pk, {**_parents_of(row), **edit.facts}, parents)
        else:
            _check_facts(work, row.pk, edit.facts, parents)
        if update(work, row, edit.facts, source=edit.source, reason=edit.reason):
            touched.update(edit.facts)
            work.refold.add(row.pk)
    if not work.refusals:
        save_all(rows.values(), touched)


def _as_edited(parents: dict[UUID, Mapping[str, Any]], wanted: Iterable[Edit]) -> None:
    """Let dams and sires count as they will be once they are edited themselves."""
    for edit in wanted:
        if edit.animal_id in parents:
            given = {name: edit.facts[name] for name in ("entry_class", "born_on") if name in edit.facts}
            parents[edit.animal_id] = {**parents[edit.animal_id], **given}


def _parents_of(row: Animal) -> dict[str, Any]:
    """The facts of an animal that must agree with each other."""
    return {name: getattr(row, name) for name in ("born_on", *PARENTS)}


def _parents(work: Work, facts: Iterable[Mapping[str, Any]]) -> dict[UUID, Mapping[str, Any]]:
    """Return what is known of the dams and sires that these facts name."""
    ids = {one[key] for one in facts for key in PARENTS if one.get(key)}
    rows = fetch(Animal, work.outfit, ids)
    # A bull that was castrated later may have sired calves before.
    return {
        key: {"entry_class": row.entry_class or row.animal_class, "born_on": row.born_on}
        for key, row in rows.items()
    }


def _check_facts(
    work: Work, animal_id: UUID, facts: Mapping[str, Any], known: Mapping[UUID, Mapping[str, Any]]
) -> None:
    unknown = set(facts) - set(EDITABLE_FACTS)
    if unknown:
        work.refuse(f"An animal has no fact called {', '.join(sorted(unknown))}.", animal_id=animal_id)
    born = facts.get("born_on")
    if isinstance(born, date) and born > work.today:
        work.refuse(f"The birth date {born} lies in the future.", field_name="born_on", animal_id=animal_id)
    for key in PARENTS:
        parent_id = facts.get(key)
        wrong = parent_id and _wrong_parent(key, animal_id, parent_id, born, known.get(parent_id))
        if wrong:
            work.refuse(wrong, field_name=key, animal_id=animal_id)


def _wrong_parent(
    key: str, animal_id: UUID, parent_id: UUID, born: date | None, parent: Mapping[str, Any] | None
) -> str:
    """What speaks against a dam or sire, in a sentence; empty where nothing does."""
    word, impossible = PARENTS[key]
    if parent_id == animal_id:
        return f"An animal can't be its own {word}."
    if parent is None:
        return f"The {word} is not in this outfit's record."
    if parent.get("entry_class") in impossible:
        return f"A {parent['entry_class']} can't be a {word}."
    if born and parent.get("born_on") and parent["born_on"] >= born:
        return f"The {word} was born on {parent['born_on']}, not before the calf on {born}."
    return ""
