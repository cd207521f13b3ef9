"""An event read whole: what its resource tells by the standard, then what the extension adds to it.

The extension holds only what reading the standard's part alone does not give back: another kind, fields it has no
place for (`data`), fields it would read too much (`without`), a day known less exactly or a moment (`when`).
"""

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from herd.exchange.kinds.shape import Told, filled
from herd.exchange.kinds.table import RESOURCES
from herd.exchange.moments import When, read_day, read_when
from herd.exchange.names import EXTENSION, Identifier
from herd.exchange.node import LONGEST_NAME, Node
from herd.values.calendardays import DatePrecision
from herd.values.eventkinds import EVENT_KINDS, check_event
from herd.values.mass import NANOGRAMS, WeightUnit

PRECISIONS = {one.value: one.value for one in DatePrecision}
MOST_FIELDS = 40
MOST_NG = 10**16


@dataclass(frozen=True, slots=True)
class WholeEvent:
    """An event as the record would have it; `animals` and `places` are fields that name one elsewhere."""

    kind: str
    data: dict[str, Any]
    when: When
    ng: int | None = None
    animals: dict[str, Identifier] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)


def read_event(node: Node, zone: ZoneInfo) -> list[WholeEvent]:
    """The events that a resource tells, one for each calf of a calving; raises BadValue."""
    when = read_when(node, "eventDateTime", zone)
    own = node.inside(EXTENSION)
    told = RESOURCES[node.needed("resourceType")].read(node, when)
    if own.members and len(told) > 1:
        raise node.refuse(EXTENSION, "The extension tells of one event, the resource of several.")
    return [_whole(node, own, one, when) for one in told]


def _whole(node: Node, own: Node, told: Told, when: When) -> WholeEvent:
    kind = own.text("kind") or told.kind
    if kind not in EVENT_KINDS:
        raise own.refuse("kind", "There is no kind of event of that name here.")
    data = _with_remark(node, told, kind)
    added = own.inside("data")
    if len(added.members) > MOST_FIELDS:
        raise own.refuse("data", f"More than {MOST_FIELDS} fields.")
    for key in added.members:
        data[key] = _plain(added, key)
    for key in own.words("without"):
        data.pop(key, None)
    places = {key: own.inside("places").needed(key, LONGEST_NAME) for key in own.inside("places").members}
    faults = check_event(kind, {**data, **dict.fromkeys(told.animals, "named elsewhere")})
    if faults:
        raise node.refuse(EXTENSION if own.members else "resourceType", " ".join(faults))
    found = WholeEvent(kind, data, read_own_when(own, when), None, told.animals, places)
    return replace(found, ng=_ng(own, found))


def _with_remark(node: Node, told: Told, kind: str) -> dict[str, Any]:
    """The data with the remark as its note, beside what the kind itself puts there."""
    data, remark = dict(told.data), node.text("remark").strip()
    if remark and "note" in EVENT_KINDS[kind].field_keys:
        data["note"] = ". ".join(filter(None, (str(data.get("note", "")), remark)))
    return data


def _plain(node: Node, key: str) -> Any:
    """A text, a whole number or yes and no: what an event's fields hold."""
    value = node.members[key]
    if isinstance(value, bool):
        return value
    if isinstance(value, (int, Decimal)):
        return node.whole(key)
    return node.text(key)


def read_own_when(own: Node, said: When) -> When:
    """When it happened as the extension has it, where that differs from the instant."""
    when = own.inside("when")
    if not when.members:
        return said
    precision = when.choice("precision", PRECISIONS) or said.precision
    on = None if when.flag("unknown") else read_day(when, "on") or said.on
    return When(on, _moment(when, said.at), precision)


def _moment(when: Node, said: datetime | None) -> datetime | None:
    if "at" not in when.members:
        return said
    text = when.text("at", 40)
    try:
        return datetime.fromisoformat(text).astimezone(UTC) if text else None
    except ValueError as problem:
        raise when.refuse("at", "This is no moment as 2026-03-14T09:30:00Z.") from problem


def say_own_when(said: When, meant: When) -> dict[str, Any]:
    """What the extension must add so that the instant reads as it is meant."""
    found: dict[str, Any] = {}
    if said.precision != meant.precision:
        found["precision"] = meant.precision
    if meant.on is None and said.on is not None:
        found["unknown"] = True
    elif meant.on != said.on and meant.on is not None:
        found["on"] = meant.on.isoformat()
    if said.at != meant.at:
        found["at"] = meant.at.astimezone(UTC).isoformat() if meant.at else None
    return found


def _ng(own: Node, event: WholeEvent) -> int | None:
    """The exact mass of a weight: its figure in its unit, unless the extension has another."""
    if "ng" in own.members:
        given = own.whole("ng")
        if given is not None and not 0 < given < MOST_NG:
            raise own.refuse("ng", "The mass is out of reach.")
        return given
    return mass_of(event.data) if event.kind == "weight" else None


def mass_of(data: dict[str, Any]) -> int | None:
    """Whole nanograms of a weight's figure and unit; None where they are none."""
    try:
        exact = Decimal(str(data.get("weight"))) * NANOGRAMS[WeightUnit(str(data.get("unit")))]
    except (ArithmeticError, ValueError):
        return None
    return int(exact) if exact.is_finite() and 0 < exact < MOST_NG else None


def say_extension(meant: WholeEvent, said: WholeEvent | None) -> dict[str, Any]:
    """What must stand in the extension so that the resource reads as it is meant; `said` is how it reads without."""
    if said is None:
        said = WholeEvent("", {}, meant.when)
    data = {key: value for key, value in meant.data.items() if said.data.get(key) != value}
    own = {
        "kind": meant.kind if meant.kind != said.kind else "",
        "data": data,
        "without": sorted(set(said.data) - set(meant.data)),
        "places": meant.places,
        "when": say_own_when(said.when, meant.when),
    }
    without_own = mass_of(meant.data) if meant.kind == "weight" else None
    return filled(own) | ({"ng": meant.ng} if meant.ng != without_own else {})
