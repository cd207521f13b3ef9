"""Inserts, updates and reads many rows of a table at the database's own speed.

Django's bulk methods compile a statement for every thousand values, which takes longer than the database does.
Here a table's statement is written once: SQLite takes the rows by executemany, PostgreSQL by COPY. Values are made
ready column by column, since most columns need nothing or hold a few values over and over. Rows that are only to be
passed on are read as the driver hands them, because making Python's values of them takes longer as well.
"""

import gc
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from functools import cache
from operator import itemgetter
from typing import Any, TypeVar, cast
from uuid import UUID

import orjson
from django.core.exceptions import EmptyResultSet
from django.db import connection, models
from django.db.models.base import ModelState

Row = TypeVar("Row", bound=models.Model)

# SQLite takes 32,766 values in one statement and PostgreSQL 65,535; small steps keep memory flat as well.
STEP = 800
# So many rows are made ready at a time.
READY = 4_000
# What both drivers take as it is.
PLAIN = frozenset({int, str, bool})
NONE = type(None)


@contextmanager
def undisturbed() -> Iterator[None]:
    """Let Python's search for cycles rest while a large day is in memory: it would walk all of it again and again."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


def in_steps(items: Iterable[Any]) -> Iterator[list[Any]]:
    """Cut items into lists short enough for one statement."""
    return _cut(list(items), STEP)


def _cut(listed: list[Any], step: int) -> Iterator[list[Any]]:
    return (listed[start : start + step] for start in range(0, len(listed), step))


@cache
def _defaults(model: type[models.Model]) -> tuple[tuple[str, Any], ...]:
    """How each column is filled: by a value, or by a function that is asked anew for each row."""
    return tuple(
        (one.attname, one.default if one.has_default() and callable(one.default) else one.get_default())
        for one in model._meta.concrete_fields
    )


def new_row(model: type[Row], **values: Any) -> Row:
    """A row not kept yet, of values by their columns' names; Django's own way takes ten times as long."""
    row = model.__new__(model)
    held = row.__dict__
    held["_state"] = ModelState()
    for name, default in _defaults(model):
        if name in values:
            held[name] = values[name]
        else:
            held[name] = default() if callable(default) else default
    return row


def part_of_row(model: type[Row], **values: Any) -> Row:
    """A row that is in the table already, of which only these columns are known, its key among them."""
    row = model.__new__(model)
    row.__dict__.update(values, _state=ModelState())
    return row


def insert_rows(rows: Iterable[models.Model]) -> int:
    """Insert rows of one table and return how many; nothing is filled in for them but their defaults."""
    listed = list(rows)
    if not listed:
        return 0
    model = type(listed[0])
    fields = model._meta.concrete_fields
    columns = ", ".join(_quoted(field.column) for field in fields)
    table = _quoted(model._meta.db_table)
    # COPY passes by Django's cursor, and so by its translation of the database's errors.
    with connection.wrap_database_errors, connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                for some in _cut(listed, READY):
                    for row in zip(*_ready(some, fields), strict=True):
                        copy.write_row(row)
        else:
            marks = ", ".join(["%s"] * len(fields))
            statement = f"INSERT INTO {table} ({columns}) VALUES ({marks})"
            for some in _cut(listed, READY):
                cursor.executemany(statement, cast(Any, zip(*_ready(some, fields), strict=True)))
    return len(listed)


def update_rows(rows: Iterable[models.Model], columns: Iterable[str]) -> int:
    """Write these columns, named as attributes, of rows that are in the table already; return how many.

    Row by row in the order given, for one may have to let go of a number before another can take it; on PostgreSQL
    in one statement where none of the columns has to do with what must be unique.
    """
    listed = list(rows)
    wanted = set(columns)
    if not listed or not wanted:
        return 0
    model = type(listed[0])
    fields = [field for field in model._meta.concrete_fields if field.attname in wanted or field.name in wanted]
    is_set = connection.vendor == "postgresql" and _unique_columns(model).isdisjoint(one.name for one in fields)
    statement = _setting(model, fields) if is_set else _updating(model, fields)
    with connection.cursor() as cursor:
        for some in _cut(listed, READY):
            ready = _ready(some, [*fields, model._meta.pk])
            if is_set:
                cursor.execute(statement, [list(one) for one in ready])
            else:
                cursor.executemany(statement, cast(Any, zip(*ready, strict=True)))
    return len(listed)


@cache
def _unique_columns(model: type[models.Model]) -> frozenset[str]:
    """The columns, by their fields' names, that decide whether two rows of a table clash."""
    found = {field.name for field in model._meta.concrete_fields if field.unique}
    for one in model._meta.constraints:
        if isinstance(one, models.UniqueConstraint):
            found.update(one.fields)
            if isinstance(one.condition, models.Q):
                found.update(one.condition.referenced_base_fields)
    return frozenset(found)


