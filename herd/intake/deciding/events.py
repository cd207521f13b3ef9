"""What a row says happened, compared with what the record says happened."""

from datetime import date
from typing import Any

from herd.intake.deciding.context import Context, Line, PastEvent
from herd.intake.deciding.dates import after_birth, born_on
from herd.intake.deciding.doubtful import doubt_weight, typed_weight
from herd.intake.deciding.doubts import LEAVE_OUT, TYPE, Answer, Choice, Doubt, Side
from herd.intake.deciding.unfit import doubt_class
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind
from herd.values.eventkinds import EVENT_KINDS
from herd.values.tubes import read_tube
from herd.values.withdrawal import latest_end


def decide_event(line: Line, wish: Wish, rows: list[Row], context: Context) -> None:
    """Propose an event, skip one that is known, or ask."""
    if wish.precision == "unknown" and wish.name == "weight" and line.card and line.card.born_on:
        wish = _dated(wish, line.card.born_on, line.card.born_precision)
    past = (
        [one for one in context.past.get(line.animal_id, []) if one.kind == wish.name]
        if line.animal_id
        else []
    )
    if not any(_is_known(wish, one) for one in past):
        settle_event(line, wish, rows, past, context)


def settle_event(line: Line, wish: Wish, rows: list[Row], past: list[PastEvent], context: Context) -> None:
    """Propose an event that the record does not have, or ask; `past` are the animal's own of this kind."""
    born = born_on(line)
    dated = after_birth(line, wish, rows, born, context) if born and wish.day < born else wish
    checked = _checked(line, dated, rows, context) if dated else None
    if checked is None:
        return
    same_day = [one for one in past if one.day == checked.day and _same_part(wish, one)]
    if same_day and EVENT_KINDS[wish.name].once_a_day:
        _differs(line, checked, rows, same_day[0], context)
        return
    if not _is_proposed(line, checked, rows):
        line.propose(checked, rows, **event_proposal(checked))


def _is_proposed(line: Line, wish: Wish, rows: list[Row]) -> bool:
    """Whether the sample in a tube is proposed already: rows that name it for another day are about the same one."""
    for one in line.proposals if wish.name == "sample" else ():
        if one["do"] == "event" and one["kind"] == "sample" and one["data"]["tube"] == wish.data["tube"]:
            one["rows"] += [str(row.id) for row in rows]
            line.notes.append(f"Tube {wish.data['tube']} is named for {one['on']} and {wish.day}; the first was taken.")
            return True
    return False


def event_proposal(wish: Wish, **more: Any) -> dict[str, Any]:
    """The proposal that records a wish."""
    told = wish.row.readings.get("told", {})
    own = {"id": told["id"], "at": told["at"]} if told else {}
    return {
        "do": "event",
        "kind": wish.name,
        "on": wish.day.isoformat() if wish.precision != "unknown" else None,
        "precision": wish.precision,
        "data": wish.data,
        "ng": wish.ng,
        "time": wish.row.readings.get("time") if wish.precision == "day" else None,
        **own,
        **more,
    }


def _dated(wish: Wish, day: date, precision: str) -> Wish:
    return Wish(
        "event", wish.name, wish.value, wish.says, wish.row, day, precision, wish.data, wish.ng, wish.part
    )


def _same_part(wish: Wish, one: PastEvent) -> bool:
    """Whether an event fills the same slot: a weaning weight and a plain weight of one day do."""
    mine, theirs = wish.data.get("purpose", ""), one.data.get("purpose", "")
    return wish.name != "weight" or mine == theirs or "" in (mine, theirs)


def _is_known(wish: Wish, one: PastEvent) -> bool:
    if wish.name == "weight" and wish.part == "birth" and one.data.get("purpose") == "birth":
        return one.ng == wish.ng
    if wish.name == "sample":
        return one.data.get("tube") == wish.data["tube"]
    if wish.name in {"sale", "death"}:
        return True
    if one.day != wish.day or not _same_part(wish, one):
        return False
    main = EVENT_KINDS[wish.name].main
    if wish.name == "weight":
        return one.ng == wish.ng
    if wish.name == "pregnancy_check":
        return one.data.get("result") == wish.data.get("result") and wish.data.get("days") in (
            None,
            one.data.get("days"),
        )
    return not main or str(one.data.get(main, "")).lower() == str(wish.data.get(main, "")).lower()


def _checked(line: Line, wish: Wish, rows: list[Row], context: Context) -> Wish | None:
    """Ask about what looks wrong in itself; the wish as it stands after the answer, or None."""
    unfit = doubt_class(line, wish, rows)
    if unfit:
        if context.answers.to(unfit) is None:
            line.ask(unfit)
            line.held.update(row.id for row in rows)
        return None
    if wish.name == "weight":
        return _checked_weight(line, wish, rows, context)
    if wish.name == "sample":
        return _checked_tube(line, wish, rows, context)
    if wish.name == "sale":
        return _checked_sale(line, wish, rows, context)
    return wish


def _checked_weight(line: Line, wish: Wish, rows: list[Row], context: Context) -> Wish | None:
    doubt = doubt_weight(line, wish, rows, context)
    if doubt is None:
        return wish
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
        line.held.update(row.id for row in rows)
        return None
    if answer.verb == "as_written":
        return wish
    return typed_weight(wish, answer, context.unit)


