"""What a record kept elsewhere tells: events, tags and groups over time, each under an id of its own.

Such a row was written by a program, not in the field. In its readings stand, beside what any row may have:

- `called`: the animal's name in its own record, by which rows about it belong together; `called_id`: the id it gets
  here where it is new; or `animal` with `is_dated`, where it is known by name, whatever became of it since.
- `told`: one event, {"kind", "data", "ng", "at", "id", "ids", "animals", "places"}: `ids` are those under which it may
  stand here already, `animals` the fields that name an animal by its name elsewhere, `places` those that name a
  location.
- `worn`: wearings known whole; `stay`: joining or leaving a group; `place`: a group or location of the outfit.

Everything but what stands here already under its id is judged as what a field file says.
"""

from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID

from herd.intake.deciding.carriedstays import decide_stays
from herd.intake.deciding.carriedtags import decide_worn
from herd.intake.deciding.context import Context, Line, PastEvent
from herd.intake.deciding.doubts import LEAVE_OUT, Choice, Doubt, Side
from herd.intake.deciding.events import settle_event
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind
from herd.values.eventkinds import EVENT_KINDS

# The readings that such a row is known by.
CARRIED = frozenset({"called_id", "told", "worn", "stay", "place"})


def decide_carried(line: Line, context: Context) -> None:
    """Add what the rows of a line tell from a record kept elsewhere."""
    if line.key.startswith("place:"):
        _decide_place(line, context)
        return
    _name_newcomer(line)
    decide_worn(line, context)
    decide_stays(line, context)
    for row in line.rows:
        if "told" in row.readings:
            _decide_told(line, row, context)


def _name_newcomer(line: Line) -> None:
    given = next((row.readings["called_id"] for row in line.rows if row.readings.get("called_id")), None)
    for one in line.proposals if line.is_new and given else ():
        if one["do"] == "new_animal":
            one["id"] = given


def _decide_told(line: Line, row: Row, context: Context) -> None:
    said = row.readings["told"]
    if any(UUID(key) in context.standing for key in said["ids"]):
        return
    wish = _wish(row, said, context)
    past = [one for one in context.past.get(line.animal_id, []) if one.kind == wish.name] if line.animal_id else []
    if any(_is_same(wish, one) for one in past):
        return
    whole = _with_animals(line, wish, said, context)
    if whole is None or not _was_there(line, whole, context):
        return
    settle_event(line, whole, [row], past, context)


def _wish(row: Row, said: dict[str, Any], context: Context) -> Wish:
    kind, data = EVENT_KINDS[said["kind"]], said["data"]
    own, precision = row.readings.get("day"), row.readings.get("day_precision", "day")
    day = date.fromisoformat(own) if own else context.day
    value = str(data.get(kind.main, "")).lower() or kind.key
    says = f"{kind.label} {data.get(kind.main, '')} {data.get('unit', '')}".strip()
    # The id keeps two events apart that happened to one animal on one day.
    part = str(data.get("purpose", "")) if kind.key == "weight" else said["ids"][0] if said["ids"] else value
    ng = said.get("ng")
    return Wish("event", kind.key, value, says[:200], row, day, precision if own else "unknown", data, ng, part)


def _is_same(wish: Wish, one: PastEvent) -> bool:
    """Whether the record has the event under another id: the same day, the same figure or the same words."""
    day = None if wish.precision == "unknown" else wish.day
    if one.day != day:
        return False
    main = EVENT_KINDS[wish.name].main
    if wish.name == "weight":
        return one.ng == wish.ng
    return str(one.data.get(main, "")).lower() == str(wish.data.get(main, "")).lower()


def _with_animals(line: Line, wish: Wish, said: dict[str, Any], context: Context) -> Wish | None:
    """The event with the animals it names as this record knows them; asks where one of them is not settled."""
    data = dict(wish.data)
    for field, called in said.get("animals", {}).items():
        found = animal_called(called, context)
        if found:
            data[field] = found
        elif not _is_left_out(line, wish, field, context):
            return None
    for field, name in said.get("places", {}).items():
        data[field] = f"place:{name}"
    return replace(wish, data=data)


def animal_called(called: str, context: Context) -> str:
    """The animal of a name elsewhere: an id of ours, the line's key of a new one, or nothing while it is open."""
    key = context.called.get(called, "")
    if key.startswith("animal:"):
        return key.removeprefix("animal:")
    if key.startswith("new:"):
        return key
    known = called.removeprefix("animal ")
    return known if known != called and UUID(known) in context.view.cards else ""


def _is_left_out(line: Line, wish: Wish, field: str, context: Context) -> bool:
    """Whether a person said that the event goes in without the animal it names; asks where nobody has."""
    doubt = Doubt(
        key=f"{line.key}|{wish.part} {field}|called",
        kind=FindingKind.WHICH_ANIMAL,
        field=field,
        title=f"{line.title}: the {field} of its {wish.name.replace('_', ' ')} on {wish.day} is not known"[:200],
        rows=[wish.row],
        sides=[Side(f"{wish.row.place}: {wish.says}", "", (wish.row,))],
        reasons=[f"The {field} is in neither the record nor the file, or is waiting for a person itself."],
        choices=[Choice("without", f"Record it without the {field}", "The rest of the event is recorded."), LEAVE_OUT],
    )
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
        line.held.add(wish.row.id)
    return answer is not None and answer.verb == "without"


def _was_there(line: Line, wish: Wish, context: Context) -> bool:
    """Ask about something dated after the animal died; it may be about another one."""
    card = line.card
    if card is None or card.status != "dead" or card.since is None or wish.precision == "unknown":
        return True
    if wish.day <= card.since:
        return True
    doubt = Doubt(
        key=f"{line.key}|{wish.part} {wish.day}|gone",
        kind=FindingKind.NOT_ON_HAND,
        field=wish.name,
        alike=f"{FindingKind.NOT_ON_HAND}:told",
        title=f"{line.title}: {wish.says} on {wish.day}, after it died"[:200],
        rows=[wish.row],
        sides=[Side(f"{wish.row.place}: {wish.says}", wish.day.isoformat(), (wish.row,))],
        reasons=[f"The record has it dead since {card.since}."],
        choices=[LEAVE_OUT, Choice("as_written", "Record it all the same", "It stays dead in the record.")],
    )
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
        line.held.add(wish.row.id)
    return answer is not None and answer.verb == "as_written"


def _decide_place(line: Line, context: Context) -> None:
    """Propose a group or location that the outfit does not have; one of that name stands for it otherwise."""
    said = line.rows[0].readings["place"]
    subject, name = said["subject"], said["facts"]["name"]
    names = context.group_names if subject == "group" else context.location_names
    if name in names.values():
        return
    what = {"do": "place", "says": f"{subject} {name}", "rows": [str(row.id) for row in line.rows]}
    line.proposals.append({**said, **what})
