"""Events that can't have happened to an animal of the line's class, such as the calving of a bull."""

from herd.intake.deciding.context import Line
from herd.intake.deciding.doubts import LEAVE_OUT, Doubt, Side
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind
from herd.values.eventkinds import class_fault

CLASS_OF_SEX = {"male": "bull", "female": "heifer"}


def doubt_class(line: Line, wish: Wish, rows: list[Row]) -> Doubt | None:
    """Make the question where the event doesn't go with the class that the record has, or that the line says."""
    reason = class_fault(wish.name, _class_of(line))
    if not reason:
        return None
    return Doubt(
        key=f"{line.key}|{wish.field} {wish.day}|class",
        kind=FindingKind.DOUBTFUL,
        field=wish.name,
        alike=f"{FindingKind.DOUBTFUL}:{wish.name}:class",
        title=f"{line.title}: {wish.says} can’t be of this animal"[:200],
        rows=rows,
        sides=[Side(wish.says, str(wish.value), tuple(rows))],
        reasons=[
            reason,
            "Either the line is about another animal, or its class is wrong; mend the class on its page, if it is.",
        ],
        choices=[LEAVE_OUT],
    )


def _class_of(line: Line) -> str:
    """The class by the record; of a newcomer, or where the record has none, by what the line says."""
    known = (line.card.facts.get("entry_class") or line.card.animal_class) if line.card else ""
    said = (row.readings.get("animal_class") or {} for row in line.rows)
    return str(known) or next((found for one in said if (found := _said(one))), "")


def _said(reading: dict[str, str]) -> str:
    return str(reading.get("class") or CLASS_OF_SEX.get(reading.get("sex", ""), ""))
