"""The kinds of fault that a noisy processing day holds; FAULTS.md tells them in words."""

from enum import StrEnum


class Fault(StrEnum):
    """What went wrong with a line."""

    DOUBLE_SCAN = "double_scan"
    REPEATED_SCAN = "repeated_scan"
    MISREAD_EID = "misread_eid"
    SWAPPED_DIGITS = "swapped_digits"
    MISREAD_VID = "misread_vid"
    MISREAD_VID_HITS = "misread_vid_hits"
    EID_IN_E_NOTATION = "eid_in_e_notation"
    LEADING_ZERO = "leading_zero"
    FLOAT_FORM = "float_form"
    VID_AS_DATE = "vid_as_date"
    OTHER_UNIT = "other_unit"
    IMPOSSIBLE_WEIGHT = "impossible_weight"
    DAY_AND_MONTH_SWAPPED = "day_and_month_swapped"
    DECIMAL_COMMA = "decimal_comma"
    LOST_TAG = "lost_tag"
    UNKNOWN_ANIMAL = "unknown_animal"
    SOLD_ANIMAL = "sold_animal"
    TWO_ANIMALS = "two_animals"
    TUBE_TWICE = "tube_twice"
    MISSING_CELL = "missing_cell"
    RAGGED = "ragged"
    BLANK_LINES = "blank_lines"
    FOOTER = "footer"
    NUMBERLESS = "numberless"


# Faults under which a line still says, to anyone who reads with care, whose it is and what its values are.
HARMLESS = frozenset(
    {
        Fault.DOUBLE_SCAN,
        Fault.FLOAT_FORM,
        Fault.DECIMAL_COMMA,
        Fault.MISSING_CELL,
        Fault.RAGGED,
    }
)
