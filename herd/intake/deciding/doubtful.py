"""Weights that look wrong: outside what the class can weigh, or an impossible gain since the last one."""

from dataclasses import replace
from datetime import date

from herd.intake.deciding.context import Context, Line, PastEvent
from herd.intake.deciding.doubts import LEAVE_OUT, TYPE, Answer, Choice, Doubt, Side
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind
from herd.values.mass import Weight, WeightUnit
from herd.values.problems import Unreadable
from herd.values.weighing import Before, doubts_of, shown
from herd.values.weights import read_weight

# Against the other weights of its file, where nothing else is known of the animal.
LEAST_SHARE, MOST_SHARE = 0.55, 1.8


def doubt_weight(line: Line, wish: Wish, rows: list[Row], context: Context) -> Doubt | None:
    """Make the question where the weight is doubtful, with the other unit suggested where that fits."""
    reasons = _against(line, wish.ng or 0, wish, context)
    if not reasons:
        return None
    other = _in_other_unit(wish)
    fits = bool(other) and not _against(line, other.ng or 0, wish, context) if other else False
    choices = [Choice("as_written", f"{wish.says} is right", "It is recorded as written.")]
    if fits and other:
        swap = Choice("other_unit", f"It is {other.says}", f"Recorded as {other.says}; the figure stays.")
        choices.insert(0, swap)
    return Doubt(
        key=f"{line.key}|{wish.field} {wish.day}|doubt",
        kind=FindingKind.DOUBTFUL,
        field="weight",
        alike=f"{FindingKind.DOUBTFUL}:weight:{'other unit' if fits else 'odd'}",
        title=f"{line.title}: {wish.says} is doubtful",
        rows=rows,
        sides=[Side(wish.says, wish.data["weight"], tuple(rows))],
        reasons=reasons,
        choices=[*choices, TYPE, LEAVE_OUT],
        is_suggested=fits,
    )


def typed_weight(wish: Wish, answer: Answer, unit: WeightUnit) -> Wish | None:
    """The weight as the answer makes it; None where it is left out."""
    if answer.verb == "other_unit":
        return _in_other_unit(wish)
    if answer.verb != "type":
        return None
    weight = read_weight(answer.typed, unit).weight
    return _reweighed(wish, weight)


def _in_other_unit(wish: Wish) -> Wish | None:
    unit = WeightUnit.LB if wish.data["unit"] == WeightUnit.KG else WeightUnit.KG
    try:
        return _reweighed(wish, read_weight(str(wish.data["weight"]), unit).weight)
    except Unreadable:
        return None


def _reweighed(wish: Wish, weight: Weight) -> Wish:
    data = {**wish.data, "weight": str(weight.entered), "unit": str(weight.unit)}
    says = f"{wish.part} weight {weight.entered} {weight.unit}".strip()
    return replace(wish, value=weight.nanograms, says=says, data=data, ng=weight.nanograms)


def _against(line: Line, ng: int, wish: Wish, context: Context) -> list[str]:
    """What speaks against this weight for this animal on that day, in words."""
    card, past = line.card, _last_weighing(line, wish, context)
    born_on = _born_on(line, wish.day)
    known = Before(_class_of(line), born_on, past.ng if past else None, past.day if past else None)
    reasons = doubts_of(ng, wish.day, known, context.unit, is_birth=wish.part == "birth")
    if not reasons and card is not None and born_on is None and past is None:
        reasons += _out_of_line(ng, wish, context)
    return reasons


def _out_of_line(ng: int, wish: Wish, context: Context) -> list[str]:
    """Compare with the rest of the file, where nothing else is known of the animal."""
    usual = context.usual_ng.get(wish.row.file)
    if usual is None or wish.part == "birth" or LEAST_SHARE * usual <= ng <= MOST_SHARE * usual:
        return []
    return [f"The others in this file weigh about {shown(usual, context.unit)}."]


def _born_on(line: Line, day: date) -> date | None:
    """When it was born, where the record or the line knows it to the month."""
    if line.card is not None:
        return line.card.born_on if line.card.age_on(day) is not None else None
    said = (row.readings.get("born") for row in line.rows)
    days = (date.fromisoformat(born["on"]) for born in said if born and born["precision"] in {"day", "month"})
    return next((born_on for born_on in days if born_on <= day), None)


def _class_of(line: Line) -> str:
    if line.card is not None and line.card.animal_class:
        return line.card.animal_class
    said = (row.readings.get("animal_class") for row in line.rows)
    return next((str(one["class"]) for one in said if one and one.get("class")), "")


def _last_weighing(line: Line, wish: Wish, context: Context) -> PastEvent | None:
    if line.card is None:
        return None
    weighings = (one for one in context.past.get(line.card.id, []) if one.kind == "weight" and one.ng)
    before = [one for one in weighings if one.day and one.day < wish.day]
    return max(before, key=lambda one: one.day or date.min, default=None)
