"""A row as a line of JSON, and the line as a row again.

Ids, days, moments and decimals are text; columns are named as in the table. Every line is plain ASCII, so that no
reader takes a character inside a text for the end of a line.
"""

import json
from collections.abc import Callable, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import Value

from herd.archive.refused import ArchiveRefused
from herd.archive.tables import ArchiveTable

# The first that fits counts: a moment's column is a kind of day's column.
READERS: tuple[tuple[type[models.Field], Callable[[Any], Any]], ...] = (
    (models.UUIDField, UUID),
    (models.DateTimeField, datetime.fromisoformat),
    (models.DateField, date.fromisoformat),
    (models.DecimalField, Decimal),
)
PLAIN: tuple[tuple[type[models.Field], type], ...] = (
    (models.BooleanField, bool),
    (models.IntegerField, int),
    (models.CharField, str),
    (models.TextField, str),
)


def to_line(names: Sequence[str], values: Sequence[Any]) -> str:
    """Write a row as one line; raises TypeError for a kind of value that no column of the record has."""
    row = dict(zip(names, values, strict=True))
    return json.dumps(row, default=_text, separators=(",", ":"), allow_nan=False)


def _text(value: object) -> str:
    if isinstance(value, UUID | Decimal):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no form in an archive.")


class LineReader:
    """Reads the lines of one table; with `is_older` columns that a line lacks take their default."""

    def __init__(self, table: ArchiveTable, *, is_older: bool) -> None:
        self._table = table
        self._is_older = is_older
        self._readers = {field.attname: _reader(field) for field in table.fields}

    def row(self, line: bytes) -> models.Model:
        """Return the row, not saved; raises ArchiveRefused."""
        try:
            values = json.loads(line)
            if not isinstance(values, dict) or not values.keys() <= self._readers.keys():
                raise ValueError("it has a column that this program does not know")
            if len(values) < len(self._readers) and not self._is_older:
                raise ValueError("it lacks a column")
            return self._table.model(**{name: self._readers[name](value) for name, value in values.items()})
        except (ValueError, TypeError, ArithmeticError, RecursionError) as problem:
            raise ArchiveRefused(f"{self._table.entry} has a line that can't be read: {problem}.") from problem


def _reader(field: Any) -> Callable[[Any], Any]:
    basis = field.target_field if field.is_relation else field
    if isinstance(field, models.JSONField):
        # Where the column must hold something, nothing is the JSON word null and not an empty column.
        empty = None if field.null else Value(None, models.JSONField())
        return lambda value: empty if value is None else value
    read = _typed(basis)
    if field.null:
        return lambda value: None if value is None else read(value)
    return read


def _typed(field: Any) -> Callable[[Any], Any]:
    for kind, read in READERS:
        if isinstance(field, kind):
            return read
    expected = next(word for kind, word in PLAIN if isinstance(field, kind))

    def plain(value: Any) -> Any:
        if type(value) is not expected:
            raise ValueError(f"{field.name} should be {expected.__name__}")
        return value

    return plain
