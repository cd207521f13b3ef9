"""What makes a number on a tag doubtful once it is in the record, in sentences."""

import re

from herd.values.chipcautions import cautions_of, prefix_cautions
from herd.values.chipcode import MAX_NATIONAL, ElectronicNumber
from herd.values.electronic import read_electronic
from herd.values.metal import read_metal
from herd.values.problems import Unreadable, shown
from herd.values.visual import read_visual

# From about this length on, digits alone may be an electronic number, whole or damaged.
_LIKE_EID = 10
_NINE_ZEROS = 10**9
_LETTERS = str.maketrans("OIL", "011")
_BETWEEN_DIGITS = re.compile(r"(?<=[0-9])[OIL](?=[0-9])")
_AT_THE_EDGE = re.compile(r"^[OI](?=[0-9])|(?<=[0-9])[OI]$")


def doubts_about(kind: str, number: str) -> tuple[str, ...]:
    """Return what is doubtful about a number of a kind (eid, vid, nues); often nothing."""
    judge = _JUDGES.get(kind)
    return judge(number) if judge else ()


def _about_electronic(number: str) -> tuple[str, ...]:
    if len(number) == 15 and number.isascii() and number.isdigit():
        prefix, national = int(number[:3]), int(number[3:])
        if prefix and national <= MAX_NATIONAL:
            if national % _NINE_ZEROS and not prefix_cautions(prefix):
                return ()
            return tuple(one.text for one in cautions_of(ElectronicNumber(prefix, national)))
    try:
        return tuple(one.text for one in read_electronic(number).cautions) or (
            f"{shown(number)} is not written as 15 digits.",
        )
    except Unreadable as problem:
        return (problem.reason,)


def _about_metal(number: str) -> tuple[str, ...]:
    try:
        tag = read_metal(number)
    except Unreadable as problem:
        return (problem.reason,)
    if tag.state_hint:
        return ()
    return (f"{number} starts with {number[:2]}, which is no state code known here (the list is from memory).",)


def _about_visual(number: str) -> tuple[str, ...]:
    if len(number) < _LIKE_EID and number.isascii() and number.isdigit():
        return ()
    try:
        read_visual(number)
    except Unreadable as problem:
        return (problem.reason,)
    if _BETWEEN_DIGITS.search(number):
        return (f"{number} has a letter among its digits; it may be {number.translate(_LETTERS)}.",)
    if _AT_THE_EDGE.search(number):
        # Year letters leave out I, O, Q and V (Beef Improvement Federation).
        return (f"{number} has the letter O or I, which is no year letter; it may be {number.translate(_LETTERS)}.",)
    return ()


_JUDGES = {"eid": _about_electronic, "nues": _about_metal, "vid": _about_visual}
