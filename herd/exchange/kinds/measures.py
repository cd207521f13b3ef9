"""Weights and body condition, with units by their UN/CEFACT codes (Recommendation 20)."""

from decimal import Decimal
from typing import Any

from herd.exchange.kinds.shape import Occurrence, Told, filled
from herd.exchange.moments import When
from herd.exchange.names import CONDITION, WEIGHING, say_identifier
from herd.exchange.node import Node
from herd.values.eventkinds import EVENT_KINDS

CODE_OF_UNIT = {"lb": "LBR", "kg": "KGM"}
# The unit a figure is kept in, and how many of it one of the code's units has.
UNITS = {
    "LBR": ("lb", Decimal(1)),
    "KGM": ("kg", Decimal(1)),
    "GRM": ("kg", Decimal("0.001")),
    "TNE": ("kg", Decimal(1000)),
}
PURPOSES = next(one.choices for one in EVENT_KINDS["weight"].fields if one.key == "purpose")
# A score above five can only be of the nine-point scale.
TOP_OF_FIVE = 5


def say_number(text: str) -> int | float | None:
    """A figure as JSON writes it; None for what is none."""
    try:
        figure = Decimal(text)
    except ArithmeticError:
        return None
    if not figure.is_finite():
        return None
    return int(figure) if figure == figure.to_integral_value() else float(figure)


def say_weight(event: Occurrence) -> dict[str, Any]:
    """The figure as it was entered, with its unit; what it was taken for as the trait's label."""
    measured = {"measurement": say_number(str(event.data.get("weight", "")))}
    members: dict[str, Any] = {"weight": {**measured, "units": CODE_OF_UNIT.get(str(event.data.get("unit")))}}
    purpose = event.data.get("purpose")
    return {**members, "traitLabel": say_identifier(WEIGHING, purpose)} if purpose else members


def read_weight(node: Node, _: When) -> list[Told]:
    """A weight in pounds or kilograms; kilograms where no unit is named, as the standard has it."""
    weight = node.inside("weight")
    figure = weight.number("measurement")
    if figure is None:
        raise weight.refuse("measurement", "There is no weight in it.")
    if figure <= 0:
        raise weight.refuse("measurement", "A weight must be more than nothing.")
    unit, many = weight.choice("units", UNITS) or UNITS["KGM"]
    if weight.text("method") in ("Predicted", "GroupAverage", "Assessed"):
        raise weight.refuse("method", "Only weighed weights are kept, not estimates or averages.")
    label = node.identifier("traitLabel")
    purpose = label[1] if label and label[0] == WEIGHING and label[1] in PURPOSES else ""
    return [Told("weight", filled({"weight": plain_figure(figure * many), "unit": unit, "purpose": purpose}))]


def plain_figure(figure: Decimal) -> str:
    """A figure without an exponent or idle zeros."""
    whole = figure == figure.to_integral_value()
    return str(figure.quantize(Decimal(1))) if whole else f"{figure.normalize():f}"


def say_condition(event: Occurrence) -> dict[str, Any]:
    """The score, with its scale as the trait's label."""
    score = {"traitScored": "BodyConditionScore", "score": say_number(str(event.data.get("score", "")))}
    return {**score, "traitLabel": say_identifier(CONDITION, "1-9")}


def read_condition(node: Node, _: When) -> list[Told]:
    """A body condition score of the nine-point scale; one that could be of another scale is not taken."""
    trait = node.needed("traitScored")
    if trait != "BodyConditionScore":
        raise node.refuse("traitScored", "Of conformation, only body condition is kept here.")
    score, label = node.number("score"), node.identifier("traitLabel")
    if score is None:
        raise node.refuse("score", "There is no score in it.")
    if (label is None or label != (CONDITION, "1-9")) and score <= TOP_OF_FIVE:
        raise node.refuse("score", "The scale is not named, and the score could be one of 5 points as well as of 9.")
    if not 1 <= score <= 9 or score % Decimal("0.5"):
        raise node.refuse("score", "The score is not on the scale from 1 to 9 in half steps.")
    return [Told("body_condition", {"score": plain_figure(score)})]