def _checked_tube(line: Line, wish: Wish, rows: list[Row], context: Context) -> Wish | None:
    tube = wish.data["tube"]
    holder = context.view.tubes.get(tube)
    others = context.tubes[tube] - {line.key}
    # What a person has said of the tube stands, even where the other line that names it is gone.
    is_ruled = _tube_key(line, tube) in context.answers.given
    if (holder is None or holder == line.animal_id) and not others and not is_ruled:
        return wish
    doubt = _tube_doubt(line, wish, rows, context)
    answer = context.answers.to(doubt)
    if answer is None or (answer.verb == "take" and (holder or context.tubes_taken[tube] > 1)):
        line.ask(doubt)
        return None
    return wish if answer.verb == "take" else _typed_tube(wish, answer)


def _tube_key(line: Line, tube: str) -> str:
    return f"{line.key}|tube {tube}"


def _typed_tube(wish: Wish, answer: Answer) -> Wish | None:
    if answer.verb != "type" or not answer.typed:
        return None
    tube = read_tube(answer.typed)
    return Wish("event", "sample", tube, f"sample tube {tube}", wish.row, wish.day, data={**wish.data, "tube": tube})


def _tube_doubt(line: Line, wish: Wish, rows: list[Row], context: Context) -> Doubt:
    tube = wish.data["tube"]
    holder = context.view.tubes.get(tube)
    reasons = []
    if holder is not None and holder in context.view.cards:
        reasons.append(f"The record has tube {tube} for {context.view.cards[holder].title}.")
    if len(context.tubes[tube]) > 1:
        reasons.append(f"Tube {tube} is named for {len(context.tubes[tube])} animals on this day.")
    reasons.append("One tube holds the sample of one animal; look at the tube and its place in the rack.")
    take = [Choice("take", "The tube is this animal's", "Leave it out where the other line is asked.")]
    return Doubt(
        key=_tube_key(line, tube),
        kind=FindingKind.TUBE_TWICE,
        field="tube",
        title=f"{line.title}: tube {tube} is used twice",
        rows=rows,
        sides=[Side(wish.says, tube, tuple(rows))],
        reasons=reasons,
        choices=[*([] if holder else take), TYPE, LEAVE_OUT],
    )


def _checked_sale(line: Line, wish: Wish, rows: list[Row], context: Context) -> Wish | None:
    """Ask where the animal is sold before a withdrawal has run out, or where its days are not known."""
    past = context.past.get(line.animal_id, []) if line.animal_id else []
    hold = latest_end(one.hold for one in past if one.hold and one.hold.holds_on(wish.day))
    if hold is None:
        return wish
    until = f"in withdrawal until {hold.free_on}" if hold.free_on else "not known to be free of what it was given"
    given = f"{hold.days} days of 24 hours" if hold.free_on else "not entered"
    doubt = Doubt(
        key=f"{line.key}|withdrawal",
        kind=FindingKind.IN_WITHDRAWAL,
        field="sale",
        title=f"{line.title} is sold while {until}",
        rows=rows,
        sides=[Side(wish.says, wish.day.isoformat(), tuple(rows))],
        reasons=[
            f"{hold.product} was given on {hold.last_on}, withdrawal {given}.",
            "Follow the label and your veterinarian. An animal in withdrawal must not go to slaughter.",
        ],
        choices=[
            LEAVE_OUT,
            Choice("as_written", "Record the sale all the same", "The withdrawal stays in the record."),
        ],
    )
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
        return None
    return wish if answer.verb == "as_written" else None


def _differs(line: Line, wish: Wish, rows: list[Row], known: PastEvent, context: Context) -> None:
    """Ask which stands: what the record has for that day, or what the file says."""
    label = EVENT_KINDS[wish.name].label
    recorded = said_in_record(known)
    doubt = Doubt(
        key=f"{line.key}|{wish.field} {wish.day}|record",
        kind=FindingKind.DIFFERS,
        field=wish.name,
        title=f"{line.title}: {wish.says}, but the record has {recorded}"[:200],
        rows=rows,
        sides=[Side(f"The record: {recorded}"), Side(f"The file: {wish.says}", str(wish.value), tuple(rows))],
        reasons=[f"The record has a {label} for {wish.day} already, and it is another."],
        choices=[
            Choice("keep_record", f"Keep {recorded}", "The file's value is left out."),
            Choice("take", f"Take {wish.says}", "The recorded one is voided; both stay in the history."),
            Choice("both", "Both happened", "A second one is recorded for that day."),
        ],
    )
    as_ruled(line, doubt, wish, known, context)


def as_ruled(line: Line, doubt: Doubt, wish: Wish, known: PastEvent, context: Context) -> None:
    """Ask which stands, or do as ruled: the file's in the record's place, both, or the record's alone."""
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
    elif answer.verb == "take":
        line.propose(wish, list(doubt.rows), **event_proposal(wish, supersedes=str(known.id)))
    elif answer.verb == "both":
        line.propose(wish, list(doubt.rows), **event_proposal(wish))


def said_in_record(event: PastEvent) -> str:
    """An event of the record in a few words."""
    if event.kind == "weight":
        return f"{event.data.get('weight')} {event.data.get('unit', '')}".strip()
    main = EVENT_KINDS[event.kind].main
    extra = f", {event.data['days']} days" if event.data.get("days") else ""
    return f"{event.data.get(main) or EVENT_KINDS[event.kind].label}{extra}"
