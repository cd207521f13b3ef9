"""Decides a whole day: whose rows, which lines, what is written, what is asked."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from statistics import median
from uuid import UUID

from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.doubts import Choice, Doubt
from herd.intake.deciding.line import decide_line
from herd.intake.deciding.sharing import ask_shared_tags
from herd.intake.deciding.who import Whose
from herd.intake.matching.links import TELLING_SHARE
from herd.intake.matching.numbers import tube_of
from herd.intake.models import FindingKind, RowState

LEAST_FOR_USUAL = 8
# A file of one day's work has this share of its lines on one date; other dates in it are asked about.
USUAL_SHARE = 0.7


@dataclass(slots=True)
class DayDecision:
    """What deciding a day came to."""

    whose: list[Whose]
    lines: dict[str, Line] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)
    by_rule: dict[str, tuple[Doubt, Choice]] = field(default_factory=dict)


def merge_rows(whose: Iterable[Whose], context: Context) -> dict[str, Line]:
    """Make one line of all rows about one animal."""
    lines: dict[str, Line] = {}
    for one in whose:
        if not one.line_key:
            continue
        if one.line_key not in lines:
            card = context.view.cards.get(one.animal_id) if one.animal_id else None
            lines[one.line_key] = Line(one.line_key, one.animal_id, card)
        line = lines[one.line_key]
        line.rows.append(one.row)
        line.is_open = line.is_open or one.doubt is not None
    return lines


def decide_day(whose: list[Whose], lines: dict[str, Line], context: Context) -> DayDecision:
    """Decide every line whose animal is settled, and ask about whom nobody saw."""
    _learn_tubes(whose, context)
    _learn_newcomers(lines, context)
    _learn_usual(lines, context)
    decision = DayDecision(whose, lines)
    asked: set[str] = set()
    for one in whose:
        if one.doubt is not None and one.doubt.key not in asked:
            asked.add(one.doubt.key)
            decision.doubts.append(one.doubt)
    by_line: dict[str, list[Whose]] = defaultdict(list)
    for one in whose:
        by_line[one.line_key].append(one)
    for key, line in lines.items():
        if not line.is_open:
            _bring_back(line, by_line[key], context)
            decide_line(line, context)
            _note_stray(line, context)
    ask_shared_tags(lines.values(), context)
    decision.doubts += [doubt for line in lines.values() for doubt in line.doubts]
    decision.doubts += _not_seen(lines, context)
    return decision


def _learn_tubes(whose: list[Whose], context: Context) -> None:
    """Gather who names a tube, rows among them whose animal nobody knows yet."""
    for one in whose:
        tube = tube_of(one.row.readings)
        if tube and one.state != RowState.SET_ASIDE:
            context.tubes[tube].add(one.line_key or str(one.row.id))


def _learn_newcomers(lines: dict[str, Line], context: Context) -> None:
    """Gather which newcomers name a number, and what they say of themselves."""
    for key, line in lines.items():
        if not line.is_new:
            continue
        for row in line.rows:
            for kind, number in (("eid", row.numbers.eid), ("vid", row.numbers.vid)):
                if number:
                    context.newcomers[(kind, number)].add(key)
        context.newcomer_facts[key] = _said_of(line)


def _said_of(line: Line) -> tuple[str, date | None]:
    """The class and the birth date that a newcomer's rows say, as far as they do."""
    classes = [row.readings["animal_class"] for row in line.rows if "animal_class" in row.readings]
    births = [row.readings["born"]["on"] for row in line.rows if "born" in row.readings]
    words = [str(one.get("class") or {"male": "bull", "female": "heifer"}.get(one.get("sex"), "")) for one in classes]
    return next(iter(words), ""), date.fromisoformat(births[0]) if births else None


def _learn_usual(lines: dict[str, Line], context: Context) -> None:
    """Gather each file's usual weight and date, and which tubes were ruled to be whose."""
    figures: dict[UUID, list[int]] = defaultdict(list)
    days: dict[UUID, Counter[str]] = defaultdict(Counter)
    for line in lines.values():
        for row in line.rows:
            days[row.file][row.readings.get("day", "")] += 1
            weights = row.readings.get("weights", [])
            figures[row.file] += [weight["ng"] for weight in weights if weight.get("purpose") != "birth"]
    context.usual_ng = {
        file: int(median(some)) for file, some in figures.items() if len(some) >= LEAST_FOR_USUAL
    }
    for file, counts in days.items():
        usual, often = counts.most_common(1)[0]
        if usual and often >= USUAL_SHARE * counts.total():
            context.usual_day[file] = date.fromisoformat(usual)
    for key, answer in context.answers.given.items():
        if "|tube " in key and answer.verb == "take":
            context.tubes_taken[key.rpartition("|tube ")[2]] += 1


def _bring_back(line: Line, whose: list[Whose], context: Context) -> None:
    """Record as found again what a person said is back in the herd."""
    back = [one.row for one in whose if one.ruled is not None and one.ruled.verb == "back"]
    if back and line.card is not None and line.card.status != "on_hand":
        line.proposals.append(
            {
                "do": "event",
                "kind": "found",
                "on": context.day.isoformat(),
                "precision": "day",
                "data": {},
                "ng": None,
                "says": "found again",
                "rows": [str(row.id) for row in back],
            }
        )


def _note_stray(line: Line, context: Context) -> None:
    view = context.view
    if line.card is not None and view.group_id and line.card.id not in view.expected:
        group = line.card.group_id
        place = context.group_names.get(group, "no group") if group else "no group"
        line.notes.append(f"Not of {view.group_name} in the record, but of {place}.")


def _not_seen(lines: dict[str, Line], context: Context) -> list[Doubt]:
    """Ask about animals of the group that no file names, once most of the group was seen."""
    view = context.view
    seen = {line.animal_id for line in lines.values()}
    if not view.expected or len(view.expected & seen) < TELLING_SHARE * len(view.expected):
        return []
    doubts = []
    for key in sorted(view.expected - seen, key=lambda one: view.cards[one].name):
        card = view.cards[key]
        doubt = Doubt(
            key=f"not seen:{key}",
            kind=FindingKind.NOT_SEEN,
            title=f"{card.title} is of {view.group_name} and was not seen",
            rows=[],
            animal_id=key,
            reasons=["No file of the day names it. It may have been missed, lost its tags, or be elsewhere."],
            choices=[
                Choice("leave", "Leave it as it is", "Nothing is written; the day's report names it."),
                Choice(
                    "missing",
                    "Mark it missing",
                    f"It counts as missing from {context.day} until it is found.",
                ),
            ],
        )
        answer = context.answers.to(doubt)
        if answer is None:
            doubts.append(doubt)
        elif answer.verb == "missing":
            _mark_missing(lines, key, context)
    return doubts


def _mark_missing(lines: dict[str, Line], animal_id: UUID, context: Context) -> None:
    line = Line(f"animal:{animal_id}", animal_id, context.view.cards[animal_id])
    line.proposals.append(
        {
            "do": "event",
            "kind": "missing",
            "on": context.day.isoformat(),
            "precision": "day",
            "data": {},
            "ng": None,
            "says": "marked missing",
            "rows": [],
        }
    )
    lines[line.key] = line
