"""What reports are made of, as JSON and as JSON Schema, both read off the types of their answers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from types import UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from django.db.models import Model

from herd.values.figures import Amount, exact, round_half_up

PLACES = 6
# Exact numbers leave as text, since JSON's readers take them for floats (RFC 8259, section 6).
NUMBER = {"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?$", "description": "A decimal number as text."}
PLAIN: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    int: {"type": "integer"},
    bool: {"type": "boolean"},
    UUID: {"type": "string", "format": "uuid"},
    date: {"type": "string", "format": "date"},
    datetime: {"type": "string", "format": "date-time"},
    Decimal: NUMBER,
    Fraction: NUMBER,
    Amount: NUMBER,
}


def number(amount: Amount) -> str:
    """A number as decimal text, rounded once to six places and without empty ones."""
    text = str(round_half_up(exact(amount), PLACES))
    return text.rstrip("0").rstrip(".") if "." in text else text


def plain(value: Any) -> Any:
    """A value of a report as JSON; a row of the record by its id."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Decimal | Fraction):
        return number(value)
    if isinstance(value, str | int):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Model):
        return str(value.pk)
    return _inside(value)


def _inside(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        hints = get_type_hints(type(value))
        return {one.name: _typed(getattr(value, one.name), hints[one.name]) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(plain(key)): plain(one) for key, one in value.items()}
    if isinstance(value, Sequence | set | frozenset):
        return [plain(one) for one in value]
    return str(value)


def _typed(value: Any, hint: Any) -> Any:
    """A member; an exact number of whatever kind is text wherever its type says that it may be a fraction."""
    is_number = hint == Amount or (hint is Fraction and not isinstance(value, bool))
    return number(value) if is_number and value is not None else plain(value)


def schema_of(hint: Any) -> dict[str, Any]:
    """The JSON Schema of a type; raises TypeError for one that no report has."""
    if isinstance(hint, TypeVar):
        # What is grouped in a report is animals, by their ids.
        hint = UUID
    if hint in PLAIN:
        return dict(PLAIN[hint])
    if isinstance(hint, type) and issubclass(hint, Enum):
        return {"type": "string", "enum": [one.value for one in hint]}
    if isinstance(hint, type) and issubclass(hint, Model):
        return dict(PLAIN[UUID])
    if is_dataclass(get_origin(hint) or hint):
        return _object(get_origin(hint) or hint)
    return _many(hint, get_origin(hint), get_args(hint))


def _many(hint: Any, origin: Any, inner: tuple[Any, ...]) -> dict[str, Any]:
    """What is one of several types, or holds several values of one."""
    if origin in {Union, UnionType}:
        return {"anyOf": [schema_of(one) if one is not type(None) else {"type": "null"} for one in inner]}
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {"type": "object", "additionalProperties": schema_of(inner[1])}
    if isinstance(origin, type) and issubclass(origin, Sequence):
        return {"type": "array", "items": schema_of(inner[0])}
    raise TypeError(f"{hint} has no shape in JSON here.")


def _object(kind: type) -> dict[str, Any]:
    hints = get_type_hints(kind)
    names = [one.name for one in fields(kind)]
    return {
        "type": "object",
        "description": " ".join((kind.__doc__ or "").split()),
        "required": names,
        "properties": {name: schema_of(hints[name]) for name in names},
    }


@dataclass(frozen=True, slots=True)
class Rows:
    """Which rows of a long list an answer holds: from the first, counted from 0, so many, of all there are."""

    first: int
    many: int
    total: int
