"""The data of an event as a program sends it, read field by field into the record's spelling."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from herd.values.bodycondition import read_body_condition
from herd.values.lengths import MEASURES, Length, read_length, usual_unit
from herd.values.mass import WeightUnit
from herd.values.problems import Unreadable
from herd.values.tubes import read_tube
from herd.values.weights import read_weight


def _read_length(key: str, text: str, default: WeightUnit) -> Length:
    return read_length(text, key, usual_unit(key, default))


READERS: dict[str, Callable[[str, WeightUnit], Any]] = {
    "tube": lambda text, _: read_tube(text),
    "score": lambda text, _: read_body_condition(text),
    **{key: partial(_read_length, key) for key in MEASURES},
}


@dataclass(frozen=True, slots=True)
class EventData:
    """An event's data as the record keeps it, with the weight in nanograms where there is one."""

    data: dict[str, Any]
    weight_ng: int | None = None


class UnreadableField(ValueError):  # noqa: N818
    """A field of the data can't be read; `field` names it."""

    def __init__(self, field: str, reason: str) -> None:
        super().__init__(reason)
        self.field = field


def read_event_data(given: Mapping[str, Any], default: WeightUnit) -> EventData:
    """Read an event's data; a weight without its unit is in the default one. Raises UnreadableField."""
    data = dict(given)
    for key, read in READERS.items():
        if data.get(key):
            try:
                data[key] = str(read(str(data[key]), default))
            except Unreadable as problem:
                raise UnreadableField(key, problem.reason) from problem
    if "weight" not in data:
        return EventData(data)
    unit = str(data.get("unit") or default)
    if unit not in set(WeightUnit):
        raise UnreadableField("unit", f"{unit[:20]!r} is no unit of weight: {', '.join(WeightUnit)}.")
    try:
        weight = read_weight(str(data["weight"]), WeightUnit(unit)).weight
    except Unreadable as problem:
        raise UnreadableField("weight", problem.reason) from problem
    return EventData({**data, "weight": str(weight.entered), "unit": weight.unit.value}, weight.nanograms)
