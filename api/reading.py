"""What callers send, as the registry's services take it."""

import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from api.problems import unfit
from herd.accounts.models import Outfit
from herd.registry.models import TagKind
from herd.registry.services.batch import NewEvent
from herd.values.eventdata import UnreadableField, read_event_data
from herd.values.identity import new_id
from herd.values.mass import Weight, WeightUnit
from herd.values.problems import Unreadable
from herd.values.tagnumbers import TypedTag, read_tag_number
from herd.values.weights import read_weight

NO_DAY = "Give the day as year-month-day, such as 2026-03-14."
NO_MOMENT = "Give the moment with its offset from universal time, such as 2026-03-14T08:30:00-07:00."
# Years in which cattle that anybody keeps books on can have lived; what lies outside is a slip of the hand.
FIRST_YEAR, LAST_YEAR = 1900, 2200
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}[Tt ]\d{2}:\d{2}:\d{2}(\.\d+)?([Zz]|[+-]\d{2}:\d{2})", re.ASCII)


def day_of(text: str) -> date:
    """Read a day in its one spelling (RFC 3339 full-date); raises ValueError with a sentence."""
    try:
        if _DAY.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError as problem:
        raise ValueError(NO_DAY) from problem
    raise ValueError(NO_DAY)


def moment_of(text: str) -> datetime:
    """Read a moment with its offset (RFC 3339 date-time); raises ValueError with a sentence."""
    try:
        if _MOMENT.fullmatch(text):
            return datetime.fromisoformat(text.upper().replace("Z", "+00:00"))
    except ValueError as problem:
        raise ValueError(NO_MOMENT) from problem
    raise ValueError(NO_MOMENT)


def plausible_day(day: date, member: str) -> date:
    """The day, where its year is one that can be; a Problem beside its member where not."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise unfit(member, f"The year has to lie between {FIRST_YEAR} and {LAST_YEAR}.")
    return day


def event_of(outfit: Outfit, values: dict[str, Any], animal_id: UUID) -> NewEvent:
    """Return the event; a Problem for a weight that can't be read or a moment without its day."""
    moment = values.get("happened_at")
    if moment:
        plausible_day(moment.date(), "happened_at")
    day = values.get("happened_on") or (moment.astimezone(outfit.zone).date() if moment else None)
    if day is None and values.get("precision") != "unknown":
        raise unfit("happened_on", "A day is needed, or the precision unknown.")
    if day:
        plausible_day(day, "happened_on")
    try:
        read = read_event_data(values.get("data") or {}, outfit.unit)
    except UnreadableField as problem:
        raise unfit(f"data/{problem.field}", str(problem)) from problem
    return NewEvent(
        animal_id,
        values["kind"],
        day,
        read.data,
        happened_at=moment,
        precision=values.get("precision", "day"),
        weight_ng=read.weight_ng,
        id=values.get("id") or new_id(),
    )


def weight_of(outfit: Outfit, text: str, unit: str | None, member: str) -> Weight:
    """The weight, in the outfit's unit where none is named; a Problem with the reason beside its member."""
    try:
        return read_weight(text, WeightUnit(unit) if unit else outfit.unit).weight
    except Unreadable as problem:
        raise unfit(member, problem.reason) from problem


def tag_of(kind: str, number: str, member: str = "number") -> TypedTag:
    """Return the number in the record's spelling; a Problem with the reason beside its member."""
    try:
        return read_tag_number(kind, number)
    except Unreadable as problem:
        raise unfit(member, problem.reason) from problem


def tag_facts(said: Mapping[str, Any], member: str = "number") -> dict[str, Any]:
    """A tag as the services take it, its number in the record's spelling; a Problem beside its member."""
    typed = tag_of(said["kind"], said["number"], member)
    colour = (said["colour"] or typed.colour) if said["kind"] == TagKind.VID else ""
    return {
        "kind": said["kind"],
        "number": typed.number,
        "colour": colour,
        "issuer_year": said["issuer_year"],
        "second_reason": said.get("second_reason", ""),
    }
