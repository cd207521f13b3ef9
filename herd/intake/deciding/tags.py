"""The tags that rows name, beside those the animal wears in the record."""

from datetime import date
from typing import Any

from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.doubts import Choice, Doubt, Side
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind
from herd.values.nearness import is_near

LABELS = {
    "eid": "EID",
    "vid": "visual tag",
    "nues": "metal tag",
    "tattoo": "tattoo",
    "brand": "brand",
    "back": "back tag",
}


def decide_tags(line: Line, context: Context) -> None:
    """Put on what the animal does not wear yet, ask about numbers that differ, follow retags."""
    named = _named(line)
    for kind, by_number in named.items():
        for number, rows in by_number.items():
            _decide_tag(line, kind, number, rows, context)
    for row in line.rows:
        for kind, key in (("eid", "new_eid"), ("vid", "new_vid")):
            if row.readings.get(key):
                _retag(line, kind, row.readings[key], "", [row], context, ended="replaced")


def _named(line: Line) -> dict[str, dict[tuple[str, str], list[Row]]]:
    """The numbers that the rows themselves show, by kind; a number given by another file's row is not shown."""
    found: dict[str, dict[tuple[str, str], list[Row]]] = {}
    for row in line.rows:
        said = row.readings
        colour = said.get("vid_colour", "")
        pairs = [("eid", "eid", ""), ("vid", "vid", colour), ("nues", "metal", "")]
        pairs += [("tattoo", "tattoo", ""), ("brand", "brand", ""), ("back", "back_tag", "")]
        for kind, key, of_colour in pairs:
            if said.get(key):
                found.setdefault(kind, {}).setdefault((said[key], of_colour), []).append(row)
    return {kind: _without_bare_doubles(numbers) for kind, numbers in found.items()}


def _without_bare_doubles(
    numbers: dict[tuple[str, str], list[Row]],
) -> dict[tuple[str, str], list[Row]]:
    """Join a number without colour to the same number with one."""
    coloured = {number: colour for number, colour in numbers if colour}
    joined: dict[tuple[str, str], list[Row]] = {}
    for (number, colour), rows in numbers.items():
        joined.setdefault((number, colour or coloured.get(number, "")), []).extend(rows)
    return joined


def _decide_tag(line: Line, kind: str, named: tuple[str, str], rows: list[Row], context: Context) -> None:
    number, colour = named
    ruled = _ruled(line, rows, context)
    if ruled == f"retag {kind}":
        _retag(line, kind, number, colour, rows, context, ended="lost")
        return
    if line.is_new:
        if not _is_taken(line, kind, number, colour, context):
            line.propose(_wish(kind, number, colour, rows[0], context), rows, **_put_on(kind, number, colour, rows[0], context, "tagged"))
        return
    card = line.card
    if card is None or any(one.kind == kind and one.number == number for one in card.worn):
        return
    worn = card.open(kind)
    if ruled == "is":
        line.notes.append(f"{LABELS[kind]} {number} was left out: a person said whose line it is.")
    elif worn is None and not context.view.wearers(kind, number):
        line.propose(_wish(kind, number, colour, rows[0], context), rows, **_put_on(kind, number, colour, rows[0], context, "found"))
    elif worn is not None:
        _differs(line, kind, named, rows, worn.number, context)


def _ruled(line: Line, rows: list[Row], context: Context) -> str:
    """What a person said of these rows' numbers: "retag <kind>", "is" where it is this animal whatever the
    number says, or nothing.
    """
    moved = context.answers.moved_rows()
    for row in rows:
        answer = context.answers.given.get(f"who:{row.numbers.key}")
        if str(row.id) in moved:
            return "is"
        if answer is not None and answer.about == str(line.animal_id):
            kind = "eid" if row.numbers.eid else "vid"
            return f"retag {kind}" if answer.verb == "retag" else "is"
    return ""


def _is_taken(line: Line, kind: str, number: str, colour: str, context: Context) -> bool:
    """Whether a new animal's number is on an animal already; visual numbers differ by colour as well."""
    worn = context.view.wearers(kind, number)
    if kind == "vid":
        worn = [one for one in worn if one.colour == colour]
    if worn:
        line.notes.append(f"{LABELS[kind]} {number} is on another animal, so it was not put on this one.")
    return bool(worn)


