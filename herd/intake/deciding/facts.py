"""What a row says an animal is, compared with the record: blanks are filled, differences are asked."""

from datetime import date
from typing import Any
from uuid import UUID

from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.doubts import Choice, Doubt, Side
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind

LABELS = {
    "entry_class": "class",
    "born_on": "birth date",
    "breed": "breed",
    "coat": "coat",
    "origin": "origin",
    "dam_id": "dam",
    "sire_id": "sire",
    "entered_on": "day it came in",
}
FEMALE, MALE = {"cow", "heifer"}, {"bull", "steer"}
NO_SIRE = {*FEMALE, "steer"}
# A female of this age has had time to calve: she is a cow (common practice, no source).
COW_DAYS = 912


def decide_fact(line: Line, wish: Wish, rows: list[Row], context: Context) -> None:
    """Fill a blank, skip what is known, or ask."""
    facts = _facts_of(line, wish, context)
    if facts is None:
        return
    if line.is_new:
        line.propose(wish, rows, do="fact", facts=facts)
        return
    if line.card is None:
        return
    known = line.card.facts.get(wish.name)
    if _agrees(line, wish, facts, context):
        return
    if known in (None, ""):
        line.propose(wish, rows, do="fact", facts=facts)
        return
    _differs(line, wish, rows, facts, context)


def _facts_of(line: Line, wish: Wish, context: Context) -> dict[str, Any] | None:
    """The record's columns that this wish would set; None where it says nothing usable."""
    if wish.name == "born_on":
        return {"born_on": wish.value[0], "born_precision": wish.value[1]}
    if wish.name == "entry_class":
        found = _class_said(line, wish)
        return {"entry_class": found} if found else None
    if wish.name in {"dam_id", "sire_id"}:
        parent = _parent(line, wish, context)
        return {wish.name: parent} if parent else None
    return {wish.name: wish.value}


def _class_said(line: Line, wish: Wish) -> str:
    """The class a row says; from a sex alone only as far as age tells it."""
    said, sex, is_calf = wish.value
    if said:
        return str(said)
    if sex == "male":
        line.notes.append("Male taken as a bull; castration is an event of its own.")
        return "bull"
    born = next((row.readings["born"]["on"] for row in line.rows if "born" in row.readings), None)
    if is_calf:
        return "heifer"
    if born is None:
        return ""
    return "cow" if (wish.day - date.fromisoformat(born)).days >= COW_DAYS else "heifer"


def _parent(line: Line, wish: Wish, context: Context) -> str | None:
    """The dam or sire by its number: an animal of the record, or a newcomer of the same day by its line's key."""
    kind, number = wish.value
    if kind == "called":
        return _parent_called(line, wish, context)
    worn = context.view.by_number.get((kind, number), [])
    cards = (context.view.cards[one.animal_id] for one in worn)
    # A bull that was castrated later may have sired calves before.
    fitting = {
        card.id
        for card in cards
        if _can_be(wish.name, line, card.facts.get("entry_class") or card.animal_class, card.born_on)
    }
    open_ones = {one.animal_id for one in worn if one.is_open and one.animal_id in fitting}
    found = open_ones or fitting
    newcomers = {
        key
        for key in context.newcomers.get((kind, number), set()) - {line.key}
        if _can_be(wish.name, line, *context.newcomer_facts[key])
    }
    if len(found) == 1 and not newcomers:
        return str(next(iter(found)))
    if len(newcomers) == 1 and not found:
        return next(iter(newcomers))
    several = "more than one animal fits" if found or newcomers else "no animal that could be it wears it"
    line.notes.append(f"{LABELS[wish.name].capitalize()} {number} was not taken: {several}.")
    return None


def _parent_called(line: Line, wish: Wish, context: Context) -> str | None:
    """The dam or sire by its name in a record kept elsewhere."""
    called = str(wish.value[1])
    key = context.called.get(called) or called.replace("animal ", "animal:")
    if key in context.newcomer_facts and key != line.key:
        facts, found = context.newcomer_facts[key], key
    else:
        card = context.view.cards.get(UUID(key.removeprefix("animal:"))) if key.startswith("animal:") else None
        facts = (card.facts.get("entry_class") or card.animal_class, card.born_on) if card else ("", None)
        found = str(card.id) if card and card.id != line.animal_id else ""
    if found and _can_be(wish.name, line, *facts):
        return found
    reason = "it can't be that by its class or birth" if found else "it is not known here"
    line.notes.append(f"The {LABELS[wish.name]} was not taken: {reason}.")
    return None


def _can_be(name: str, line: Line, animal_class: str, born: date | None) -> bool:
    """Whether an animal of this class, born that day, can be the dam or sire of the line's animal."""
    if animal_class in (MALE if name == "dam_id" else NO_SIRE):
        return False
    said = next((row.readings["born"]["on"] for row in line.rows if "born" in row.readings), None)
    mine = date.fromisoformat(said) if said else line.card.born_on if line.card else None
    return born is None or mine is None or born < mine


def _agrees(line: Line, wish: Wish, facts: dict[str, Any], context: Context) -> bool:
    """Whether the record says the same, as exactly as the file does."""
    card = line.card
    if card is None:
        return False
    known = card.facts.get(wish.name)
    if wish.name == "entry_class":
        said, sex, _ = wish.value
        if said:
            return said in {card.animal_class, card.facts.get("entry_class")}
        return card.animal_class in (FEMALE if sex == "female" else MALE)
    if wish.name == "born_on":
        return _same_birth(
            card.born_on, card.born_precision, date.fromisoformat(facts["born_on"]), facts["born_precision"]
        )
    if wish.name in {"dam_id", "sire_id"}:
        return str(known) == facts[wish.name]
    if wish.name == "entered_on":
        return known is not None and known.isoformat() == facts[wish.name]
    return str(known or "").casefold() == str(facts[wish.name]).casefold()


