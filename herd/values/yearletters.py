"""The international year letter: one letter for each birth year, back at the start after 22 years."""

from herd.values.problems import Unreadable, shown

YEAR_LETTERS = "ABCDEFGHJKLMNPRSTUWXYZ"
_YEAR_OF_A = 2013


def letter_for(year: int) -> str:
    """The letter of a year. Source: Beef Improvement Federation guidelines; I, O, Q and V are not used."""
    return YEAR_LETTERS[(year - _YEAR_OF_A) % len(YEAR_LETTERS)]


def years_for(letter: str, start: int, end: int) -> list[int]:
    """The years from start to end, both included, that carry the letter; raises Unreadable for I, O, Q, V."""
    wanted = letter.strip().upper()
    if len(wanted) != 1 or wanted not in YEAR_LETTERS:
        raise Unreadable(letter, "never_a_year_letter", f"{shown(letter)} is never a year letter.")
    place = YEAR_LETTERS.index(wanted)
    first = start + (_YEAR_OF_A + place - start) % len(YEAR_LETTERS)
    return list(range(first, end + 1, len(YEAR_LETTERS)))