def _put_on(kind: str, number: str, colour: str, row: Row, context: Context, began: str) -> dict[str, Any]:
    # A herd list says that a tag is worn, not since when.
    day = None if row.is_herd_list and began != "retagged" else _day(row, context)
    return {"do": "tag_on", "kind": kind, "number": number, "colour": colour, "on": day, "began": began}


def _day(row: Row, context: Context) -> str:
    return str(row.readings.get("day") or context.day.isoformat())


def _wish(kind: str, number: str, colour: str, row: Row, context: Context) -> Wish:
    says = f"{LABELS[kind]} {number} {colour}".rstrip()
    return Wish("tag", kind, number, says, row, date.fromisoformat(_day(row, context)))


def _retag(
    line: Line, kind: str, number: str, colour: str, rows: list[Row], context: Context, *, ended: str
) -> None:
    """End the tag of that kind that is worn and put the new one on, unless it is on already."""
    card = line.card
    worn = card.open(kind) if card else None
    if worn is not None and worn.number == number:
        return
    others = [one for one in context.view.wearers(kind, number) if one.animal_id != line.animal_id]
    if others:
        _differs(line, kind, (number, colour), rows, worn.number if worn else "none", context)
        return
    day = _day(rows[0], context)
    wish = _wish(kind, number, colour, rows[0], context)
    if worn is not None:
        off = Wish("tag", kind, worn.number, f"{LABELS[kind]} {worn.number} {ended}", rows[0], wish.day)
        line.propose(off, rows, do="tag_off", wearing=str(worn.id), ended=ended, on=day)
    line.propose(wish, rows, **_put_on(kind, number, colour or (worn.colour if worn else ""), rows[0], context, "retagged"))


def _differs(
    line: Line, kind: str, named: tuple[str, str], rows: list[Row], worn: str, context: Context
) -> None:
    """Ask about a number that is not the animal's: a slip, or a new tag."""
    number, colour = named
    label = LABELS[kind]
    taken = bool([one for one in context.view.wearers(kind, number) if one.animal_id != line.animal_id])
    keep = Choice("keep_record", f"Keep {worn}", "The number in the file is a slip and is left out.")
    retag = Choice("take", f"It has a new tag: {number}", f"Ends {label} {worn} as replaced and puts {number} on.")
    near = is_near(number, worn)
    choices = [keep] if taken else [keep, retag] if near else [retag, keep]
    doubt = Doubt(
        key=f"{line.key}|{kind} {number}|record",
        kind=FindingKind.DIFFERS,
        field=kind,
        alike=f"{FindingKind.DIFFERS}:{kind}:{'slip' if near else 'new'}",
        title=f"{line.title}: the file has {label} {number}, the record {worn}"[:200],
        rows=rows,
        sides=[Side(f"The record: {label} {worn}"), Side(f"The file: {label} {number} {colour}".rstrip(), number, tuple(rows))],
        reasons=[f"{number} is one slip away from {worn}."] if near else [f"{number} is not the {label} of this animal."],
        choices=choices,
        is_suggested=near,
    )
    if _is_slip_of_known(line, kind, number, rows):
        line.notes.append(f"{label} {number} was taken as a slip for {worn}.")
        return
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
    elif answer.verb == "take" and not taken:
        wearing = line.card.open(kind) if line.card else None
        if wearing is not None:
            day = _day(rows[0], context)
            off = Wish("tag", kind, worn, f"{label} {worn} replaced", rows[0], date.fromisoformat(day))
            line.propose(off, rows, do="tag_off", wearing=str(wearing.id), ended="replaced", on=day)
        line.propose(_wish(kind, number, colour, rows[0], context), rows, **_put_on(kind, number, colour, rows[0], context, "retagged"))


def _is_slip_of_known(line: Line, kind: str, number: str, rows: list[Row]) -> bool:
    """Whether the other number of the row names the animal, so that a near EID can only be a slip.

    A person's "a slip" has said so as well: the ruling is on the numbers, and the rows came here by it.
    """
    card = line.card
    worn = card.open(kind) if card else None
    if kind != "eid" or card is None or worn is None or not is_near(number, worn.number):
        return False
    vid = card.open("vid")
    return vid is not None and all(row.numbers.vid == vid.number for row in rows)
