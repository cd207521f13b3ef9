"""The tags that rows name, beside those the animal wears in the record."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from herd.intake.deciding.carriedtags import told_numbers
from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.doubts import Choice, Doubt, Side, who_key
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.matching.view import Worn
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
READING_KEYS = {"eid": "eid", "vid": "vid", "nues": "metal", "tattoo": "tattoo", "brand": "brand", "back": "back_tag"}
NEW_KEYS = {"eid": "new_eid", "vid": "new_vid"}


@dataclass(frozen=True, slots=True)
class Named:
    """A number that rows name, and where they do."""

    kind: str
    number: str
    colour: str
    rows: tuple[Row, ...]

    @property
    def says(self) -> str:
        """The number in words."""
        return f"{LABELS[self.kind]} {self.number} {self.colour}".rstrip()

    def day(self, context: Context) -> str:
        """The day of the first row that names it."""
        return str(self.rows[0].readings.get("day") or context.day.isoformat())

    def wish(self, context: Context) -> Wish:
        """The number as something that is to be written."""
        return Wish("tag", self.kind, self.number, self.says, self.rows[0], date.fromisoformat(self.day(context)))


def decide_tags(line: Line, context: Context) -> None:
    """Put on what the animal does not wear yet, ask about numbers that differ, follow retags."""
    replaced = _replaced(line) if line.is_new else set()
    told = told_numbers(line) if line.is_new else set()
    for named in _named(line):
        if (named.kind, named.number) in told:
            continue
        if (named.kind, named.number) in replaced:
            line.notes.append(f"{named.says} was left out: the line names the tag that replaced it.")
        else:
            _decide_tag(line, named, context)
    for row in line.rows:
        for kind, key in NEW_KEYS.items():
            if row.readings.get(key):
                _retag(line, Named(kind, row.readings[key], "", (row,)), context, ended="replaced")


def _replaced(line: Line) -> set[tuple[str, str]]:
    """The numbers that stand beside a new one of their kind; a new animal comes in with the new one alone."""
    return {
        (kind, str(row.readings[kind]))
        for row in line.rows
        for kind, key in NEW_KEYS.items()
        if row.readings.get(key) and row.readings.get(kind)
    }


def _named(line: Line) -> list[Named]:
    """The numbers that the rows themselves show; a number given by another file's row is not shown."""
    rows: dict[tuple[str, str, str], list[Row]] = {}
    for row in line.rows:
        for kind, key in READING_KEYS.items():
            if row.readings.get(key):
                colour = row.readings.get("vid_colour", "") if kind == "vid" else ""
                rows.setdefault((kind, row.readings[key], colour), []).append(row)
    coloured = {(kind, number): colour for kind, number, colour in rows if colour}
    joined: dict[tuple[str, str, str], list[Row]] = {}
    for (kind, number, colour), some in rows.items():
        # A number without its colour is the same number with it.
        joined.setdefault((kind, number, colour or coloured.get((kind, number), "")), []).extend(some)
    return [Named(*key, tuple(some)) for key, some in joined.items()]


def _decide_tag(line: Line, named: Named, context: Context) -> None:
    ruled = _ruled(line, named, context)
    if ruled == f"retag {named.kind}":
        _retag(line, named, context, ended="lost")
        return
    if line.is_new:
        if not _is_taken(line, named, context):
            _put_on(line, named, context, "tagged")
        return
    card = line.card
    if card is None or any(one.kind == named.kind and one.number == named.number for one in card.worn):
        return
    worn = card.open(named.kind)
    if ruled == "is":
        line.notes.append(f"{named.says} was left out: a person said whose line it is.")
    elif worn is not None:
        _differs(line, named, worn, context)
    elif not context.view.wearers(named.kind, named.number):
        _put_on(line, named, context, "found")


def _ruled(line: Line, named: Named, context: Context) -> str:
    """What a person said of the rows: "retag <kind>", "is" where it is this animal whatever the number says."""
    if not context.answers.given:
        return ""
    moved = context.answers.moved_rows()
    for row in named.rows:
        if str(row.id) in moved:
            return "is"
        answer = context.answers.given.get(who_key(row.numbers))
        if answer is not None and answer.about == str(line.animal_id):
            kind = "eid" if row.numbers.eid else "vid"
            return f"retag {kind}" if answer.verb == "retag" else "is"
    return ""


