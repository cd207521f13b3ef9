"""The verdict on a row's numbers: the animal it is about, a new one, or a doubt with its candidates."""

from dataclasses import dataclass
from uuid import UUID

from herd.intake.matching.comparison import Candidate, compare
from herd.intake.matching.numbers import Numbers
from herd.intake.matching.seen import Seen
from herd.intake.matching.view import Card, View
from herd.intake.matching.weights import ACCEPT_BITS, MARGIN_BITS, accepted
from herd.intake.models import FindingKind

MOST_CANDIDATES = 6


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the numbers mean.

    `animal_id` where one animal is accepted; `is_new` where a herd list brings an animal in; else `doubt` says
    what a person must decide. `candidates` come best first.
    """

    animal_id: UUID | None = None
    is_new: bool = False
    doubt: FindingKind | None = None
    reasons: tuple[str, ...] = ()
    candidates: tuple[Candidate, ...] = ()

    @property
    def best(self) -> Candidate | None:
        """The likeliest animal."""
        return self.candidates[0] if self.candidates else None


def judge(numbers: Numbers, view: View, seen: Seen) -> Verdict:
    """Judge a row by its numbers alone; the same numbers always get the same verdict.

    1. gather the animals that any number points at; 2. weigh the evidence for each; 3. numbers that point at
    two different animals are never settled here; 4. accept the best where it is heavy enough and far enough
    ahead; 5. else name the doubt.
    """
    if numbers.animal:
        return _named(numbers, view)
    candidates = _weighed(numbers, view, seen)
    pointed = _pointed_at(numbers, view)
    if len(pointed) > 1:
        return Verdict(
            doubt=FindingKind.NUMBERS_DISAGREE,
            reasons=_disagreement(numbers, view),
            candidates=tuple(candidates[:MOST_CANDIDATES]),
        )
    best = accepted(candidates)
    if best is None:
        return _doubt(numbers, view, candidates)
    card = view.cards[best.animal_id]
    if not card.was_on_hand(view.day):
        return _away(card, best)
    if _only_worn_before(numbers, view, best.animal_id):
        return Verdict(
            doubt=FindingKind.WORN_BEFORE,
            reasons=best.reasons,
            candidates=tuple(candidates[:MOST_CANDIDATES]),
        )
    return Verdict(animal_id=best.animal_id, reasons=best.reasons, candidates=(best,))


def _named(numbers: Numbers, view: View) -> Verdict:
    """The verdict on an animal that was named by our own id."""
    card = view.cards.get(UUID(numbers.animal))
    if card is None:
        return Verdict(doubt=FindingKind.UNKNOWN_TAG, reasons=("The animal that it names is not in the record.",))
    how = "is named by its own id" if numbers.is_dated else "was chosen on the device"
    named = Candidate(card.id, ACCEPT_BITS, (f"{card.title} {how}.",), is_pointed_at=True)
    if not card.was_on_hand(view.day) and not numbers.is_dated:
        return _away(card, named)
    return Verdict(animal_id=card.id, reasons=named.reasons, candidates=(named,))


def _weighed(numbers: Numbers, view: View, seen: Seen) -> list[Candidate]:
    ids: dict[UUID, None] = {}
    kinds = [("eid", numbers.eid), ("vid", numbers.vid), *numbers.others]
    for kind, number in kinds:
        if number:
            found = [*view.by_number.get((kind, number), []), *view.near.get((kind, number), [])]
            ids.update((one.animal_id, None) for one in found)
    if not numbers.vid and not numbers.eid and numbers.tube in view.tubes:
        ids[view.tubes[numbers.tube]] = None
    weighed = [compare(numbers, view.cards[key], view, seen) for key in ids if key in view.cards]
    return sorted(weighed, key=lambda one: (-one.bits, str(one.animal_id)))


def _pointed_at(numbers: Numbers, view: View) -> set[UUID]:
    """The animals that the row's whole numbers name alone; more than one is a contradiction."""
    named: set[UUID] = set()
    eid = view.wearers("eid", numbers.eid) if numbers.eid else []
    named.update(one.animal_id for one in eid)
    for kind, number in numbers.others:
        named.update(one.animal_id for one in view.wearers(kind, number))
    vids = {one.animal_id for one in view.wearers("vid", numbers.vid)} if numbers.vid else set()
    on_hand = {key for key in vids if key in view.cards and view.cards[key].was_on_hand(view.day)}
    # A visual tag that several wear contradicts only where the animal named otherwise is none of them.
    if on_hand and named and not (on_hand & named):
        named.update(on_hand)
    return named


