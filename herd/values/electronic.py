"""Reading an electronic number in every form it is written in, and naming the damage when it is not whole."""

import re
from dataclasses import dataclass
from enum import StrEnum

from herd.values.cells import strip_guards, strip_scanner_prefix
from herd.values.chipcautions import cautions_of
from herd.values.chipcode import ElectronicNumber, plain_number
from herd.values.damage import is_scientific, refuse_spreadsheet_marks
from herd.values.hexwords import DOT_HEX, from_dotted_hex, from_hex_word, oddities
from herd.values.prefixes import prefix_of_letters
from herd.values.problems import Caution, Unreadable, shown
from herd.values.telegram import decode_telegram

__all__ = ["ElectronicNumber", "ElectronicReading", "WrittenForm", "might_be_electronic", "read_electronic"]

_SEPARATORS = re.compile(r"[ ._/\-\u2010-\u2015\u2212]+")
_THOUSANDS = re.compile(r"[0-9]{3}(?:,[0-9]{3}){4}")
_FLOAT = re.compile(r"([0-9]{13,17})[.,]([0-9]+)")
_SCIENTIFIC = re.compile(r"([0-9])[.,]([0-9]+)[eE]\+?([0-9]{1,2})")
_HEX = re.compile(r"(?:0[xX])?([0-9A-Fa-f]{16}|[0-9A-Fa-f]{32})")
_LETTERED = re.compile(r"([A-Za-z]{2,3})([0-9]{12})")
_LIKE_DIGITS = str.maketrans("OoIiLl", "001111")
_MIGHT_BE = re.compile(r"[0-9]{14,16}|(?:0[xX])?(?:[0-9A-Fa-f]{16}|[0-9A-Fa-f]{32})|[A-Za-z]{2,3}[0-9]{12}")
_MISTYPED = re.compile(r"(?=(?:[OoIiLl]*[0-9]){8})[0-9OoIiLl]{15}")


class WrittenForm(StrEnum):
    """The form in which a number was written."""

    DIGITS = "digits"
    FLAGGED_DIGITS = "flagged_digits"
    WORD = "word"
    WORD_REVERSED = "word_reversed"
    DOT_HEX = "dot_hex"
    TELEGRAM = "telegram"
    SCIENTIFIC = "scientific"
    FLOAT = "float"


@dataclass(frozen=True, slots=True)
class ElectronicReading:
    """A number that was read, the form it stood in, and what a person should know about it."""

    number: ElectronicNumber
    form: WrittenForm
    cautions: tuple[Caution, ...]


def read_electronic(text: str) -> ElectronicReading:
    """The electronic number in a cell or a reader's line; raises Unreadable with the damage named.

    Forms and damage follow ISO 11784, ISO 11785 and the documented limits of spreadsheets (15 significant
    digits, Microsoft KB 269370). A number is never completed: missing digits are suggested, not used.
    """
    if len(text) == 15 and text.isascii() and text.isdigit():
        number = plain_number(int(text[:3]), int(text[3:]))
        return ElectronicReading(number, WrittenForm.DIGITS, cautions_of(number))
    inner = strip_scanner_prefix(strip_guards(text)).strip()
    if not inner:
        raise Unreadable(text, "empty", "The electronic number is empty.")
    refuse_spreadsheet_marks(inner)
    if DOT_HEX.fullmatch(inner):
        return _of_dotted_hex(inner)
    return _decimal_number(inner) or _hexadecimal(inner) or _digits(inner)


def might_be_electronic(text: str) -> bool:
    """Whether a cell looks like an electronic number, whole or damaged; cheap, raises nothing."""
    if len(text) == 15 and text.isascii() and text.isdigit():
        return True
    if not 8 <= len(text) <= 80:
        return False
    inner = strip_scanner_prefix(strip_guards(text)).strip()
    scientific = _SCIENTIFIC.fullmatch(inner)
    if scientific:
        return int(scientific[3]) in (13, 14)
    if DOT_HEX.fullmatch(inner) or _FLOAT.fullmatch(inner) or _THOUSANDS.fullmatch(inner):
        return True
    compact = _SEPARATORS.sub("", inner)
    return bool(_MIGHT_BE.fullmatch(compact) or _MISTYPED.fullmatch(compact))


def _decimal_number(inner: str) -> ElectronicReading | None:
    floating = _FLOAT.fullmatch(inner)
    if floating and floating[2].strip("0"):
        raise Unreadable(inner, "not_whole", f"{shown(inner)} is not a whole number.")
    if floating:
        return _of_digits(floating[1], WrittenForm.FLOAT)
    scientific = _SCIENTIFIC.fullmatch(inner)
    if scientific and len(scientific[2]) == int(scientific[3]):
        expanded = Caution("expanded", f"{shown(inner)} was written out as {scientific[1]}{scientific[2]}.")
        return _of_digits(scientific[1] + scientific[2], WrittenForm.SCIENTIFIC, expanded)
    if scientific or is_scientific(inner):
        raise Unreadable(
            inner,
            "digits_lost",
            f"{shown(inner)} has lost its last digits in a spreadsheet; export the column again as text.",
        )
    return None