def _is_taken(line: Line, named: Named, context: Context) -> bool:
    """Whether a new animal's number is on an animal already; visual numbers differ by colour as well."""
    worn = context.view.wearers(named.kind, named.number)
    if named.kind == "vid":
        worn = [one for one in worn if one.colour == named.colour]
    if worn:
        line.notes.append(f"{named.says} is on another animal, so it was not put on this one.")
    return bool(worn)


def _put_on(line: Line, named: Named, context: Context, began: str) -> None:
    # A herd list says that a tag is worn, not since when.
    day = None if named.rows[0].is_herd_list and began != "retagged" else named.day(context)
    what: dict[str, Any] = {
        "do": "tag_on",
        "kind": named.kind,
        "number": named.number,
        "colour": named.colour,
        "on": day,
        "began": began,
    }
    line.propose(named.wish(context), list(named.rows), **what)


def _take_off(line: Line, worn: Worn, named: Named, context: Context, ended: str) -> None:
    off = Named(worn.kind, worn.number, worn.colour, named.rows)
    what = {"do": "tag_off", "wearing": str(worn.id), "ended": ended, "on": named.day(context)}
    line.propose(off.wish(context), list(named.rows), **what)


def _retag(line: Line, named: Named, context: Context, *, ended: str) -> None:
    """End the tag of that kind that is worn and put the new one on, unless it is on already."""
    worn = line.card.open(named.kind) if line.card else None
    if worn is not None and worn.number == named.number:
        return
    if _on_another(line, named, context):
        _differs(line, named, worn, context)
        return
    if worn is not None:
        _take_off(line, worn, named, context, ended)
        named = Named(named.kind, named.number, named.colour or worn.colour, named.rows)
    _put_on(line, named, context, "retagged")


def _on_another(line: Line, named: Named, context: Context) -> bool:
    return any(one.animal_id != line.animal_id for one in context.view.wearers(named.kind, named.number))


def _differs(line: Line, named: Named, worn: Worn | None, context: Context) -> None:
    """Ask about a number that is not the animal's: a slip, or a new tag."""
    number = worn.number if worn else "none"
    if _is_slip(line, named, worn):
        line.notes.append(f"{named.says} was taken as a slip for {number}.")
        return
    taken = _on_another(line, named, context)
    doubt = _doubt(line, named, number, taken=taken)
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
    elif answer.verb == "take" and not taken:
        if worn is not None:
            _take_off(line, worn, named, context, "replaced")
        _put_on(line, named, context, "retagged")


def _doubt(line: Line, named: Named, worn: str, *, taken: bool) -> Doubt:
    label, near = LABELS[named.kind], is_near(named.number, worn)
    keep = Choice("keep_record", f"Keep {worn}", "The number in the file is a slip and is left out.")
    effect = f"Ends {label} {worn} as replaced and puts {named.number} on."
    retag = Choice("take", f"It has a new tag: {named.number}", effect)
    reason = f"{named.number} is one slip away from {worn}." if near else f"{named.says} is not on this animal."
    return Doubt(
        key=f"{line.key}|{named.kind} {named.number}|record",
        kind=FindingKind.DIFFERS,
        field=named.kind,
        alike=f"{FindingKind.DIFFERS}:{named.kind}:{'slip' if near else 'new'}",
        title=f"{line.title}: the file has {label} {named.number}, the record {worn}",
        rows=named.rows,
        sides=[Side(f"The record: {label} {worn}"), Side(f"The file: {named.says}", named.number, named.rows)],
        reasons=[reason, *(["It is on another animal."] if taken else [])],
        choices=[keep] if taken else [keep, retag] if near else [retag, keep],
        is_suggested=near,
    )


def _is_slip(line: Line, named: Named, worn: Worn | None) -> bool:
    """Whether the visual tag of the row names the animal, so that a near EID can only be a slip."""
    vid = line.card.open("vid") if line.card else None
    if named.kind != "eid" or worn is None or vid is None or not is_near(named.number, worn.number):
        return False
    return all(row.numbers.vid == vid.number for row in named.rows)
