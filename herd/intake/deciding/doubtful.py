"""Weights that look wrong: outside what the class can weigh, or an impossible gain since the last one."""

from dataclasses import replace
from datetime import date

from herd.intake.deciding.context import Context, Line, PastEvent
from herd.intake.deciding.doubts import LEAVE_OUT, TYPE, Answer, Choice, Doubt, Side
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind
from herd.values.mass import NANOGRAMS, Weight, WeightUnit
from herd.values.plausibility import plausible_gain_per_day, plausible_range
from herd.values.problems import Unreadable
from herd.values.weights import read_weight

# Against the other weights of its file, where nothing else is known of the animal.
LEAST_SHARE, MOST_SHARE = 0.55, 1.8
LONGEST_SPAN = 1_000


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
    card = line.card
    age = _age(line, wish.day)
    animal_class = _class_of(line, age)
    reasons: list[str] = []
    if animal_class and wish.part != "birth":
        low, high = plausible_range(animal_class, age)
        if not low.nanograms <= ng <= high.nanograms:
            old = f" of {age} days" if age is not None else ""
            reasons.append(
                f"A {animal_class}{old} weighs {_shown(low.nanograms, context)} to {_shown(high.nanograms, context)}."
            )
    if card is not None and animal_class:
        reasons += _gain_against(context, card.id, ng, wish, animal_class, age)
    if not reasons and card is not None and age is None and not _weighings(context, card.id, wish):
        reasons += _out_of_line(ng, wish, context)
    return reasons


def _out_of_line(ng: int, wish: Wish, context: Context) -> list[str]:
    """Compare with the rest of the file, where nothing else is known of the animal."""
    usual = context.usual_ng.get(wish.row.file)
    if usual is None or wish.part == "birth" or LEAST_SHARE * usual <= ng <= MOST_SHARE * usual:
        return []
    return [f"The others in this file weigh about {_shown(usual, context)}."]


def _age(line: Line, day: date) -> int | None:
    if line.card is not None:
        return line.card.age_on(day)
    for row in line.rows:
        born = row.readings.get("born")
        if born and born["precision"] in {"day", "month"}:
            return max(0, (day - date.fromisoformat(born["on"])).days)
    return None


def _class_of(line: Line, age: int | None) -> str:
    if line.card is not None and line.card.animal_class:
        return line.card.animal_class
    for row in line.rows:
        said = row.readings.get("animal_class")
        if said and said.get("class"):
            return str(said["class"])
    return "calf" if age is not None and age < 250 else ""


def _weighings(context: Context, animal_id: object, wish: Wish) -> list[PastEvent]:
    return [
        one
        for one in context.past.get(animal_id, [])  # type: ignore[call-overload]
        if one.kind == "weight" and one.ng and one.day and one.day < wish.day
    ]


def _gain_against(
    context: Context, animal_id: object, ng: int, wish: Wish, animal_class: str, age: int | None
) -> list[str]:
    past = _weighings(context, animal_id, wish)
    if not past:
        return []
    last = max(past, key=lambda one: one.day or date.min)
    span = (wish.day - (last.day or wish.day)).days
    if not 0 < span <= LONGEST_SPAN:
        return []
    low, high = plausible_gain_per_day(animal_class, age, span_days=span)
    gain = (ng - (last.ng or 0)) / 1e12 / span
    if float(low) <= gain <= float(high):
        return []
    change = _shown(abs(ng - (last.ng or 0)), context)
    word = "gained" if gain > 0 else "lost"
    return [
        f"It weighed {_shown(last.ng or 0, context)} on {last.day}; it would have {word} {change} in {span} days."
    ]


def _shown(nanograms: int, context: Context) -> str:
    return f"{nanograms / NANOGRAMS[context.unit]:.0f} {context.unit}"