def _updating(model: type[models.Model], fields: Sequence[Any]) -> str:
    """The statement that writes these columns of one row."""
    settings = ", ".join(f"{_quoted(field.column)} = %s" for field in fields)
    return f"UPDATE {_quoted(model._meta.db_table)} SET {settings} WHERE {_quoted(model._meta.pk.column)} = %s"


def _setting(model: type[models.Model], fields: Sequence[Any]) -> str:
    """The statement that writes these columns of many rows on PostgreSQL, from one list for each."""
    table, key = _quoted(model._meta.db_table), model._meta.pk
    settings = ", ".join(f"{_quoted(field.column)} = new.{_quoted(field.column)}" for field in fields)
    names = ", ".join(_quoted(field.column) for field in (*fields, key))
    lists = ", ".join(f"%s::{field.db_type(connection)}[]" for field in (*fields, key))
    is_it = f"{table}.{_quoted(key.column)} = new.{_quoted(key.column)}"
    return f"UPDATE {table} SET {settings} FROM unnest({lists}) AS new ({names}) WHERE {is_it}"


def read_rows(rows: Any) -> list[tuple[Any, ...]]:
    """The rows of a `values_list` of columns, with the values that Django makes of them, in a third of its time."""
    found = driver_rows(rows)
    if not found:
        return found
    columns = zip(rows.query.select, zip(*found, strict=True), strict=True)
    return list(zip(*(_read(one, column) for one, column in columns), strict=True))


def driver_rows(rows: Any) -> list[tuple[Any, ...]]:
    """The rows of a `values_list` as the driver hands them; `id_text` and `day_text` spell what databases differ in.

    SQLite hands ids as hexadecimal digits, days and JSON as texts; PostgreSQL ids and days as such, JSON as text.
    """
    try:
        statement, values = rows.query.sql_with_params()
    except EmptyResultSet:
        return []
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return cast(list[tuple[Any, ...]], cursor.fetchall())


def id_text(value: Any) -> str | None:
    """An id from a driver's row in its usual spelling; None for none."""
    if value is None:
        return None
    if type(value) is str:
        return f"{value[:8]}-{value[8:12]}-{value[12:16]}-{value[16:20]}-{value[20:]}"
    return str(value)


def day_text(value: Any) -> str | None:
    """A day from a driver's row as 2026-03-14; None for none."""
    return value if value is None or type(value) is str else cast(str, value.isoformat())


def _quoted(name: str | None) -> str:
    return connection.ops.quote_name(name or "")


def _ready(rows: Sequence[models.Model], fields: Sequence[Any]) -> list[Sequence[Any]]:
    """The columns of these rows as the driver takes them."""
    names = [field.attname for field in fields]
    columns = zip(*map(itemgetter(*names), map(vars, rows)), strict=True)
    return [_sendable(field, column) for field, column in zip(fields, columns, strict=True)]


def _sendable(field: Any, column: Sequence[Any]) -> Sequence[Any]:
    """A column's values as they go to this database; the common types without Django's long way round."""
    if isinstance(field, models.JSONField):
        return [None if value is None else _as_json(value) for value in column]
    kinds = set(map(type, column)) - {NONE}
    if kinds <= PLAIN:
        return column
    convert = _converter(field, kinds)
    if column.count(column[0]) == len(column):
        return [convert(column[0])] * len(column)
    return [None if value is None else convert(value) for value in column]


def _from_json(text: str) -> Any:
    try:
        return orjson.loads(text)
    except orjson.JSONDecodeError:
        return json.loads(text)


def _as_json(value: Any) -> str:
    try:
        return orjson.dumps(value).decode()
    except TypeError:
        # Halves of characters, which a broken file may hold, and whole numbers past 64 bits.
        return json.dumps(value)


def _converter(field: Any, kinds: set[type]) -> Callable[[Any], Any]:
    """How the values of a column go to this database, all of these kinds."""
    is_sqlite = connection.vendor == "sqlite"
    if kinds == {UUID}:
        return (lambda value: value.hex) if is_sqlite else (lambda value: value)
    if kinds == {date}:
        return date.isoformat if is_sqlite else (lambda value: value)
    if all(issubclass(kind, str) for kind in kinds):
        return str
    if kinds == {datetime} and isinstance(field, models.DateTimeField):
        return cast(Callable[[Any], Any], connection.ops.adapt_datetimefield_value)
    return lambda value: field.get_db_prep_save(value, connection)


def _read(one: Any, column: Sequence[Any]) -> Sequence[Any]:
    """A column's values as Python has them."""
    if isinstance(one.target, models.JSONField):
        return [None if value is None else _from_json(value) for value in column]
    if isinstance(one.target, models.UUIDField) and connection.vendor == "sqlite":
        ids = {text: text and UUID(int=int(text, 16)) for text in column}
        return [ids[text] for text in column]
    converters = [*connection.ops.get_db_converters(one), *one.get_db_converters(connection)]
    if not converters:
        return column
    # Few ids of other tables and few days stand in many rows: one object serves all.
    known = {value: value for value in column}
    for convert in converters:
        known = {value: convert(read, one, connection) for value, read in known.items()}
    return [known[value] for value in column]
