"""Asks about date columns in which day and month could be swapped; their files wait for the answer."""

from uuid import UUID

from herd.intake.deciding.doubts import Answers, Choice, Doubt, Side, order_key
from herd.intake.matching.numbers import Row
from herd.intake.models import FieldFile, FindingKind

ORDER_CODES = frozenset({"ambiguous_order", "mixed_order"})


def ask_orders(files: list[FieldFile], rows: list[Row], answers: Answers) -> tuple[list[Doubt], set[UUID]]:
    """Return one question for each date column whose order nothing proves, and the files that wait."""
    by_file: dict[UUID, dict[str, list[Row]]] = {}
    for row in rows:
        for problem in row.problems:
            if problem["code"] in ORDER_CODES:
                by_file.setdefault(row.file, {}).setdefault(problem["column"], []).append(row)
    doubts: list[Doubt] = []
    waiting: set[UUID] = set()
    for file in files:
        for column, some in by_file.get(file.pk, {}).items():
            doubt = _order_doubt(file, column, some)
            if answers.to(doubt) is None:
                doubts.append(doubt)
                waiting.add(file.pk)
    return doubts, waiting


def _order_doubt(file: FieldFile, column: str, rows: list[Row]) -> Doubt:
    problem = next(one for one in rows[0].problems if one["column"] == column)
    return Doubt(
        key=order_key(file.pk, column),
        kind=FindingKind.DATE_ORDER,
        field=problem["kind"],
        title=f"{file.name}: is {column} written day first or month first?",
        rows=rows,
        sides=[Side(f"“{problem['value']}” and {len(rows) - 1} more", problem["value"], tuple(rows[:50]))],
        reasons=[problem["reason"], "Nothing in the column or beside it proves which comes first."],
        choices=[
            Choice(
                "order:DMY", "Day first", f"{len(rows)} dates are read so; what does not fit is asked again."
            ),
            Choice(
                "order:MDY",
                "Month first",
                f"{len(rows)} dates are read so; what does not fit is asked again.",
            ),
            Choice(
                "order:none", "Use the day of the work", "The column is not used; its cells stay in the file."
            ),
        ],
    )
