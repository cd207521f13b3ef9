"""The choices a person has about whose a row is, each with what it would do."""

from herd.intake.deciding.doubts import SET_ASIDE, Choice, Doubt, Side, places, who_key
from herd.intake.matching.comparison import Candidate
from herd.intake.matching.judge import Verdict
from herd.intake.matching.numbers import Numbers, Row
from herd.intake.matching.view import Card, View
from herd.intake.models import FindingKind

# A candidate that weighs less than this is named, but never ahead of a new animal.
WORTH_FIRST = 6.0


def doubt_about(numbers: Numbers, rows: list[Row], verdict: Verdict, view: View) -> Doubt:
    """Make the question for rows with these numbers."""
    kind = verdict.doubt or FindingKind.WHICH_ANIMAL
    choices, is_suggested = _choices(kind, numbers, verdict, view)
    return Doubt(
        key=who_key(numbers),
        kind=kind,
        title=_title(kind, numbers, verdict, view),
        rows=rows,
        choices=choices,
        alike=str(kind),
        animal_id=verdict.best.animal_id if verdict.best else None,
        sides=[Side(f"{places(rows)}: {_said(numbers)}", numbers.key, tuple(rows))],
        reasons=verdict.reasons,
        is_suggested=is_suggested,
    )


def _said(numbers: Numbers) -> str:
    parts = [
        f"EID {numbers.eid}" if numbers.eid else "",
        f"visual tag {numbers.vid} {numbers.colour}".rstrip() if numbers.vid else "",
        *(f"{kind} {number}" for kind, number in numbers.others),
        f"tube {numbers.tube}" if numbers.tube else "",
        f"called {numbers.called}" if numbers.called else "",
    ]
    return ", ".join(part for part in parts if part)


def _title(kind: FindingKind, numbers: Numbers, verdict: Verdict, view: View) -> str:
    best = view.cards[verdict.best.animal_id].title if verdict.best else ""
    if kind == FindingKind.UNKNOWN_TAG and numbers.key == f"tube {numbers.tube}":
        return f"tube {numbers.tube}: on no sample of the record"[:200]
    return {
        FindingKind.UNKNOWN_TAG: f"{_said(numbers)}: on no animal of the record",
        FindingKind.NUMBERS_DISAGREE: f"{_said(numbers)}: numbers of two animals",
        FindingKind.WORN_BEFORE: f"{_said(numbers)}: worn before by {best}",
        FindingKind.NOT_ON_HAND: f"{best} was read, but is not on hand",
        FindingKind.WHICH_ANIMAL: f"{_said(numbers)}: which animal is it?",
    }[kind][:200]


def _choices(kind: FindingKind, numbers: Numbers, verdict: Verdict, view: View) -> tuple[list[Choice], bool]:
    """The choices, likeliest first, and whether the first is worth suggesting."""
    if kind == FindingKind.NOT_ON_HAND and verdict.best:
        return _back_or_not(view.cards[verdict.best.animal_id]), False
    if not verdict.candidates and numbers.key == f"tube {numbers.tube}":
        # A tube is no tag: it brings no animal in and goes on none.
        return [_named(FindingKind.WHICH_ANIMAL), SET_ASIDE], False
    new = Choice(
        "new_animal", "It is a new animal", f"Registers an animal with {_said(numbers)}{_into(view)}."
    )
    strong: list[Choice] = []
    weak: list[Choice] = []
    for candidate in verdict.candidates:
        wanted = _for_candidate(kind, numbers, candidate, view)
        (strong if candidate.bits >= WORTH_FIRST or kind != FindingKind.UNKNOWN_TAG else weak).extend(wanted)
    # Nine keys are to be had: the likeliest animals, then the three answers that are always there.
    offered = [*strong[:5], new, *weak[: 5 - len(strong[:5])]] if kind != FindingKind.NUMBERS_DISAGREE else strong[:6]
    return [*offered, _named(kind), SET_ASIDE], bool(strong) and kind == FindingKind.UNKNOWN_TAG


def _for_candidate(kind: FindingKind, numbers: Numbers, candidate: Candidate, view: View) -> list[Choice]:
    card = view.cards[candidate.animal_id]
    same = Choice(
        f"is:{card.id}",
        f"It is {card.title}" if kind != FindingKind.UNKNOWN_TAG else f"A slip: it is {card.title}",
        f"The line's values go to {card.title}; its tags stay as they are.",
    )
    retag = _retag(numbers, card)
    if retag is None or kind == FindingKind.NUMBERS_DISAGREE:
        return [same]
    is_near = any("one slip away" in reason for reason in candidate.reasons)
    return [same, retag] if is_near or kind == FindingKind.WHICH_ANIMAL else [retag, same]


def _retag(numbers: Numbers, card: Card) -> Choice | None:
    """Offer to put the unknown number on the animal, saying which tag would come off."""
    kind, number = ("eid", numbers.eid) if numbers.eid else ("vid", numbers.vid)
    worn = card.open(kind)
    if not number or (worn and worn.number == number):
        return None
    label = "EID" if kind == "eid" else "visual tag"
    off = f"Ends {label} {worn.number} as lost and puts" if worn else "Puts"
    return Choice(
        f"retag:{card.id}",
        f"{_first_upper(card.title)} has a new {label}",
        f"{off} {number} on {card.title}; the line's values go to it.",
    )


def _back_or_not(card: Card) -> list[Choice]:
    state = card.status.replace("_", " ")
    return [
        Choice(
            f"back:{card.id}",
            f"{_first_upper(card.title)} is back in the herd",
            "Records it as found again, then the values.",
        ),
        Choice(
            f"is:{card.id}",
            f"Record the values, leave it {state}",
            f"It stays {state}; the line's values go to it.",
        ),
        SET_ASIDE,
    ]


def _named(kind: FindingKind) -> Choice:
    """Let a person name the animal by a number it wears."""
    if kind == FindingKind.UNKNOWN_TAG:
        return Choice(
            "type",
            "A new tag on the animal that wears …",
            "Type a number it wears; the new tag is put on it.",
        )
    return Choice(
        "type", "It is the animal that wears …", "Type a number it wears; the line's values go to it."
    )


def _first_upper(words: str) -> str:
    return words[:1].upper() + words[1:]


def _into(view: View) -> str:
    return f" in {view.group_name}" if view.group_name else ""
