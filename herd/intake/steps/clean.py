"""Clean again: reads the cells of staged rows anew after a person changed a column or typed a cell."""

from typing import Any

from herd.intake.deciding.doubts import cell_key
from herd.intake.models import FieldFile, ProcessingDay, Ruling, StagedRow
from herd.intake.steps.read import reader_for
from herd.ledger.rows import update_rows

STEP = 1_000


def clean_file(file: FieldFile, day: ProcessingDay) -> None:
    """Read every staged row of a file anew by its columns, with the cells that a person typed."""
    reader = reader_for(file, day)
    typed = typed_cells(day)
    rows = StagedRow.objects.filter(file=file).order_by("number")
    last = -1
    while some := list(rows.filter(number__gt=last)[:STEP]):
        for row in some:
            _clean(row, file, reader, typed)
        update_rows(some, ["readings", "problems"])
        last = some[-1].number


def clean_row(row: StagedRow, day: ProcessingDay) -> None:
    """Read one staged row anew, with the cells that a person typed."""
    _clean(row, row.file, reader_for(row.file, day), typed_cells(day))
    row.save(update_fields=["readings", "problems"])


def typed_cells(day: ProcessingDay) -> dict[str, str]:
    """What a person typed in place of a cell, by the key of its finding."""
    rulings = Ruling.objects.filter(day=day, choice="type", finding_key__startswith="cell:")
    return dict(rulings.values_list("finding_key", "typed"))


def _clean(row: StagedRow, file: FieldFile, reader: Any, typed: dict[str, str]) -> None:
    cells = list(row.cells)
    for column in file.columns if typed else ():
        text = typed.get(cell_key(row.pk, column_name(column)))
        if text is not None and column["index"] < len(cells):
            cells[column["index"]] = text
    reading = reader.read(cells)
    row.readings, row.problems = reading.readings, reading.problems


def column_name(column: dict[str, Any]) -> str:
    """What a column is called in findings and reports: its heading, else its place."""
    return str(column["header"] or "").strip() or f"column {column['index'] + 1}"
