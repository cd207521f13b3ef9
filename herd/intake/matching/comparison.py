"""Weighs what speaks for and against one animal."""

from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from herd.intake.matching import weights
from herd.intake.matching.numbers import Numbers
from herd.intake.matching.seen import Seen
from herd.intake.matching.view import Card, View
from herd.intake.matching.weights import Evidence


@dataclass(frozen=True, slots=True)
class Candidate:
    """An animal with the weight of the evidence for it, in bits, and that evidence in words.

    `is_pointed_at` says that a whole number of the row is or was on it, not only a near one.
    """

    animal_id: UUID
    bits: float
    reasons: tuple[str, ...]
    is_pointed_at: bool


def compare(numbers: Numbers, card: Card, view: View, seen: Seen) -> Candidate:
    """Weigh the evidence for one animal."""
    found = [
        *_by_eid(numbers, card, view),
        *_by_vid(numbers, card, view, seen),
        *_by_others(numbers, card, view),
        *_by_circumstance(numbers, card, view, seen),
    ]
    if card.id in seen.off_minute.get(numbers, ()):
        found.append(weights.OTHER_MINUTE)
    pointed = [("eid", numbers.eid), ("vid", numbers.vid), *numbers.others]
    title = card.title
    return Candidate(
        card.id,
        weights.bits_of(found),
        tuple([f"{title} {one.name}." if one.name[:4] != "the " else f"T{one.name[1:]}." for one in found]),
        any([(one.kind, one.number) in pointed for one in card.worn]) or view.tubes.get(numbers.tube) == card.id,
    )


def _by_eid(numbers: Numbers, card: Card, view: View) -> Iterator[Evidence]:
    if not numbers.eid:
        return
    if any(one.number == numbers.eid and one.is_open for one in card.worn if one.kind == "eid"):
        yield weights.EID_WORN
        return
    if view.wearers("eid", numbers.eid):
        yield weights.EID_ELSEWHERE
        return
    if any(one.number == numbers.eid for one in card.worn if one.kind == "eid"):
        yield weights.EID_BEFORE
    elif any(one.animal_id == card.id for one in view.near.get(("eid", numbers.eid), [])):
        yield weights.EID_NEAR
    elif card.open("eid"):
        yield weights.EID_OTHER


def _by_vid(numbers: Numbers, card: Card, view: View, seen: Seen) -> Iterator[Evidence]:
    if not numbers.vid:
        return
    mine = [one for one in card.worn if one.kind == "vid" and one.number == numbers.vid]
    current = next((one for one in mine if one.is_open), None)
    if current is not None:
        yield _worn_alone(numbers, card, view, seen)
        if numbers.colour and current.colour:
            yield weights.COLOUR_SAME if numbers.colour == current.colour else weights.COLOUR_OTHER
        return
    if any(_is_on_hand(view, one.animal_id) for one in view.wearers("vid", numbers.vid)):
        yield weights.VID_ELSEWHERE
    elif mine:
        yield weights.VID_BEFORE
    elif any(one.animal_id == card.id for one in view.near.get(("vid", numbers.vid), [])):
        yield weights.VID_NEAR
    elif card.open("vid"):
        yield weights.VID_OTHER


def _worn_alone(numbers: Numbers, card: Card, view: View, seen: Seen) -> Evidence:
    """How much it says that the animal wears this visual tag, by who else may have been there with it."""
    worn = view.by_number.get(("vid", numbers.vid), [])
    if any(one.animal_id in seen.animals and not _is_on_hand(view, one.animal_id) for one in worn):
        return weights.VID_CONTESTED
    on_hand = {one.animal_id for one in worn if one.is_open and _is_on_hand(view, one.animal_id)}
    return weights.VID_SHARED if on_hand - {card.id} else weights.VID_ALONE


def _is_on_hand(view: View, animal_id: UUID) -> bool:
    card = view.cards.get(animal_id)
    return card is not None and card.was_on_hand(view.day)


def _by_others(numbers: Numbers, card: Card, view: View) -> Iterator[Evidence]:
    for kind, number in numbers.others:
        mine = [one for one in card.worn if one.kind == kind and one.number == number]
        if any(one.is_open for one in mine):
            yield weights.NUMBER_WORN
        elif mine:
            yield weights.NUMBER_BEFORE
    if numbers.tube and not numbers.eid and not numbers.vid and view.tubes.get(numbers.tube) == card.id:
        yield weights.TUBE_ITS


def _by_circumstance(numbers: Numbers, card: Card, view: View, seen: Seen) -> Iterator[Evidence]:
    if not card.was_on_hand(view.day):
        yield weights.AWAY
    elif view.group_id is not None:
        yield weights.IN_GROUP if card.id in view.expected else weights.NOT_IN_GROUP
    if seen.is_telling and not numbers.eid:
        yield weights.SEEN if card.id in seen.animals else weights.NOT_SEEN
