"""The number of a tag of any kind, in the record's spelling."""

from collections.abc import Callable
from dataclasses import dataclass

from herd.values.electronic import read_electronic
from herd.values.metal import read_metal
from herd.values.problems import Unreadable, shown
from herd.values.visual import read_visual

LONGEST_NUMBER = 30


@dataclass(frozen=True, slots=True)
class TypedTag:
    """A tag as typed or sent: its number, and a colour that stood beside it."""

    number: str
    colour: str = ""


def read_tag_number(kind: str, text: str) -> TypedTag:
    """The number of a tag of this kind (eid, vid, nues or another); raises Unreadable with the reason.

    Kinds without a standard, such as tattoos and brands, are taken in capitals with single spaces.
    """
    read = READERS.get(kind)
    if read is not None:
        return read(text)
    number = " ".join(text.split()).upper()
    if not number:
        raise Unreadable(text, "empty", "The number is empty.")
    if len(number) > LONGEST_NUMBER:
        raise Unreadable(text, "too_long", f"{shown(text)} has more than {LONGEST_NUMBER} characters.")
    return TypedTag(number)


def _read_visual(text: str) -> TypedTag:
    visual = read_visual(text)
    return TypedTag(visual.number, visual.colour)


READERS: dict[str, Callable[[str], TypedTag]] = {
    "eid": lambda text: TypedTag(read_electronic(text).number.digits),
    "vid": _read_visual,
    "nues": lambda text: TypedTag(read_metal(text).number),
}
