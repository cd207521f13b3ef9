"""Whose row it is: numbers judged, rulings followed, doubts raised; each row ends with a line or a reason."""

from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any
from uuid import UUID

from herd.intake.deciding.doubts import (
    LINE_KEY_WIDTH,
    SET_ASIDE,
    Answer,
    Answers,
    Choice,
    Doubt,
    bounded,
    cell_key,
    line_key,
)
from herd.intake.deciding.whochoices import doubt_about
from herd.intake.matching.judge import Verdict, judge
from herd.intake.matching.lineup import line_up
from herd.intake.matching.links import join_numbers, who_was_seen
from herd.intake.matching.numbers import Numbers, Row
from herd.intake.matching.seen import Seen
from herd.intake.matching.view import View
from herd.intake.models import FindingKind, RowState

DAMAGE_CODES = frozenset(
    {
        "digits_lost",
        "leading_zero_lost",
        "spreadsheet_date",
        "spreadsheet_number",
        "column_too_narrow",
        "spreadsheet_error",
        "letters_in_number",
        "spreadsheet_damaged",
    }
)
# What a laboratory's line holds; with anything else in it, an animal that left is asked about.
TOLD_OF_SAMPLES = frozenset({"tube", "result", "eid", "vid", "vid_colour", "day", "day_precision", "time", "note"})
NUMBER_KINDS = frozenset({"eid", "vid", "metal", "tattoo", "brand", "back_tag", "tube"})


@dataclass(slots=True)
class Whose:
    """The outcome for one row: a line by its key, or an end state with its reason, or an open doubt."""

    row: Row
    line_key: str = ""
    animal_id: UUID | None = None
    verdict: Verdict = field(default_factory=Verdict)
    state: RowState | None = None
    reason: str = ""
    doubt: Doubt | None = None
    ruled: Answer | None = None


def settle_whose(rows: list[Row], view: View, answers: Answers, day: date) -> list[Whose]:
    """Find out whose each row is.

    1. rows without a number are lined up with a reader's file; 2. numbers that files name together are joined;
    3. each set of numbers is judged once; 4. rulings come before verdicts; 5. what is left is a doubt.
    """
    outcomes = {row.id: Whose(row) for row in rows}
    _settle_bare(rows, outcomes, view, answers)
    open_rows = [row for row in rows if _is_open(outcomes[row.id]) and not outcomes[row.id].line_key]
    join_numbers(open_rows, view)
    seen = who_was_seen(open_rows, view)
    moved = answers.moved_rows()
    # Whose line a person said it is was there, whatever its number says.
    seen.animals |= answers.animals_named() | set(moved.values())
    clusters: dict[Numbers, list[Row]] = defaultdict(list)
    for row in open_rows:
        if str(row.id) in moved:
            _is(outcomes[row.id], moved[str(row.id)])
        else:
            clusters[row.numbers].append(row)
    for numbers, same in clusters.items():
        _settle_cluster(numbers, same, outcomes, view, answers, seen)
    return list(outcomes.values())


def _is_open(outcome: Whose) -> bool:
    return outcome.state is None and outcome.doubt is None


def _settle_bare(rows: list[Row], outcomes: dict[UUID, Whose], view: View, answers: Answers) -> None:
    """End rows without a usable number, or line them up with a reader's file."""
    by_file: dict[UUID, list[Row]] = defaultdict(list)
    bare: dict[UUID, list[Row]] = defaultdict(list)
    for row in rows:
        bad = next((one for one in row.problems if one["kind"] in NUMBER_KINDS), None)
        is_damaged = bad is not None and bad["code"] in DAMAGE_CODES
        if row.numbers.key and not (is_damaged and _is_new_tube(row.numbers, view)):
            by_file[row.file].append(row)
            continue
        if bad is not None and is_damaged:
            outcomes[row.id].doubt, outcomes[row.id].ruled = _damaged(row, bad, answers)
            if outcomes[row.id].ruled:
                _aside(outcomes[row.id])
        elif bad is not None:
            _unusable(outcomes[row.id], bad["reason"])
        elif not _is_ended(row, outcomes[row.id]):
            bare[row.file].append(row)
    for file, some in bare.items():
        _settle_lineup(file, some, by_file, outcomes, answers)


def _is_ended(row: Row, outcome: Whose) -> bool:
    """End a row that needs no animal: a place of the outfit, a resource that can't be used, or nothing at all."""
    if "place" in row.readings:
        said = row.readings["place"]
        outcome.line_key = bounded(f"place:{said['subject']}:{said['facts']['name']}", LINE_KEY_WIDTH)
        return True
    if row.problems and row.problems[0]["code"] == "resource":
        _unusable(outcome, row.problems[0]["reason"])
        return True
    if not _says_something(row.readings):
        _unusable(outcome, "There is no number in this line that names an animal.")
        return True
    return False


def _is_new_tube(numbers: Numbers, view: View) -> bool:
    """Whether all that names the animal is a tube that the record does not know: it names none."""
    return bool(numbers.tube) and numbers.key == f"tube {numbers.tube}" and numbers.tube not in view.tubes