def _hexadecimal(inner: str) -> ElectronicReading | None:
    compact = _SEPARATORS.sub("", inner)
    hexadecimal = _HEX.fullmatch(compact)
    if not hexadecimal or (len(hexadecimal[1]) == 16 and hexadecimal[1].isdigit()):
        return None
    if len(hexadecimal[1]) == 32:
        number, form = decode_telegram(hexadecimal[1]), WrittenForm.TELEGRAM
    else:
        number, transmitted = from_hex_word(hexadecimal[1])
        form = WrittenForm.WORD_REVERSED if transmitted else WrittenForm.WORD
    return ElectronicReading(number, form, cautions_of(number))


def _of_dotted_hex(inner: str) -> ElectronicReading:
    number = from_dotted_hex(inner)
    cautions = cautions_of(number)
    if inner.replace(".", "").isdigit():
        text = f"{shown(inner)} was read as hexadecimal, {number.digits}, though it shows no letter."
        cautions = (Caution("hex_without_letters", text), *cautions)
    return ElectronicReading(number, WrittenForm.DOT_HEX, cautions)


def _digits(inner: str) -> ElectronicReading:
    compact = _SEPARATORS.sub("", inner)
    if _THOUSANDS.fullmatch(inner):
        compact = inner.replace(",", "")
    if compact.isascii() and compact.isdigit():
        return _flagged(compact) if len(compact) == 16 else _of_digits(compact, WrittenForm.DIGITS)
    lettered = _LETTERED.fullmatch(compact)
    if lettered:
        return _with_country_letters(inner, lettered[1], lettered[2])
    swapped = compact.translate(_LIKE_DIGITS)
    if len(swapped) == 15 and swapped.isascii() and swapped.isdigit():
        raise Unreadable(
            inner,
            "letters_in_number",
            f"{shown(inner)} has letters among its digits; with 0 for O and 1 for I it would be {swapped}.",
        )
    raise Unreadable(inner, "not_electronic", f"{shown(inner)} is not an electronic number of 15 digits.")


def _flagged(digits: str) -> ElectronicReading:
    if digits[0] not in "01":
        if digits.endswith("0"):
            reason = f"{shown(digits)} has 16 digits and its last digit was probably lost in a spreadsheet."
            raise Unreadable(digits, "last_digit_lost", reason)
        raise Unreadable(
            digits, "wrong_length", f"{shown(digits)} has 16 digits; an electronic number has 15."
        )
    cautions = [Caution("flag_digit", f"The leading {digits[0]} of {shown(digits)} was taken as a flag.")]
    if digits[0] == "1" and digits.endswith("0"):
        # A spreadsheet writes 0 for the sixteenth digit, so a true 0 cannot be told from damage.
        text = f"The last digit of {shown(digits)} is 0; it may have been lost in a spreadsheet."
        cautions.append(Caution("last_digit_zero", text))
    number = ElectronicNumber.from_digits(digits[1:])
    _refuse_if_also_a_word(digits, number)
    return ElectronicReading(number, WrittenForm.FLAGGED_DIGITS, (*cautions, *cautions_of(number)))


def _refuse_if_also_a_word(digits: str, number: ElectronicNumber) -> None:
    try:
        word = from_hex_word(digits)[0]
    except Unreadable:
        return
    if oddities(word) == 0:
        reason = f"{shown(digits)} could be {number.digits} after a flag or, as hexadecimal, {word.digits}."
        raise Unreadable(digits, "ambiguous_word", reason)


def _of_digits(digits: str, form: WrittenForm, *first: Caution) -> ElectronicReading:
    if len(digits) == 14:
        raise Unreadable(
            digits,
            "leading_zero_lost",
            f"{shown(digits)} has 14 digits; if a leading zero was lost it would be 0{digits}.",
        )
    if len(digits) != 15:
        reason = f"{shown(digits)} has {len(digits)} digits; an electronic number has 15."
        raise Unreadable(digits, "wrong_length", reason)
    number = ElectronicNumber.from_digits(digits)
    return ElectronicReading(number, form, (*first, *cautions_of(number)))


def _with_country_letters(inner: str, letters: str, national: str) -> ElectronicReading:
    prefix = prefix_of_letters(letters)
    if prefix is None:
        raise Unreadable(
            inner, "unknown_country", f"{shown(inner)} starts with {letters}, which is no country known here."
        )
    replaced = Caution("letters_replaced", f"{letters} in {shown(inner)} was written as {prefix:03d}.")
    return _of_digits(f"{prefix:03d}{national}", WrittenForm.DIGITS, replaced)
