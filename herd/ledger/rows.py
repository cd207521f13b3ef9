"""Inserts, updates and reads many rows of a table at the database's own speed.

Django's bulk methods compile a statement for every thousand values, which takes longer than the database does.
Here a table's statement is written once: SQLite takes the rows by executemany, PostgreSQL by COPY. Rows that are only
to be passed on are read as the driver hands them, because making Python's values of them takes longer as well.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from typing import Any, cast
from uuid import UUID

from django.core.exceptions import EmptyResultSet
from django.db import connection, models

Converter = Callable[[Any], Any]

# SQLite takes 32,766 values in one statement and PostgreSQL 65,535; small steps keep memory flat as well.
STEP = 800


def in_steps(items: Iterable[Any]) -> Iterator[list[Any]]:
    """Cut items into lists short enough for one statement."""
    listed = list(items)
    for start in range(0, len(listed), STEP):
        yield listed[start : start + STEP]


def insert_rows(rows: Iterable[models.Model]) -> int:
    """Insert rows of one table and return how many; nothing is filled in for them but their defaults."""
    listed = list(rows)
    if not listed:
        return 0
    model = type(listed[0])
    fields = model._meta.concrete_fields
    columns = ", ".join(_quoted(field.column) for field in fields)
    table = _quoted(model._meta.db_table)
    values = _values(listed, fields)
    # COPY passes by Django's cursor, and so by its translation of the database's errors.
    with connection.wrap_database_errors, connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                for row in values:
                    copy.write_row(row)
        else:
            marks = ", ".join(["%s"] * len(fields))
            cursor.executemany(f"INSERT INTO {table} ({columns}) VALUES ({marks})", cast(Any, values))
    return len(listed)


def update_rows(rows: Iterable[models.Model], columns: Iterable[str]) -> int:
    """Write these columns, named as attributes, of rows that are in the table already; return how many."""
    listed = list(rows)
    wanted = set(columns)
    if not listed or not wanted:
        return 0
    model = type(listed[0])
    fields = [field for field in model._meta.concrete_fields if field.attname in wanted or field.name in wanted]
    settings = ", ".join(f"{_quoted(field.column)} = %s" for field in fields)
    key = model._meta.pk
    statement = f"UPDATE {_quoted(model._meta.db_table)} SET {settings} WHERE {_quoted(key.column)} = %s"
    with connection.cursor() as cursor:
        cursor.executemany(statement, cast(Any, _values(listed, [*fields, key])))
    return len(listed)


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


def _values(rows: Sequence[models.Model], fields: Sequence[Any]) -> Iterator[tuple[Any, ...]]:
    converters = [(field.attname, _converter(field)) for field in fields]
    for row in rows:
        yield tuple(convert(getattr(row, name)) for name, convert in converters)


def _converter(field: Any) -> Converter:
    """How a column's values go to this database; the common types without Django's long way round."""
    is_sqlite = connection.vendor == "sqlite"

    def prepare(value: Any) -> Any:
        return field.get_db_prep_save(value, connection)

    def convert(value: Any) -> Any:
        kind = type(value)
        if value is None or kind is int or kind is str or kind is bool:
            return value
        if kind is UUID:
            return value.hex if is_sqlite else value
        if kind is date:
            return value.isoformat() if is_sqlite else value
        return prepare(value)

    return prepare if isinstance(field, models.JSONField) else convert
