"""Numbers that a day's lines would put on two animals, and two of a kind on one: asked before any is written."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.doubts import LEAVE_OUT, Answer, Choice, Doubt, Side
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind

WORDS = {"eid": "EID", "vid": "visual tag", "nues": "metal tag"}
# Tags of other kinds may stand beside each other on one animal.
SINGLE_KINDS = ("eid", "vid")


def ask_shared_tags(lines: Iterable[Line], context: Context) -> None:
    """Ask where one number would go on two animals, or two of a kind on one; such a line waits as a whole."""
    listed = list(lines)
    for line in listed:
        for kind in SINGLE_KINDS:
            _ask_several(line, kind, context)
    claims: dict[tuple[str, str, str, int], dict[str, Line]] = defaultdict(dict)
    for line in listed:
        for one in line.proposals:
            if one["do"] == "tag_on":
                year = one.get("told", {}).get("issuer_year", 0)
                claims[(one["kind"], one["number"], one["colour"], year)][line.key] = line
    for (kind, number, _, _), some in claims.items():
        if len(some) > 1:
            _ask_shared(kind, number, list(some.values()), context)


def _ask_several(line: Line, kind: str, context: Context) -> None:
    """Ask which of several numbers of one kind the animal wears."""
    # A record kept elsewhere knows that two are worn, and which is the second.
    ons = [one for one in line.proposals if one["do"] == "tag_on" and "told" not in one]
    tags = {one["number"]: one for one in ons if one["kind"] == kind}
    if len(tags) < 2:
        return
    doubt = Doubt(
        key=f"{line.key}|{kind}|several",
        kind=FindingKind.WHICH_ANIMAL,
        field=kind,
        # A choice names a number of this animal, so that no other finding can be answered by it.
        alike=f"{kind}|several|{line.key}",
        title=f"{line.title}: {_word(kind)} {' or '.join(tags)}"[:200],
        rows=line.rows,
        sides=[Side(one["says"], number, _rows(line, one)) for number, one in tags.items()],
        reasons=[f"The lines name more than one {_word(kind)} to be put on it, and it wears one."],
        choices=[*(_takes(line, kind, number) for number in list(tags)[:7]), LEAVE_OUT],
    )
    answer = context.answers.to(doubt)
    if answer is None or (answer.verb == "take" and answer.about not in tags):
        _wait(line, doubt)
        return
    for number in tags:
        if answer.about != number:
            _leave_out(line, kind, number, keep_old=answer.verb != "take")
    _take_off_once(line)


def _takes(line: Line, kind: str, number: str) -> Choice:
    return Choice(f"take:{number}", f"It wears {number}", f"{_word(kind)} {number} is put on {line.title}.")


def _ask_shared(kind: str, number: str, lines: list[Line], context: Context) -> None:
    """Ask which animal wears a number; where a person has said it for one, the others go without."""
    doubts = {line.key: _shared(kind, number, line, lines) for line in lines}
    answers = {key: context.answers.to(doubt) for key, doubt in doubts.items()}
    claiming = [line for line in lines if not _is(answers[line.key], "leave_out")]
    taking = [line for line in claiming if _is(answers[line.key], "take")]
    if len(claiming) > 1 and len(taking) != 1:
        for line in claiming:
            _wait(line, doubts[line.key])
    for line in lines:
        if line not in claiming or (len(taking) == 1 and line not in taking):
            _leave_out(line, kind, number, keep_old=True)


def _is(answer: Answer | None, verb: str) -> bool:
    return answer is not None and answer.verb == verb


def _shared(kind: str, number: str, line: Line, lines: list[Line]) -> Doubt:
    others = ", ".join(one.title for one in lines if one is not line)
    return Doubt(
        key=f"{line.key}|{kind} {number}|shared",
        kind=FindingKind.WHICH_ANIMAL,
        field=kind,
        alike=f"{FindingKind.WHICH_ANIMAL}:shared:{kind}",
        title=f"{line.title}: {_word(kind)} {number} is named for {len(lines)} animals"[:200],
        rows=line.rows,
        sides=[Side(f"{one.rows[0].place}: {one.title}", number, tuple(one.rows)) for one in lines[:5]],
        reasons=[f"The day names it for {others} too. One number is on one animal at a time."],
        choices=[
            Choice("take", f"It is on {line.title}", "It is put on this animal; the others go without it."),
            Choice("leave_out", "Leave the number out here", "The rest of the line is written."),
        ],
    )


def _wait(line: Line, doubt: Doubt) -> None:
    line.proposals = []
    line.ask(doubt)


def _leave_out(line: Line, kind: str, number: str, *, keep_old: bool) -> None:
    """Drop what would put a number on; the one it would have replaced stays on then, unless told otherwise."""
    old = line.card.open(kind) if line.card and keep_old else None
    line.proposals = [
        one
        for one in line.proposals
        if not (one["do"] == "tag_on" and one["kind"] == kind and one["number"] == number)
        and not (one["do"] == "tag_off" and old is not None and one["wearing"] == str(old.id))
    ]
    line.notes.append(f"{_word(kind)} {number} was left out.")


def _take_off_once(line: Line) -> None:
    """Keep one proposal for each tag that comes off."""
    kept: list[dict[str, Any]] = []
    off: set[str] = set()
    for one in line.proposals:
        if one["do"] != "tag_off" or one["wearing"] not in off:
            kept.append(one)
            off.update([one["wearing"]] if one["do"] == "tag_off" else [])
    line.proposals = kept


def _rows(line: Line, proposal: dict[str, Any]) -> tuple[Row, ...]:
    return tuple(row for row in line.rows if str(row.id) in proposal["rows"])


def _word(kind: str) -> str:
    return WORDS.get(kind, kind)
