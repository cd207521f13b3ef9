"""What a laboratory says of a sample: whose it is by its tube, and what the record says of it already."""

from herd.intake.deciding.context import Context, Line, PastEvent
from herd.intake.deciding.dates import after_birth, born_on
from herd.intake.deciding.doubts import LEAVE_OUT, Choice, Doubt, Side
from herd.intake.deciding.events import as_ruled, event_proposal
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind

# Told of a result; two that agree in these say the same, whatever day they were reported on.
TOLD = ("result", "value", "value_unit")


def decide_result(line: Line, wish: Wish, rows: list[Row], context: Context) -> None:
    """Propose a result, skip one that is known, or ask; a result sent again with another date is the same one."""
    born = born_on(line)
    dated = after_birth(line, wish, rows, born, context) if born and wish.day < born else wish
    if dated is None:
        return
    known = _recorded(line, dated, context)
    if any(_told(one.data) == _told(dated.data) for one in known):
        return
    if not _is_its_tube(line, dated, rows, context) or not _has_sample(line, dated, rows, context):
        return
    if known:
        _differs(line, dated, rows, known[-1], context)
    else:
        line.propose(dated, rows, **event_proposal(dated))


def _told(data: dict[str, object]) -> list[str]:
    return [str(data.get(key) or "").casefold() for key in TOLD]


def _recorded(line: Line, wish: Wish, context: Context) -> list[PastEvent]:
    """The results that the record has of this test of this tube; without a tube, of this test on this day."""
    past = context.past.get(line.animal_id, []) if line.animal_id else []
    tube, test = wish.data.get("tube"), str(wish.data.get("test", "")).casefold()
    same = [one for one in past if one.kind == wish.name and str(one.data.get("test", "")).casefold() == test]
    return [one for one in same if (one.data.get("tube") == tube if tube else one.day == wish.day)]


def _is_its_tube(line: Line, wish: Wish, rows: list[Row], context: Context) -> bool:
    """Whether the tube is this animal's alone; asks where the record or the day has it for another."""
    tube = wish.data.get("tube", "")
    holder = context.view.tubes.get(tube)
    is_its = holder is None or holder == line.animal_id
    if not tube or (is_its and not context.tubes[tube] - {line.key}):
        return True
    doubt = _tube_doubt(line, wish, rows, context)
    answer = context.answers.to(doubt)
    if answer is None:
        line.ask(doubt)
    return answer is not None and answer.verb == "take" and is_its


def _tube_doubt(line: Line, wish: Wish, rows: list[Row], context: Context) -> Doubt:
    tube = wish.data["tube"]
    holder = context.view.tubes.get(tube)
    card = context.view.cards.get(holder) if holder else None
    reasons = [f"The record has tube {tube} for {card.title}."] if card else []
    if len(context.tubes[tube]) > 1:
        reasons.append(f"Tube {tube} is named for {len(context.tubes[tube])} animals on this day.")
    choices = [LEAVE_OUT]
    if holder is None or holder == line.animal_id:
        choices.append(Choice("take", f"It is the tube of {line.title}", "The result is recorded for it."))
    elif card:
        effect = f"The line goes to {card.title}, whose sample the tube holds."
        choices.append(Choice(f"other:0:{card.id}", f"It is the result of {card.title}", effect))
    return Doubt(
        key=f"{line.key}|result of tube {tube}",
        kind=FindingKind.TUBE_TWICE,
        field="result",
        title=f"{line.title}: {wish.says}, but tube {tube} is used twice"[:200],
        rows=rows,
        sides=[Side(wish.says, tube, tuple(rows))],
        reasons=[*reasons, "Ask the laboratory which animal's number stands on the tube."],
        choices=choices,
    )


def _has_sample(line: Line, wish: Wish, rows: list[Row], context: Context) -> bool:
    """Whether the sample is known; where it is not, asks, and proposes it with an unknown day.

    Where a person has named the animal of a bare tube, that is said already.
    """
    tube = wish.data.get("tube", "")
    if not tube or tube in context.view.tubes or _is_proposed(line, tube):
        return True
    if not all(row.numbers.key == f"tube {tube}" for row in rows):
        doubt = Doubt(
            key=f"{line.key}|no sample {tube}",
            kind=FindingKind.DOUBTFUL,
            field="result",
            alike=f"{FindingKind.DOUBTFUL}:result:no sample",
            title=f"{line.title}: {wish.says}, but no sample in tube {tube} is recorded"[:200],
            rows=rows,
            sides=[Side(wish.says, tube, tuple(rows))],
            reasons=[f"The record has no sample in tube {tube}; only the number beside it names the animal."],
            choices=[
                Choice("take", "The sample was this animal's", "It is recorded too, its day not known."),
                LEAVE_OUT,
            ],
        )
        answer = context.answers.to(doubt)
        if answer is None:
            line.ask(doubt)
        if answer is None or answer.verb != "take":
            return False
    sample = Wish("event", "sample", tube, f"sample tube {tube}", wish.row, wish.day, "unknown", {"tube": tube})
    line.propose(sample, rows, **event_proposal(sample))
    return True


def _is_proposed(line: Line, tube: str) -> bool:
    samples = (one for one in line.proposals if one["do"] == "event" and one["kind"] == "sample")
    return any(one["data"]["tube"] == tube for one in samples)


def _differs(line: Line, wish: Wish, rows: list[Row], known: PastEvent, context: Context) -> None:
    recorded = " ".join(str(known.data[key]) for key in TOLD if known.data.get(key))
    doubt = Doubt(
        key=f"{line.key}|{wish.field}|result",
        kind=FindingKind.DIFFERS,
        field="result",
        title=f"{line.title}: {wish.says}, but the record has {recorded}"[:200],
        rows=rows,
        sides=[Side(f"The record: {recorded}"), Side(f"The file: {wish.says}", str(wish.value), tuple(rows))],
        reasons=[f"The record has this result from {known.day or 'a day not known'}, and it is another."],
        choices=[
            Choice("keep_record", f"Keep {recorded}", "The file's result is left out."),
            Choice("take", f"Take {wish.says}", "The recorded one is voided; both stay in the history."),
            Choice("both", "The sample was tested again", "Both results are kept."),
        ],
    )
    as_ruled(line, doubt, wish, known, context)
