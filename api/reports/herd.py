"""Reports on the head: the statement, and the animals behind one of its figures."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date

from rest_framework import serializers

from api.reports.declared import Asked, Period, Report
from api.reports.shapes import Rows
from herd.registry.queries.headcount import CLASSES
from herd.reports.moves import Move
from herd.reports.statement import behind, statement_of
from herd.values.inventory import Flow

WAYS = tuple(one.name for one in fields(Flow))


class HeadAsked(Period):
    """The days of the statement; `way` and `class_name` name one of its figures, whose animals are then told."""

    way = serializers.ChoiceField(WAYS, required=False)
    class_name = serializers.ChoiceField(CLASSES, required=False)


@dataclass(frozen=True, slots=True)
class Head:
    """The head by class: opening, what came, what went, closing; and the animals behind the figure asked for."""

    first: date
    last: date
    by_class: Mapping[str, Flow]
    total: Flow
    is_balanced: bool
    reasons: Sequence[str]
    rows: Rows
    animals: Sequence[Move]


def _head(asked: Asked) -> Head:
    first, last = asked.days()
    found = statement_of(asked.outfit, first, last)
    way = asked.said.get("way")
    moves = behind(asked.outfit, first, last, way, asked.said.get("class_name", "")) if way else []
    sums = found.sums
    return Head(first, last, found.by_class, sums.total, sums.is_balanced, sums.reasons, *asked.some(moves))


HEAD = Report(
    "head",
    "How many head were there, what came and went, and does it balance?",
    HeadAsked,
    Head,
    _head,
    "Opening is counted at the end of the day before the first, closing at the end of the last day. An animal under a"
    " year counts as a calf unless she has calved.",
)
