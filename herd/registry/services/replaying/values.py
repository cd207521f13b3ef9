"""Columns as they travel, and as a table holds them."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import models

from herd.registry.models import SUBJECTS, Animal, Record, Tag
from herd.registry.services.work import written_columns

# Columns that a change may name beside those that the ledger writes of each row.
MARKS = frozenset({"is_void"})


class Unreadable(ValueError):  # noqa: N818
    """A change says something that no row can hold; the text is a sentence."""


def references(model: type[Record]) -> dict[str, type[models.Model]]:
    """The columns that name other rows, each with the table that it names."""
    found = {one.attname: one.related_model for one in model._meta.concrete_fields if one.is_relation}
    return {name: table for name, table in found.items() if name != "outfit_id"}  # type: ignore[misc]


def read_values(model: type[Record], said: Mapping[str, Any]) -> dict[str, Any]:
    """The columns of a change as the table holds them; raises Unreadable."""
    known = {*written_columns(model), *MARKS}
    if strange := sorted(set(said) - known):
        raise Unreadable(f"There is no {strange[0][:40]!r} in a {model.SUBJECT}.")
    return {name: _read(model, name, value) for name, value in said.items()}


def _read(model: type[Record], name: str, value: Any) -> Any:
    column: Any = next(one for one in model._meta.concrete_fields if one.attname == name)
    if value is None:
        return None
    basis = column.target_field if column.is_relation else column
    try:
        found = basis.to_python(value)
    except (ValidationError, TypeError, ValueError) as problem:
        raise Unreadable(f"{str(value)[:40]!r} can't be {name}.") from problem
    if isinstance(found, str) and basis.max_length is not None and len(found) > basis.max_length:
        raise Unreadable(f"{name} has more than {basis.max_length} characters.")
    if found and basis.choices and found not in dict(basis.flatchoices):
        raise Unreadable(f"{str(found)[:40]!r} is nothing that {name} can be.")
    return found


def new_row(kind: str, key: UUID, outfit_id: UUID, values: Mapping[str, Any]) -> Record:
    """A row that is not in the table yet, empty columns at what they are by default."""
    model = SUBJECTS[kind]
    row = model(id=key, outfit_id=outfit_id, **values)
    for column in model._meta.concrete_fields:
        # The ledger leaves noughts out.
        if getattr(row, column.attname) is None and not column.null and isinstance(column, models.IntegerField):
            setattr(row, column.attname, 0)
    if isinstance(row, Tag):
        row.backwards = row.number[::-1]
    if isinstance(row, Animal):
        row.animal_class = row.entry_class
    return row


def renamed(said: Any, aliases: Mapping[UUID, UUID]) -> Any:
    """What a change says with ids replaced by those which stand for them here, inside objects as well."""
    if isinstance(said, Mapping):
        return {name: renamed(value, aliases) for name, value in said.items()}
    if isinstance(said, str) and len(said) == 36:
        try:
            key = UUID(said)
        except ValueError:
            return said
        return str(aliases[key]) if key in aliases else said
    return said
