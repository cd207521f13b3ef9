"""Whose an operation is: an animal by our id, or by the numbers it was known by at the chute."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from herd.client.faults import Unfit
from herd.values.electronic import might_be_electronic
from herd.values.problems import Unreadable
from herd.values.tagnumbers import read_tag_number

Subject = UUID | str | Mapping[str, str]
KINDS = ("eid", "vid", "nues", "tattoo", "brand")


@dataclass(frozen=True, slots=True)
class Typed:
    """A number as the record spells it."""

    kind: str
    number: str
    colour: str = ""


def read_typed(text: str) -> Typed:
    """What was typed or read at the chute: an EID, else a visual tag, perhaps with its colour; raises Unfit.

    What looks like a damaged EID is refused, not taken for a visual tag.
    """
    return read_kind("eid" if might_be_electronic(text) else "vid", text)


def read_kind(kind: str, text: str, colour: str = "") -> Typed:
    """A number of a known kind; raises Unfit with the reason."""
    try:
        read = read_tag_number(kind, text)
    except Unreadable as problem:
        raise Unfit(problem.reason) from problem
    return Typed(kind, read.number, (colour or read.colour) if kind == "vid" else "")


def read_subject(subject: Subject) -> tuple[dict[str, str], str]:
    """A subject as it is sent, and whose it is for the local view; raises Unfit.

    A UUID is an animal's id, a text a number as it was typed; a mapping names numbers by their kinds.
    """
    if isinstance(subject, UUID):
        return {"animal": str(subject)}, f"animal:{subject}"
    if isinstance(subject, str):
        key = as_id(subject)
        if key is not None:
            return read_subject(key)
        typed = read_typed(subject)
        return _said([typed]), who(typed)
    if subject.get("animal"):
        key = as_id(subject["animal"])
        if key is None:
            raise Unfit("An animal's id is a UUID.")
        return read_subject(key)
    found = [read_kind(kind, subject[kind], subject.get("vid_colour", "")) for kind in KINDS if subject.get(kind)]
    sent = _said(found) | ({"tube": str(subject["tube"])} if subject.get("tube") else {})
    if not sent:
        raise Unfit("That names no animal: it needs an id or a number.")
    return sent, who(found[0]) if found else f"tube:{sent['tube']}"


def _said(found: list[Typed]) -> dict[str, str]:
    said = {one.kind: one.number for one in found}
    colour = next((one.colour for one in found if one.colour), "")
    return said | ({"vid_colour": colour} if colour else {})


def who(typed: Typed) -> str:
    """A number as the local view looks it up."""
    return ":".join(filter(None, (typed.kind, typed.number, typed.colour)))


def as_id(text: object) -> UUID | None:
    """A UUID, or None for what is none."""
    try:
        return UUID(str(text)) if len(str(text)) in {32, 36} else None
    except ValueError:
        return None
