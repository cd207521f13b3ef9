"""Visual ear tags: the number read across the pen, and the tag's colour when it is written beside it."""

import re
from dataclasses import dataclass

from herd.values.cells import is_missing, strip_guards, strip_scanner_prefix
from herd.values.colours import read_colour
from herd.values.damage import is_scientific, looks_like_date, refuse_spreadsheet_marks
from herd.values.problems import Unreadable, shown

_LONGEST = 20
# Beyond this no cell holds a tag with its label and colour, and matching it would take long.
_LONGEST_CELL = 300
_FLOAT = re.compile(r"([0-9]+)\.0+")
_ELECTRONIC = re.compile(r"[0-9]{15}(?:\.0+)?")
_SEPARATORS = re.compile(r"[ ._/\-]+")
_LABEL = re.compile(r"^(?:(?:(?:EAR ?)?TAG|VISUAL|NUMBER|NO|NR|N\u00ba|\u2116)[ .:#]+|# ?)+(?=\S)")
_COLOUR_LAST = re.compile(r"(\S*[0-9]\S*?) ?[ \-/,(] ?([^\W\d_]{2,12}|(?<=\()[^\W\d_])\)?")
_COLOUR_FIRST = re.compile(r"\(?([^\W\d_]{2,12}|(?<=\()[^\W\d_]) ?[ \-/,)] ?(\S*[0-9]\S*)")


@dataclass(frozen=True, slots=True)
class VisualTag:
    """A visual tag: `number` in upper case with its zeros, `colour` one English word or empty."""

    number: str
    colour: str = ""


def read_visual(text: str) -> VisualTag:
    """The visual tag in a cell; raises Unreadable for what a spreadsheet has turned into a date or a number.

    A colour is split off when it stands apart ("417-YEL", "yellow 417", "417 (Y)"). A lone letter beside a
    number stays, unless in brackets, because it may be a year letter (Beef Improvement Federation).
    """
    if len(text) > _LONGEST_CELL:
        raise Unreadable(text[:_LONGEST_CELL], "too_long", f"{shown(text)} is no tag number: it is too long.")
    number = " ".join(strip_scanner_prefix(strip_guards(text)).split()).upper()
    if is_missing(number):
        raise Unreadable(text, "empty", "The tag number is empty.")
    refuse_spreadsheet_marks(number)
    _refuse_damage(text, number)
    whole = _FLOAT.fullmatch(number)
    tag = _split_colour(whole[1] if whole else _LABEL.sub("", number, count=1))
    if not any(mark.isalnum() for mark in tag.number):
        raise Unreadable(text, "not_a_tag", f"{shown(text)} holds no number or letter.")
    if len(tag.number) > _LONGEST:
        raise Unreadable(
            text, "too_long", f"{shown(text)} is longer than the {_LONGEST} characters of a tag."
        )
    return tag


def _refuse_damage(text: str, number: str) -> None:
    if looks_like_date(number):
        reason = f"{shown(text)} was turned into a date by a spreadsheet; export the tag column as text."
        raise Unreadable(text, "spreadsheet_date", reason)
    if is_scientific(number):
        reason = f"{shown(text)} was turned into a number by a spreadsheet; export the tag column as text."
        raise Unreadable(text, "spreadsheet_number", reason)
    if _ELECTRONIC.fullmatch(number) or _ELECTRONIC.fullmatch(_SEPARATORS.sub("", number)):
        reason = f"{shown(text)} is an electronic number, not the number on a visual tag."
        raise Unreadable(text, "electronic_number_here", reason)


def _split_colour(number: str) -> VisualTag:
    last = _COLOUR_LAST.fullmatch(number)
    if last and _colour_or_none(last[2]):
        return VisualTag(last[1], _colour_or_none(last[2]))
    first = _COLOUR_FIRST.fullmatch(number)
    if first and _colour_or_none(first[1]):
        return VisualTag(first[2], _colour_or_none(first[1]))
    return VisualTag(number)


def _colour_or_none(word: str) -> str:
    try:
        return read_colour(word)
    except Unreadable:
        return ""
