"""Numbers typed by hand: the animal that a number means, and the number on a tag."""

from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.today import today_of
from herd.registry.queries.find import find_animals
from herd.registry.queries.whose import whose
from herd.values.problems import Unreadable
from herd.values.tagnumbers import TypedTag, read_tag_number

SURE = ("worn", "worn_before")


def animal_by_number(outfit: Outfit, text: str) -> UUID:
    """Return the one animal that wears, or else wore, the number; raises forms.ValidationError.

    A colour beside a visual tag tells apart who wears the number in several.
    """
    whole = whose(outfit, [text], today_of(outfit))[0]
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
        return read_tag_number(kind, text)
    except Unreadable as problem:
        raise forms.ValidationError(problem.reason) from problem
