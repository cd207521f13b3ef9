"""Read and map: stages every line of every file as written, with what was read in it."""

import hashlib
from collections.abc import Iterator
from contextlib import suppress
from itertools import islice
from typing import Any

from django.db import DatabaseError, transaction
from django.db.models import F
from django.utils import timezone

from herd.intake.columns.kinds import DATED_KINDS
from herd.intake.columns.mapping import ColumnGuess, apply_recipe, guess_columns, layout_of, order_of_dates
from herd.intake.columns.reading import RowReader
from herd.intake.models import FieldFile, ProcessingDay, Recipe, StagedRow
from herd.intake.reading import FieldSource, UnreadableFile, open_field_file
from herd.ledger.rows import insert_rows, new_row
from herd.values.identity import new_id

STEP = 2_000
TRIES = 3
ENDS_THE_WORKER = (
    "Reading it ended the program three times, so it was set aside and nothing of it was read. "
    "Open it in a spreadsheet program, save it as CSV, and add that file."
)
SAMPLE_ROWS = 20_000


def read_files(day: ProcessingDay) -> None:
    """Stage the files of a day that are not staged yet; a file that can't be read keeps one sentence why."""
    for file in day.files.filter(is_read=False):
        if file.tries >= TRIES:
            _set_aside(file, ENDS_THE_WORKER)
            file.save()
            continue
        # Kept before the work, since a process that a file brings down has no time to write anything.
        FieldFile.objects.filter(pk=file.pk).update(tries=F("tries") + 1)
        file.tries = 0
        try:
            with transaction.atomic():
                # A worker whose lease ran out may be at it still: then its end is waited for here, and that was it.
                waiting = FieldFile.objects.select_for_update().filter(pk=file.pk, is_read=False)
                if waiting.values_list("pk", flat=True).first():
                    _read_file(day, file)
                    file.save()
        except Exception:
            # It came to an end, if to a bad one: the person who has it tried again decides how often.
            with suppress(DatabaseError):
                FieldFile.objects.filter(pk=file.pk).update(tries=0)
            raise


def _read_file(day: ProcessingDay, file: FieldFile) -> None:
    # What a run cut short has left of this file is read anew.
    StagedRow.objects.filter(file=file).delete()
    try:
        source = open_field_file(bytes(file.content), file.name)
        map_columns(file, source, day)
        file.row_count = _stage(day, file, source)
        file.warnings = [_warning(one) for one in source.warnings]
        file.dialect = source.dialect.as_dict()
        file.is_read = True
    except UnreadableFile as problem:
        StagedRow.objects.filter(file=file).delete()
        _set_aside(file, problem.reason)


def _set_aside(file: FieldFile, problem: str) -> None:
    file.problem, file.row_count, file.is_read = problem[:400], 0, True


def map_columns(file: FieldFile, source: FieldSource, day: ProcessingDay) -> None:
    """Say what each column is: by the outfit's recipe for this layout, else by words and cells."""
    today = timezone.now().astimezone(day.outfit.zone).date()
    sample = [cells for _, cells in islice(source.rows(), SAMPLE_ROWS)]
    file.header = list(source.header)
    width = max([len(source.header), *(len(cells) for cells in sample)], default=0)
    file.layout = layout_of(source.header, width, source.dialect.format)
    guesses = guess_columns(source.header, sample, default_unit=day.outfit.weight_unit, today=today)
    recipe = Recipe.objects.filter(outfit=day.outfit_id, layout=file.layout).first() if file.layout else None
    if recipe is not None:
        guesses = apply_recipe(guesses, recipe.columns)
    _settle_dates(guesses, source, day, today)
    file.columns = [guess.as_dict() for guess in guesses]


def _settle_dates(guesses: list[ColumnGuess], source: FieldSource, day: ProcessingDay, today: Any) -> None:
    """Decide day and month by the whole column, not by its first rows."""
    dated = [guess for guess in guesses if guess.kind in DATED_KINDS]
    cells: dict[int, list[str]] = {guess.index: [] for guess in dated}
    if not dated:
        return
    for _, row in source.rows():
        for index, column in cells.items():
            if index < len(row) and row[index]:
                column.append(row[index])
    for guess in dated:
        worked_on = day.worked_on if guess.kind in {"date", "date_time"} else None
        found = order_of_dates(cells[guess.index], worked_on, today)
        if found["order"] or found["mixed"] or not guess.settings.get("order"):
            guess.settings.update(found)


def _stage(day: ProcessingDay, file: FieldFile, source: FieldSource) -> int:
    reader = reader_for(file, day)
    count = 0
    for rows in _steps(iter(source.rows())):
        insert_rows(
            _staged(day, file, reader, count + place, line, cells) for place, (line, cells) in enumerate(rows)
        )
        count += len(rows)
    return count


def reader_for(file: FieldFile, day: ProcessingDay) -> RowReader:
    """The reader of a file's rows by its columns."""
    today = timezone.now().astimezone(day.outfit.zone).date()
    return RowReader(
        file.columns, default_unit=day.outfit.weight_unit, today=today, zone_name=day.outfit.time_zone
    )


def _staged(
    day: ProcessingDay, file: FieldFile, reader: RowReader, number: int, line: int, cells: list[str]
) -> StagedRow:
    reading = reader.read(cells)
    return new_row(
        StagedRow,
        id=new_id(),
        day_id=day.pk,
        file_id=file.pk,
        line=line,
        number=number,
        cells=cells,
        readings=reading.readings,
        problems=reading.problems,
    )


def _steps(rows: Iterator[tuple[int, list[str]]]) -> Iterator[list[tuple[int, list[str]]]]:
    while some := list(islice(rows, STEP)):
        yield some


def _warning(one: Any) -> dict[str, Any]:
    return {"line": one.line, "code": one.code, "text": one.text}


def digest(content: bytes) -> str:
    """The name of a file's bytes."""
    return hashlib.sha256(content).hexdigest()
