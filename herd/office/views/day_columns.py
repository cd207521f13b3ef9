"""What each column of a field file is taken for: seen beside its cells, changed, and the effect shown."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render

from herd.accounts.models import Role
from herd.intake.columns.kinds import COLUMN_KINDS, DATED_KINDS
from herd.intake.days import set_columns
from herd.intake.models import FieldFile, StagedRow
from herd.intake.queries.report import progress_of
from herd.intake.tasks import start_work
from herd.office.access import OfficeRequest, has_role, needs
from herd.office.daywords import readings_in_words
from herd.office.forms.days import ColumnForm, column_forms, columns_said
from herd.office.views.day_files import file_of
from herd.office.views.days import CHANGEABLE, day_of, sent_back
from herd.registry.services.refused import Refused

CELLS_SHOWN = 5
ROWS_SHOWN = 20


@dataclass(frozen=True, slots=True)
class ColumnShown:
    """One column with its first cells and the form that says what it is."""

    name: str
    label: str
    reasons: list[str]
    cells: list[str]
    answer: ColumnForm
    holds_weights: bool
    holds_dates: bool


@dataclass(frozen=True, slots=True)
class CellShown:
    """A cell as written; `reason` says why it could not be read."""

    written: str
    reason: str = ""
    is_used: bool = True


@dataclass(frozen=True, slots=True)
class RowShown:
    """A line: its cells as written beside what was read."""

    line: int
    cells: list[CellShown]
    read: list[tuple[str, str]] = field(default_factory=list)


@needs(Role.READER, to_post=Role.CREW)
def columns(request: OfficeRequest, day_id: UUID, file_id: UUID) -> HttpResponse:
    """The columns of a file; posted, the file is read again as a person says."""
    day = day_of(request, day_id)
    file = file_of(day, file_id)
    away = sent_back(request, day, CHANGEABLE) if request.method == "POST" else None
    if away:
        return away
    answers = column_forms(file.columns, request.POST if request.method == "POST" else None)
    if request.method == "POST" and all([answer.is_valid() for answer in answers]):
        try:
            set_columns(file=file, columns=columns_said(file.columns, answers))
        except Refused as refused:
            messages.error(request, str(refused))
        else:
            start_work(day)
            messages.success(request, "The file is read again with these columns, and so is the next one like it.")
        return redirect("office:file-columns", day.pk, file.pk)
    rows = list(StagedRow.objects.filter(file=file).order_by("number")[:ROWS_SHOWN])
    return render(
        request,
        "office/days/columns.html",
        {
            "here": "days",
            "day": day,
            "file": file,
            "progress": progress_of(day),
            "columns": _shown(file, rows, answers),
            "rows": [_row(file, row) for row in rows],
            "dated_kinds": " ".join(sorted(DATED_KINDS)),
            "left_out": max(0, len(file.columns) - len(answers)),
            "may_change": has_role(request.role, Role.CREW) and day.state in CHANGEABLE,
        },
    )


def _shown(file: FieldFile, rows: list[StagedRow], answers: list[ColumnForm]) -> list[ColumnShown]:
    return [
        ColumnShown(
            name=column_name(column),
            label=_label(column),
            reasons=list(column.get("reasons") or []),
            cells=[row.cells[place] for row in rows[:CELLS_SHOWN] if place < len(row.cells)],
            answer=answer,
            holds_weights=column.get("kind") == "weight",
            holds_dates=column.get("kind") in DATED_KINDS,
        )
        for place, (column, answer) in enumerate(zip(file.columns, answers, strict=False))
    ]


def column_name(column: Mapping[str, Any]) -> str:
    """The header of a column, or its number where it has none."""
    return str(column.get("header") or f"column {int(column.get('index', 0)) + 1}")


def _label(column: Mapping[str, Any]) -> str:
    kind = COLUMN_KINDS.get(str(column.get("kind")))
    return kind.label if kind else "not used"


def _row(file: FieldFile, row: StagedRow) -> RowShown:
    reasons = {str(problem.get("column")): str(problem.get("reason", "")) for problem in row.problems}
    cells = []
    for place, written in enumerate(row.cells):
        column = file.columns[place] if place < len(file.columns) else {"index": place, "kind": "unused"}
        cells.append(CellShown(written, reasons.get(column_name(column), ""), column.get("kind") != "unused"))
    return RowShown(row.line, cells, readings_in_words(row.readings))