def _same_birth(known: date | None, known_precision: str, said: date, said_precision: str) -> bool:
    if known is None:
        return False
    rough = {known_precision, said_precision}
    if "year" in rough:
        return known.year == said.year
    if "month" in rough:
        return (known.year, known.month) == (said.year, said.month)
    return known == said


def _differs(line: Line, wish: Wish, rows: list[Row], facts: dict[str, Any], context: Context) -> None:
    label = LABELS[wish.name]
    recorded = _in_words(line, wish.name, context)
    doubt = Doubt(
        key=f"{line.key}|{wish.name}|record",
        kind=FindingKind.DIFFERS,
        field=wish.name,
        title=f"{line.title}: {wish.says}, but the record has {recorded}"[:200],
        rows=rows,
        sides=[
            Side(f"The record: {label} {recorded}"),
            Side(f"The file: {wish.says}", str(wish.value), tuple(rows)),
        ],
        reasons=[f"The {label} is in the record already, and it is another.", *_seen(rows, wish.name, label)],
        choices=[
            Choice("keep_record", f"Keep {recorded}", "The file's value is left out."),
            Choice("take", f"Correct the record: {wish.says}", "The old value stays in the history."),
        ],
    )
    if _is_taken(line, doubt, context):
        line.propose(wish, rows, do="fact", facts=facts)


def _seen(rows: list[Row], name: str, label: str) -> list[str]:
    """What a device had before it when the value was changed on it."""
    seen = [row.readings["seen"][name] for row in rows if name in row.readings.get("seen", {})]
    return [f"On the device the {label} was {one or 'empty'} before it was changed." for one in seen]


def _is_taken(line: Line, doubt: Doubt, context: Context) -> bool:
    """Whether a person took the file's word against the record's; asks where nobody has said."""
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
    return answer is not None and answer.verb == "take"


def _in_words(line: Line, name: str, context: Context) -> str:
    value = line.card.facts.get(name) if line.card else None
    if isinstance(value, UUID):
        card = context.view.cards.get(value)
        return card.name if card else "another animal"
    if name == "entry_class" and line.card:
        return line.card.animal_class
    return str(value)


def decide_group(line: Line, wish: Wish, rows: list[Row], context: Context) -> None:
    """Join a group that a herd list names; another file's group is asked where the record has another."""
    if line.is_new:
        line.propose(wish, rows, do="join", group=wish.value, on=wish.day.isoformat())
        return
    if line.card is None or _group_name(line, context).casefold() == wish.value.casefold():
        return
    recorded = _group_name(line, context) or "no group"
    doubt = Doubt(
        key=f"{line.key}|group|record",
        kind=FindingKind.DIFFERS,
        field="group",
        title=f"{line.title}: {wish.says}, but the record has {recorded}"[:200],
        rows=rows,
        sides=[Side(f"The record: {recorded}"), Side(f"The file: {wish.value}", wish.value, tuple(rows))],
        reasons=["The animal is in another group of the record."],
        choices=[
            Choice("keep_record", f"Leave it in {recorded}", "The file's group is left out."),
            Choice("take", f"Move it to {wish.value}", f"It joins {wish.value} on {wish.day}."),
        ],
    )
    if _is_taken(line, doubt, context):
        line.propose(wish, rows, do="join", group=wish.value, on=wish.day.isoformat())


def _group_name(line: Line, context: Context) -> str:
    group = line.card.group_id if line.card else None
    return context.group_names.get(group, "") if group else ""


STATUS_EVENTS = {
    "sold": "sale",
    "dead": "death",
    "missing": "missing",
    "transferred": "transfer",
    "on_hand": "found",
}


def decide_status(line: Line, wish: Wish, rows: list[Row], context: Context) -> None:
    """Record what a herd list says became of an animal; ask where the record says otherwise."""
    if line.is_new:
        if wish.value != "on_hand":
            line.propose(wish, rows, **_status_event(wish, "unknown"))
        return
    if line.card is None or line.card.status == wish.value:
        return
    recorded = line.card.status.replace("_", " ")
    doubt = Doubt(
        key=f"{line.key}|status|record",
        kind=FindingKind.DIFFERS,
        field="status",
        title=f"{line.title}: {wish.says}, but the record has {recorded}"[:200],
        rows=rows,
        sides=[Side(f"The record: {recorded}"), Side(f"The file: {wish.says}", wish.value, tuple(rows))],
        reasons=["The record and the list disagree on whether the animal is in the herd."],
        choices=[
            Choice("keep_record", f"Keep {recorded}", "The list's word is left out."),
            Choice("take", f"Record it as {wish.value.replace('_', ' ')}", f"Dated {wish.day}."),
        ],
    )
    if _is_taken(line, doubt, context):
        line.propose(wish, rows, **_status_event(wish, "day"))


def _status_event(wish: Wish, precision: str) -> dict[str, Any]:
    return {
        "do": "event",
        "kind": STATUS_EVENTS[wish.value],
        "on": wish.day.isoformat(),
        "precision": precision,
        "data": {},
        "ng": None,
    }
