"""Decides a line: what its rows say against each other, then against the record."""

from collections import defaultdict

from herd.intake.deciding.carried import CARRIED, decide_carried
from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.dates import dated
from herd.intake.deciding.doubts import LEAVE_OUT, Answer, Choice, Doubt, Side, cell_key
from herd.intake.deciding.events import decide_event
from herd.intake.deciding.facts import decide_fact, decide_group, decide_status
from herd.intake.deciding.results import decide_result
from herd.intake.deciding.tags import decide_tags
from herd.intake.deciding.wishes import Wish, wishes_of
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind
from herd.values.nearness import near_numbers

DECIDERS = {
    "event": decide_event,
    "fact": decide_fact,
    "group": decide_group,
    "status": decide_status,
}

# Two weighings of one head that differ by no more than what the units can tell apart are one weighing.
SAME_WEIGHT_NG = 600_000_000_000
# An animal is sold or dies once; files that say it for two days disagree.
ONCE_KINDS = frozenset({"sale", "death"})
DAY_KINDS = frozenset({"date", "date_time"})


def decide_line(line: Line, context: Context) -> None:
    """Fill a line with proposals, doubts and notes.

    1. gather what the rows say, slot by slot; 2. ask where rows contradict each other; 3. compare what is left
    with the record; 4. rows of a contradiction or a doubtful value may be about another animal: hold all that
    they alone say until a person has ruled.
    """
    slots: dict[str, list[Wish]] = defaultdict(list)
    for row in line.rows:
        day = dated(line, row, context)
        wishes = wishes_of(row, context.day, day)
        if wishes:
            _ask_cells(line, row, context)
        for wish in wishes:
            is_daily = wish.target == "event" and wish.name not in ONCE_KINDS
            slots[f"{wish.field} {wish.day if is_daily else ''}"].append(wish)
    if line.is_new:
        line.proposals.append(
            {
                "do": "new_animal",
                "says": f"new animal {line.name}",
                "rows": [str(row.id) for row in line.rows],
            }
        )
    decide_tags(line, context)
    for name in sorted(slots):
        agreed = _agree(line, slots[name], context)
        if agreed is not None:
            wish, rows = agreed
            decide = decide_result if wish.name == "sample_result" else DECIDERS[wish.target]
            decide(line, wish, rows, context)
    if not all(CARRIED.isdisjoint(row.readings) for row in line.rows):
        decide_carried(line, context)
    _hold(line)


def _agree(line: Line, wishes: list[Wish], context: Context) -> tuple[Wish, list[Row]] | None:
    """Return the one thing that all rows say, or ask."""
    sides: list[list[Wish]] = []
    for wish in wishes:
        same = next((side for side in sides if all(_is_same(one, wish) for one in side)), None)
        if same is None:
            sides.append([wish])
        else:
            same.append(wish)
    if len(sides) == 1:
        return _fullest(sides[0]), [wish.row for wish in sides[0]]
    doubt = _contradiction(line, sides, context)
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
        line.held.update(wish.row.id for wish in wishes)
        return None
    if answer.verb == "take":
        chosen = _chosen(sides, answer)
        if chosen is not None:
            return _fullest(chosen), [wish.row for wish in chosen]
        # What was chosen is said no more: its file was taken out, or its cell reads otherwise now.
        line.ask(doubt)
        line.held.update(wish.row.id for wish in wishes)
    return None


def _chosen(sides: list[list[Wish]], answer: Answer) -> list[Wish] | None:
    """The side that was chosen: its place may have changed since, its rows have not."""
    return next((side for side in sides if any(str(wish.row.id) in answer.rows for wish in side)), None)


def _fullest(side: list[Wish]) -> Wish:
    """The wish that says most among those that say the same."""
    return max(side, key=lambda wish: len(wish.data))


def _is_same(one: Wish, other: Wish) -> bool:
    if one.name == "weight" and one.ng and other.ng:
        tolerance = 0 if one.data.get("unit") == other.data.get("unit") else SAME_WEIGHT_NG
        return abs(one.ng - other.ng) <= tolerance
    if one.name == "pregnancy_check":
        # "bred" beside "bred, 60 days" is the same result told more fully.
        return one.value[0] == other.value[0] and (
            one.value[1] == other.value[1] or None in (one.value[1], other.value[1])
        )
    return bool(one.value == other.value)


def _contradiction(line: Line, sides: list[list[Wish]], context: Context) -> Doubt:
    first = sides[0][0]
    files = [{wish.row.file for wish in side} for side in sides]
    in_one_file = any(files[a] & files[b] for a in range(len(files)) for b in range(a))
    kind = FindingKind.REPEATED_SCAN if in_one_file else FindingKind.FILES_DISAGREE
    choices = [
        Choice(f"take:{place}", f"{side[0].says} is right", "The other value is left out.")
        for place, side in enumerate(sides)
    ]
    choices += _other_animals(line, sides, context)
    return Doubt(
        key=f"{line.key}|{first.field} {first.day}|says",
        kind=kind,
        field=first.name,
        title=f"{line.title}: {' or '.join(side[0].says for side in sides)}"[:200],
        rows=[wish.row for side in sides for wish in side],
        sides=[Side(side[0].says, str(side[0].value), tuple(wish.row for wish in side)) for side in sides],
        reasons=["Either one value is wrong, or one of these lines is about another animal."],
        choices=[*choices[:8], LEAVE_OUT],
    )


def _other_animals(line: Line, sides: list[list[Wish]], context: Context) -> list[Choice]:
    """Offer animals that nobody saw and whose visual tag is one slip away from this one's."""
    view = context.view
    near = [
        card
        for key in view.expected
        if (card := view.cards.get(key)) is not None
        and (worn := card.open("vid")) is not None
        and any(worn.number == other for other in _near_of(line))
    ]
    found: list[Choice] = []
    for place, side in enumerate(sides):
        if all(not wish.row.numbers.eid for wish in side):
            found += [
                Choice(
                    f"other:{place}:{card.id}",
                    f"{side[0].says} is about {card.title}",
                    f"The line goes to {card.title}, whose number is one slip away.",
                )
                for card in sorted(near, key=lambda one: one.name)[:2]
            ]
    return found


def _near_of(line: Line) -> frozenset[str]:
    vid = line.card.open("vid") if line.card else None
    return near_numbers(vid.number) if vid else frozenset()


def _ask_cells(line: Line, row: Row, context: Context) -> None:
    """Ask about cells that could not be read, where the rest of the row is used."""
    for problem in row.problems:
        if problem["code"] in {"ambiguous_order", "mixed_order"}:
            continue
        doubt = Doubt(
            key=cell_key(row.id, problem["column"]),
            kind=FindingKind.UNREADABLE,
            field=problem["kind"],
            alike=f"{FindingKind.UNREADABLE}:{problem['kind']}:{problem['code']}",
            title=f"{line.title}: “{problem['value'][:60]}” in {problem['column']}",
            rows=[row],
            sides=[Side(f"{row.place}: {problem['value'][:80]}", problem["value"][:80], (row,))],
            reasons=[problem["reason"]],
            choices=[LEAVE_OUT, Choice("type", "Type what it should be", "The cell is read again as typed.")],
        )
        if context.answers.to(doubt) is None:
            line.ask(doubt)
            if problem["kind"] in DAY_KINDS:
                # Nothing is dated by the day of the work while a date of its own can't be read.
                line.held.add(row.id)


def _hold(line: Line) -> None:
    """Keep back proposals that rest on held rows alone."""
    held = {str(row) for row in line.held}
    if held:
        line.proposals = [one for one in line.proposals if not set(one["rows"]) <= held]
