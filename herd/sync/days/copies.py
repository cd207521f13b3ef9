"""Keeps the copy of a day that is at home elsewhere; replaced whole each time, its rulings on their way kept."""

import base64
import json
from collections.abc import Iterable, Iterator
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import models, transaction

from herd.accounts.models import Outfit, Person
from herd.intake.models import ProcessingDay, Ruling, StagedRow
from herd.ledger.rows import in_steps, insert_rows
from herd.registry.models import Group
from herd.sync.days.packing import TABLES, columns_of
from herd.sync.reading import Unfit

PEOPLE = frozenset({"made_by_id", "asked_by_id", "person_id"})
STEP = 200


@transaction.atomic
def keep_copy(outfit: Outfit, key: UUID, lines: Iterable[str | bytes], *, home: str, mark: str) -> bool:
    """Replace the copy of a day; False where it can't be taken now. Raises Unfit for lines that are not whole.

    It is left for the next time where a ruling that was given here has not gone home yet, or where lines of it are
    still being decided here.
    """
    here = ProcessingDay.objects.select_for_update().filter(pk=key).first()
    if here is not None and (here.outfit_id != outfit.pk or not here.home):
        raise Unfit("/day", "That day is at home here.")
    if here is not None:
        if unsent_rulings(here).exists():
            return False
        here.delete()
    rulings: list[str] = []
    for table, rows in _tables(outfit, key, lines):
        if table == "row" and _are_here([row.pk for row in rows]):
            transaction.set_rollback(True)
            return False
        rulings += [str(row.pk) for row in rows if table == "ruling"]
        insert_rows(rows)
    ProcessingDay.objects.filter(pk=key).update(home=home[:60], copied={"mark": mark, "rulings": rulings})
    return True


def unsent_rulings(day: ProcessingDay) -> "models.QuerySet[Ruling]":
    """What was ruled here on a copy, and is not in it as it came."""
    return Ruling.objects.filter(day=day, by_rule=False).exclude(pk__in=day.copied.get("rulings", []))


def note_gone_home(day: ProcessingDay, rulings: Iterable[str]) -> None:
    """Note that rulings which were given on a copy have come to where the day is at home."""
    known = [*day.copied.get("rulings", []), *rulings]
    ProcessingDay.objects.filter(pk=day.pk).update(copied={**day.copied, "rulings": known})


def _are_here(ids: list[UUID]) -> bool:
    return any(StagedRow.objects.filter(pk__in=some).exists() for some in in_steps(ids))


def _tables(outfit: Outfit, key: UUID, lines: Iterable[str | bytes]) -> Iterator[tuple[str, list[Any]]]:
    """Rows, some at a time, of one table each."""
    read = _read(outfit, key, lines)
    table, rows = "", list[Any]()
    for name, row in read:
        if rows and (name != table or len(rows) >= STEP or table == "file"):
            yield table, rows
            rows = []
        table = name
        rows.append(row)
    if rows:
        yield table, rows


def _read(outfit: Outfit, key: UUID, lines: Iterable[str | bytes]) -> Iterator[tuple[str, Any]]:
    is_whole = False
    order = list(TABLES)
    place = 0
    for count, line in enumerate(lines):
        try:
            said = json.loads(line)
        except ValueError as problem:
            raise Unfit("/lines", "A line of the day can't be read.") from problem
        if "end" in said:
            is_whole = said["end"] == count
            break
        table = str(said.get("table"))
        if table not in TABLES or order.index(table) < place:
            raise Unfit("/table", "The lines of the day are not in their order.")
        place = order.index(table)
        yield table, _row(outfit, key, table, said.get("row"))
    if not is_whole:
        raise Unfit("/end", "The day did not come whole.")


def _row(outfit: Outfit, key: UUID, table: str, said: Any) -> Any:
    model = TABLES[table]
    columns = columns_of(model)
    if not isinstance(said, dict) or set(said) != set(columns):
        raise Unfit("/row", f"A {table} of the day has other columns than here.")
    values = {name: _value(columns[name], value) for name, value in said.items()}
    if table == "day":
        if values["id"] != key:
            raise Unfit("/day", "The day is another one than was asked for.")
        known = Group.objects.filter(outfit=outfit, pk=values["group_id"]).exists()
        values.update(outfit_id=outfit.pk, group_id=values["group_id"] if known else None, home="elsewhere")
    elif values["day_id"] != key:
        raise Unfit("/row", "A row is of another day.")
    for name in PEOPLE & set(values):
        if values[name] and not Person.objects.filter(pk=values[name]).exists():
            values[name] = None
    return model(**values)


def _value(column: Any, value: Any) -> Any:
    if isinstance(column, models.JSONField) or value is None:
        return value
    if isinstance(column, models.BinaryField):
        return base64.b64decode(str(value))
    try:
        return (column.target_field if column.is_relation else column).to_python(value)
    except (ValidationError, TypeError, ValueError) as problem:
        raise Unfit("/row", f"{str(value)[:40]!r} can't be {column.attname}.") from problem


