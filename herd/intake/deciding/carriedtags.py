"""Wearings told whole by a record kept elsewhere: since when, until when, and why a tag came off."""

from typing import Any
from uuid import UUID

from herd.intake.deciding.context import Context, Line
from herd.intake.matching.numbers import Row
from herd.intake.matching.view import Worn


def told_numbers(line: Line) -> set[tuple[str, str]]:
    """The numbers whose wearing the rows tell whole."""
    told = (one for row in line.rows for one in row.readings.get("worn", ()))
    return {(one["kind"], one["number"]) for one in told}


def decide_worn(line: Line, context: Context) -> None:
    """Propose wearings that the record does not have; one that goes on there and ended elsewhere comes off."""
    for row in line.rows:
        for one in row.readings.get("worn", ()):
            if any(UUID(key) in context.standing for key in one["ids"]):
                continue
            if line.is_new:
                _propose_newcomers(line, row, one, context)
            elif one["ended"]:
                _compare(line, row, one)


def _propose_newcomers(line: Line, row: Row, one: dict[str, Any], context: Context) -> None:
    worn = [
        other
        for other in context.view.wearers(one["kind"], one["number"])
        if one["kind"] != "vid" or other.colour == one["colour"]
    ]
    if worn and not one["ended"]:
        line.notes.append(f"{one['number']} is on another animal, so it was not put on this one.")
        return
    _propose(line, row, one)


def _compare(line: Line, row: Row, one: dict[str, Any]) -> None:
    """An ended wearing beside those of an animal of the record; open ones are judged as numbers that were read."""
    mine = [other for other in line.card.worn if _is_that(other, one)] if line.card else []
    if any(not other.is_open and (other.worn_to is None) == (one["to"] is None) for other in mine):
        return
    worn = next((other for other in mine if other.is_open), None)
    if worn is None:
        _propose(line, row, one)
    elif one["to"] and (worn.worn_from is None or one["to"] >= worn.worn_from.isoformat()):
        off = {"do": "tag_off", "wearing": str(worn.id), "ended": one["ended"], "on": one["to"]}
        says = f"{one['number']} came off, {one['ended'].replace('_', ' ')}"
        line.proposals.append({**off, "says": says, "rows": [str(row.id)]})
    else:
        line.notes.append(f"{one['number']} came off elsewhere on a day that does not fit here; it stays on.")


def _is_that(worn: Worn, one: dict[str, Any]) -> bool:
    return (worn.kind, worn.number) == (one["kind"], one["number"]) and one["colour"] in ("", worn.colour)


def _propose(line: Line, row: Row, one: dict[str, Any]) -> None:
    do = "worn" if one["ended"] else "tag_on"
    says = f"{one['number']} {one['colour']}".rstrip() + (f", {one['ended'].replace('_', ' ')}" if one["ended"] else "")
    what = {"do": do, "says": says, "rows": [str(row.id)], "kind": one["kind"], "number": one["number"]}
    line.proposals.append({**what, "colour": one["colour"], "on": one["from"], "began": one["began"], "told": one})