def _says_something(readings: dict[str, Any]) -> bool:
    return bool(set(readings) - {"day", "day_precision", "time"})


def _damaged(row: Row, bad: dict[str, Any], answers: Answers) -> tuple[Doubt | None, Answer | None]:
    doubt = Doubt(
        key=cell_key(row.id, bad["column"]),
        kind=FindingKind.DAMAGED_TAG,
        title=f"“{bad['value']}” is no whole number any more",
        rows=[row],
        field=bad["kind"],
        alike=f"{FindingKind.DAMAGED_TAG}:{bad['code']}",
        reasons=[bad["reason"], "Look for the number in the reader's own file, or on the animal."],
        choices=[SET_ASIDE, Choice("type", "Type the whole number", "The line is then matched by it.")],
    )
    answer = answers.to(doubt)
    return (None, answer) if answer and answer.verb == "set_aside" else (doubt, None)


def _settle_lineup(
    file: UUID,
    bare: list[Row],
    by_file: dict[UUID, list[Row]],
    outcomes: dict[UUID, Whose],
    answers: Answers,
) -> None:
    found = line_up(bare, {key: rows for key, rows in by_file.items() if key != file})
    if found is None:
        for row in bare:
            _unusable(
                outcomes[row.id], "There is no number in this line, and no other file it lines up with."
            )
        return
    doubt = Doubt(
        key=f"lined:{file}",
        kind=FindingKind.LINED_UP,
        title=f"{len(bare)} lines of {bare[0].file_name} have no number",
        rows=bare,
        reasons=found.reasons,
        choices=[
            Choice(
                "accept",
                f"They are the head of {found.reader}, lined up by {found.by}",
                f"Each of the {len(bare)} lines goes to the animal read there.",
            ),
            SET_ASIDE,
        ],
    )
    answer = answers.to(doubt)
    for row in bare:
        if answer is None:
            outcomes[row.id].doubt = doubt
        elif answer.verb == "accept":
            row.numbers = found.partners[row.id].numbers
        else:
            _aside(outcomes[row.id])


def _settle_cluster(
    numbers: Numbers,
    rows: list[Row],
    outcomes: dict[UUID, Whose],
    view: View,
    answers: Answers,
    seen: Seen,
) -> None:
    """Judge rows with the same numbers together and follow the ruling where there is one."""
    verdict = _of_the_sampled(numbers, rows, _listed(numbers, rows, judge(numbers, view, seen)), view)
    doubt = doubt_about(numbers, rows, verdict, view) if verdict.doubt else None
    answer = answers.to(doubt) if doubt else _settled(verdict)
    made = next((row.applied_to for row in rows if row.applied_to in view.cards), None)
    if answer is not None and answer.verb == "new_animal" and made is not None:
        answer = Answer(f"is:{made}")
    for row in rows:
        outcome = outcomes[row.id]
        outcome.verdict = verdict
        outcome.ruled = answer if doubt else None
        if answer is None and doubt is not None:
            outcome.doubt = doubt
            outcome.line_key = doubt.line_key = line_key("?", numbers)
        elif answer is not None:
            _follow(outcome, answer, numbers)


def _listed(numbers: Numbers, rows: list[Row], verdict: Verdict) -> Verdict:
    """Only a herd list's own line brings an animal in without asking, not another file of its day."""
    if not verdict.is_new or any(row.is_herd_list for row in rows):
        return verdict
    reason = f"{numbers.key} is on no animal of the record, and the herd list has no line with just these numbers."
    return replace(verdict, is_new=False, doubt=FindingKind.UNKNOWN_TAG, reasons=(reason,))


def _of_the_sampled(numbers: Numbers, rows: list[Row], verdict: Verdict, view: View) -> Verdict:
    """A result belongs to the animal that was sampled, also where that one has left the herd since."""
    best = verdict.best
    if verdict.doubt != FindingKind.NOT_ON_HAND or best is None or view.tubes.get(numbers.tube) != best.animal_id:
        return verdict
    if any("result" not in row.readings or set(row.readings) - TOLD_OF_SAMPLES for row in rows):
        return verdict
    return Verdict(animal_id=best.animal_id, reasons=best.reasons, candidates=(best,))


def _settled(verdict: Verdict) -> Answer:
    """A verdict without a doubt, in the words of a ruling."""
    return Answer(f"is:{verdict.animal_id}" if verdict.animal_id else "new_animal")


def _follow(outcome: Whose, answer: Answer, numbers: Numbers) -> None:
    if answer.verb == "set_aside":
        _aside(outcome)
    elif answer.verb == "new_animal":
        outcome.line_key = line_key("new:", numbers)
    else:
        _is(outcome, UUID(answer.about))


def _is(outcome: Whose, animal_id: UUID) -> None:
    outcome.animal_id = animal_id
    outcome.line_key = f"animal:{animal_id}"


def _aside(outcome: Whose) -> None:
    outcome.state, outcome.reason = RowState.SET_ASIDE, "Set aside by a person."


def _unusable(outcome: Whose, reason: str) -> None:
    outcome.state, outcome.reason = RowState.UNUSABLE, reason
