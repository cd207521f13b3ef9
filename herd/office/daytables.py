"""Processing days as tables to take along: the days, a day's report, the lines of a file."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import QuerySet

from herd.intake.models import FieldFile, ProcessingDay, StagedRow
from herd.intake.queries.report import DayReport, FileCounts
from herd.office.tables import Cell, Table

REPORT_COLUMNS = ("File", "Lines", "Applied", "Known already", "Set aside", "Unusable", "Waiting")


def days_table(days: Iterable[Any]) -> Table:
    """Days with their files, lines and open findings counted on them as `file_count`, `line_count`, `waiting`."""
    rows = (
        (
            day.worked_on,
            day.name,
            str(day.group or ""),
            day.get_state_display(),
            day.file_count,
            day.line_count,
            day.waiting,
        )
        for day in days
    )
    return Table("Processing days", ("Day", "Name", "Group", "State", "Files", "Lines", "Findings open"), rows)


def report_table(day: ProcessingDay, report: DayReport) -> Table:
    """How the lines of each file ended; the last row counts all."""
    rows = [_counted(one.file.name if one.file else "", one) for one in report.files]
    rows.append(_counted("All files", report.totals))
    about = f"{day.worked_on}, {day.get_state_display()}, {report.open_findings} findings open"
    return Table(f"Report {day.name}", REPORT_COLUMNS, rows, about)


def _counted(name: str, one: FileCounts) -> tuple[Cell, ...]:
    return (name, one.lines, one.applied, one.known, one.set_aside, one.unusable, one.waiting)


def lines_table(file: FieldFile, rows: QuerySet[StagedRow]) -> Table:
    """Every line as it was written, with how it ended and why."""
    width = max([len(file.header), *(len(row.cells) for row in rows[:1])], default=0)
    headings = [str(name) or f"Column {place}" for place, name in enumerate(file.header, start=1)]
    headings += [f"Column {place}" for place in range(len(headings) + 1, width + 1)]
    return Table(f"Lines of {file.name}", ("Line", "Ended as", "Reason", *headings), _lines(rows))


def _lines(rows: QuerySet[StagedRow]) -> Iterator[list[Cell]]:
    for row in rows.order_by("number").iterator(chunk_size=500):
        problems = "; ".join(f"{one['column']}: {one['reason']}" for one in row.problems)
        reason = " ".join(part for part in (row.reason, problems) if part)
        yield [row.line, row.get_state_display(), reason, *(str(cell) for cell in row.cells)]
