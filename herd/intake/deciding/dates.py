"""Dates that stand apart from the rest of their file: day and month swapped, or another day's line."""

from dataclasses import replace
from datetime import date, timedelta

from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.doubts import LEAVE_OUT, Choice, Doubt, Side
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind

# Work that runs over a weekend keeps one date in some files and several in others.
NEAR = timedelta(days=3)


def dated(line: Line, row: Row, context: Context) -> date | None:
    """The day on which what a row says happened, where a person has said so; asks where its date is doubtful."""
    own, usual = row.readings.get("day"), context.usual_day.get(row.file)
    if "told" in row.readings:
        # A program wrote it, with the year first.
        return None
    if not own or usual is None or row.readings.get("day_precision", "day") not in {"day", "instant"}:
        return None
    day = date.fromisoformat(own)
    if abs(day - usual) <= NEAR:
        return None
    doubt = _doubt(line, row, day, usual)
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
        line.held.add(row.id)
        return None
    return usual if answer.verb == "usual_day" else None


def born_on(line: Line) -> date | None:
    """The day the animal was born, by the record or by its own lines; None where it is not known to the day."""
    if line.card is not None and line.card.born_on is not None:
        return line.card.born_on if line.card.born_precision == "day" else None
    said = [row.readings["born"] for row in line.rows if "born" in row.readings]
    return next((date.fromisoformat(one["on"]) for one in said if one["precision"] == "day"), None)


def after_birth(line: Line, wish: Wish, rows: list[Row], born: date, context: Context) -> Wish | None:
    """Ask about something dated before the animal was born; the wish with its day as ruled, or None."""
    usual = context.usual_day.get(wish.row.file, context.day)
    late = [Choice("usual_day", f"It was on {usual}", "It is dated like the rest of the work.")]
    doubt = Doubt(
        key=f"{line.key}|{wish.field} {wish.day}|birth",
        kind=FindingKind.DOUBTFUL,
        field="date",
        alike=f"{FindingKind.DOUBTFUL}:date:birth",
        title=f"{line.title}: {wish.says} on {wish.day}, before it was born"[:200],
        rows=rows,
        sides=[Side(f"{rows[0].place}: {wish.says}", wish.day.isoformat(), tuple(rows))],
        reasons=[f"The animal was born on {born}."],
        choices=[*(late if usual >= born else []), LEAVE_OUT],
    )
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
    return replace(wish, day=usual) if answer is not None and answer.verb == "usual_day" else None


def _doubt(line: Line, row: Row, day: date, usual: date) -> Doubt:
    swapped = _swapped(day)
    is_swap = swapped is not None and abs(swapped - usual) <= NEAR
    reason = f"The file's other lines are dated {usual}."
    if is_swap:
        reason += " With day and month changed places this one would be too."
    return Doubt(
        key=f"date:{row.id}",
        kind=FindingKind.DOUBTFUL,
        field="date",
        alike=f"{FindingKind.DOUBTFUL}:date:{'swapped' if is_swap else 'other'}",
        title=f"{line.title}: dated {day}, the others {usual}",
        rows=[row],
        sides=[Side(f"{row.place}: {day}", day.isoformat(), (row,))],
        reasons=[reason],
        choices=[
            Choice("usual_day", f"It was on {usual}", "The line is dated like the others."),
            Choice("as_written", f"It was on {day}", "The date is recorded as written."),
        ],
        is_suggested=is_swap,
    )


def _swapped(day: date) -> date | None:
    try:
        return date(day.year, day.day, day.month)
    except ValueError:
        return None
