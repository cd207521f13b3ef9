"""The three-way merge of one field: what its author saw, what he wants, what stands now."""

from enum import StrEnum


class Merge(StrEnum):
    """What becomes of a field."""

    SAME = "same"
    TAKE = "take"
    CONFLICT = "conflict"


def merge_field(seen: object, wanted: object, current: object) -> Merge:
    """Decide one field on canonical values.

    Current as wanted: nothing to do. Current as seen: take what is wanted. Anything else was changed by another
    meanwhile: the record stays, and a person decides.
    """
    if current == wanted:
        return Merge.SAME
    return Merge.TAKE if current == seen else Merge.CONFLICT
