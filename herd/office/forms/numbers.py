"""Numbers typed by hand: the animal that a number means, and the number on a tag."""

from dataclasses import dataclass
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.registry.models import TagKind
from herd.registry.queries.find import find_animals
from herd.registry.queries.findeach import find_each
from herd.values.electronic import read_electronic
from herd.values.metal import read_metal
from herd.values.problems import Unreadable
from herd.values.visual import read_visual

SURE = ("worn", "worn_before")
LONGEST_NUMBER = 30


@dataclass(frozen=True, slots=True)
class TypedTag:
    """A tag as typed: the number in the record's spelling, and a colour that stood beside it."""

    number: str
    colour: str = ""


def animal_by_number(outfit: Outfit, text: str) -> UUID:
    """Return the one animal that wears, or else wore, the number; raises forms.ValidationError.

    A colour beside a visual tag tells apart who wears the number in several.
    """
    whole = find_each(outfit, [text])[0]
    if whole.animal_id is not None:
        return whole.animal_id
    hits = find_animals(outfit, text)
    for how in SURE:
        sure = {hit.animal.pk for hit in hits if hit.how == how}
        if len(sure) == 1:
            return sure.pop()
        if sure:
            raise forms.ValidationError(f"{len(sure)} animals answer to {text}; type the EID instead.")
    raise forms.ValidationError(f"No animal of this outfit wears or wore {text}.")


def read_tag(kind: str, text: str) -> TypedTag:
    """Read the number of a tag of this kind; raises forms.ValidationError with the reason."""
    try:
        if kind == TagKind.EID:
            return TypedTag(read_electronic(text).number.digits)
        if kind == TagKind.VID:
            visual = read_visual(text)
            return TypedTag(visual.number, visual.colour)
        if kind == TagKind.METAL:
            return TypedTag(read_metal(text).number)
    except Unreadable as problem:
        raise forms.ValidationError(problem.reason) from problem
    number = " ".join(text.split()).upper()
    if len(number) > LONGEST_NUMBER:
        raise forms.ValidationError(f"A number has at most {LONGEST_NUMBER} characters.")
    return TypedTag(number)
