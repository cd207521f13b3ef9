"""Rows of lists: new ones, edits, and those taken out where nothing stands on them."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from herd.ledger.models import Action
from herd.registry.models import (
    Animal,
    Breed,
    Group,
    HeadCheck,
    HerdList,
    Location,
    MissingTag,
    PolicyValue,
    Product,
    Record,
    TagBox,
)
from herd.registry.services.batch import EditPlace
from herd.registry.services.work import Work, fetch, insert, save_all, subject_of, update

# Locations before the groups that lie there, boxes before the numbers missing from them.
PLACES: dict[str, type[Record]] = {
    model.SUBJECT: model
    for model in (Location, Group, Breed, Product, TagBox, MissingTag, HerdList, HeadCheck, PolicyValue)
}

# What no two standing rows of a table may share, and the word for it.
UNIQUE = {
    **dict.fromkeys(("location", "group", "product", "herd_list"), "name"),
    "breed": "code",
}
WORDS = {
    "tag_box": "tag box",
    "missing_tag": "missing tag",
    "herd_list": "herd list",
    "head_check": "head count",
    "policy_value": "own value",
}


def insert_places(work: Work) -> None:
    """Insert new rows table by table."""
    for subject, model in PLACES.items():
        wanted = [place for place in work.batch.places if place.subject == subject]
        _check_names(work, subject, [place.facts for place in wanted])
        _check_pointers(work, model, [place.facts for place in wanted])
        if work.refusals:
            return
        rows = [model(id=place.id, outfit=work.outfit, **place.facts) for place in wanted]
        insert(work, rows, [place.source for place in wanted])


def edit_places(work: Work) -> None:
    """Set columns of rows of lists, or take rows out; missing numbers go before their box, groups before locations."""
    for subject, model in reversed(PLACES.items()):
        wanted = {edit.id: edit for edit in work.batch.place_edits if edit.subject == subject}
        rows = fetch(model, work.outfit, wanted, to_edit=True)
        for missing in set(wanted) - set(rows):
            work.refuse(f"That {_word(subject)} is not in this outfit's record.", field_name=str(missing))
        _check_names(work, subject, [edit.facts for edit in wanted.values()], set(wanted))
        _check_pointers(work, model, [edit.facts for edit in wanted.values()])
        if work.refusals:
            return
        touched: set[str] = set()
        for key, row in rows.items():
            touched |= _edit(work, row, wanted[key])
        if work.refusals:
            return
        save_all(rows.values(), touched)
        if subject == Group.SUBJECT and "location_id" in touched:
            # Who is in a group stands where the group lies.
            held = Animal.objects.of(work.outfit).filter(group__in=list(rows))
            work.refold.update(held.values_list("pk", flat=True))


def _edit(work: Work, row: Record, edit: EditPlace) -> set[str]:
    if not edit.is_void:
        update(work, row, edit.facts, source=edit.source, reason=edit.reason)
        return set(edit.facts)
    for holder in _holders(row):
        work.refuse(f"{row} can't be taken out: a {holder} in the record names it.")
    row.is_void = True
    row.revision += 1
    out = {"is_void": True}
    work.pen.write(
        subject_of(row), Action.VOIDED, before={"is_void": False}, after=out, source=edit.source, reason=edit.reason
    )
    return {"is_void"}


def _holders(row: Record) -> list[str]:
    """The kinds of standing row that point at this one."""
    found = []
    for link in row._meta.related_objects:
        model: Any = link.related_model
        if issubclass(model, Record) and model.objects.of(row.outfit).filter(**{link.field.name: row}).exists():
            found.append(_word(model.SUBJECT))
    return found


def _word(subject: str) -> str:
    return WORDS.get(subject, subject)


def _check_names(
    work: Work, subject: str, facts: Sequence[Mapping[str, Any]], own: set[UUID] | None = None
) -> None:
    """Refuse names that are empty, or that another row of the table has."""
    column = UNIQUE.get(subject, "name")
    names = [str(one[column]) for one in facts if column in one]
    if not names:
        return
    others = PLACES[subject].objects.of(work.outfit).exclude(pk__in=own or set())
    taken = set(others.filter(**{f"{column}__in": names}).values_list(column, flat=True))
    for name in taken | {name for name in names if names.count(name) > 1}:
        work.refuse(f"There is a {_word(subject)} called {name} already.", field_name=column)
    if any(not name.strip() for name in names):
        work.refuse(f"A {_word(subject)} needs a {column}.", field_name=column)


def _check_pointers(work: Work, model: type[Record], facts: Sequence[Mapping[str, Any]]) -> None:
    """Refuse rows that name a location, group or box that the outfit does not have."""
    for column in model._meta.concrete_fields:
        target: Any = column.related_model
        if target is None or not issubclass(target, Record):
            continue
        ids = {one[column.attname] for one in facts if one.get(column.attname)}
        if ids - set(fetch(target, work.outfit, ids)):
            work.refuse(f"That {_word(target.SUBJECT)} is not in this outfit's record.", field_name=column.name)