def _disagreement(numbers: Numbers, view: View) -> tuple[str, ...]:
    kinds = [("eid", "EID", numbers.eid), ("vid", "Visual tag", numbers.vid)]
    kinds += [(kind, "Number", number) for kind, number in numbers.others]
    return tuple(
        f"{label} {number} is on {view.cards[one.animal_id].title}."
        for kind, label, number in kinds
        if number
        for one in view.wearers(kind, number)
        if one.animal_id in view.cards
    )


def _away(card: Card, candidate: Candidate) -> Verdict:
    since = f" since {card.since}" if card.since else ""
    reason = f"{card.title} is {card.status.replace('_', ' ')}{since}."
    return Verdict(
        doubt=FindingKind.NOT_ON_HAND, reasons=(reason, *candidate.reasons), candidates=(candidate,)
    )


def _only_worn_before(numbers: Numbers, view: View, animal_id: UUID) -> bool:
    """Whether the animal is known only by numbers it does not wear any more."""
    kinds = [("eid", numbers.eid), ("vid", numbers.vid), *numbers.others]
    worn = [one.animal_id for kind, number in kinds if number for one in view.wearers(kind, number)]
    near = [one.animal_id for kind, number in kinds if number for one in view.near.get((kind, number), [])]
    return animal_id not in worn and animal_id not in near and numbers.tube not in view.tubes


def _doubt(numbers: Numbers, view: View, candidates: list[Candidate]) -> Verdict:
    some = tuple(candidates[:MOST_CANDIDATES])
    pointed = [one for one in candidates if one.is_pointed_at]
    away = [one for one in pointed if not view.cards[one.animal_id].was_on_hand(view.day)]
    if away and len(away) == len(pointed) == 1:
        card = view.cards[away[0].animal_id]
        return _away(card, away[0])
    if view.makes_animals and not pointed:
        return Verdict(is_new=True, reasons=("The herd list names it, and none of its numbers is known.",))
    eid_known = bool(numbers.eid and view.wearers("eid", numbers.eid))
    if numbers.eid and view.former("eid", numbers.eid) and not eid_known:
        return Verdict(
            doubt=FindingKind.WORN_BEFORE, reasons=some[0].reasons if some else (), candidates=some
        )
    if numbers.eid and not eid_known:
        return Verdict(
            doubt=FindingKind.UNKNOWN_TAG,
            reasons=(f"EID {numbers.eid} is on no animal of the record.", *(some[0].reasons if some else ())),
            candidates=some,
        )
    if pointed:
        return Verdict(doubt=FindingKind.WHICH_ANIMAL, reasons=_why_unsure(candidates), candidates=some)
    if numbers.key == f"tube {numbers.tube}":
        reason = f"No sample of the record is in tube {numbers.tube}."
        return Verdict(doubt=FindingKind.UNKNOWN_TAG, reasons=(reason,), candidates=some)
    known = numbers.vid or next((number for _, number in numbers.others), numbers.tube or numbers.called)
    return Verdict(
        doubt=FindingKind.UNKNOWN_TAG, reasons=(f"{known} is on no animal of the record.",), candidates=some
    )


def _why_unsure(candidates: list[Candidate]) -> tuple[str, ...]:
    if len(candidates) > 1 and candidates[0].bits - candidates[1].bits < MARGIN_BITS:
        return ("More than one animal fits.", *candidates[0].reasons)
    return ("Too little says that it is this animal.", *candidates[0].reasons)
