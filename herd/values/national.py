"""National cattle numbers of other countries: their length, their check digit and their electronic form."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from herd.values.cells import strip_guards, strip_scanner_prefix
from herd.values.chipcode import ElectronicNumber
from herd.values.damage import is_scientific, refuse_spreadsheet_marks
from herd.values.nationalchecks import (
    be_check_digit,
    fi_check_digit,
    gb_check_digit,
    hr_check_digit,
    lu_check_digit,
    pl_check_digit,
    pl_old_check_digit,
)
from herd.values.prefixes import prefix_of_letters
from herd.values.problems import Caution, Unreadable, shown

__all__ = [
    "NationalNumber",
    "be_check_digit",
    "fi_check_digit",
    "gb_check_digit",
    "hr_check_digit",
    "lu_check_digit",
    "pl_check_digit",
    "pl_old_check_digit",
    "read_national",
]

_SEPARATORS = re.compile(r"[ ._/\-]+")
_LETTERS_OF = {"GB": ("UK", "GB")}
_UNCHECKED = {
    "IE": "The check digit of Irish numbers is not published, so it was not checked.",
    "RO": "No check digit of Romanian numbers is known, so none was checked.",
}


@dataclass(frozen=True, slots=True)
class NationalNumber:
    """A national number without letters and separators.

    `checked` tells whether a published check digit was tested; `electronic` holds the 15 digits, empty when
    the country's rule is not published or a tag cannot hold the number.
    """

    country: str
    number: str
    checked: bool
    electronic: str
    cautions: tuple[Caution, ...] = ()


def read_national(country: str, text: str) -> NationalNumber:
    """The national number of a country (ISO 3166-1 alpha-2) in a cell; raises Unreadable.

    Countries: GB, HR, PL, FI, LU, BE, DK, DE, and IE and RO unchecked. Sources: German cattle database,
    public pages on ear-tag numbers; published British examples; electronic form by Decision 2006/968/EC (gap
    filled with zeros).
    """
    code = country.strip().upper()
    code = "GB" if code == "UK" else code
    inner = strip_scanner_prefix(strip_guards(text))
    if not inner:
        raise Unreadable(text, "empty", "The national number is empty.")
    refuse_spreadsheet_marks(inner)
    if is_scientific(inner):
        raise Unreadable(text, "digits_lost", f"{shown(inner)} was turned into a number by a spreadsheet.")
    if code not in _READERS:
        raise Unreadable(text, "unknown_country", f"The numbers of {shown(country)} are not known here.")
    return _READERS[code](code, text, _bare(code, inner))


def _bare(code: str, inner: str) -> str:
    compact = _SEPARATORS.sub("", inner).upper()
    for letters in _LETTERS_OF.get(code, (code,)):
        compact = compact.removeprefix(letters)
    return compact


def _require(text: str, digits: str, *lengths: int) -> None:
    if len(digits) not in lengths or not (digits.isascii() and digits.isdigit()):
        wanted = " or ".join(str(length) for length in lengths)
        raise Unreadable(
            text, "wrong_length", f"{shown(text)} should have {wanted} digits after the letters."
        )


def _require_check(text: str, found: str, expected: str) -> None:
    if found != expected:
        reason = f"{shown(text)} was mistyped: its check digit should be {expected}, not {found}."
        raise Unreadable(text, "check_digit", reason)


def _with_electronic(
    code: str, number: str, twelve: str, *, checked: bool, cautions: tuple[Caution, ...] = ()
) -> NationalNumber:
    prefix = prefix_of_letters(code) or 0
    try:
        electronic = ElectronicNumber(prefix, int(twelve)).digits
    except Unreadable:
        too_large = Caution("no_electronic_form", f"{number} is too large a number for an electronic tag.")
        return NationalNumber(code, number, checked, "", (*cautions, too_large))
    return NationalNumber(code, number, checked, electronic, cautions)


def _british(code: str, text: str, digits: str) -> NationalNumber:
    _require(text, digits, 12)
    _require_check(text, digits[6], gb_check_digit(digits[:6], digits[7:]))
    return _with_electronic(code, digits, digits, checked=True)


def _croatian(code: str, text: str, digits: str) -> NationalNumber:
    _require(text, digits, 10)
    _require_check(text, digits[0], hr_check_digit(digits[1:]))
    return _with_electronic(code, digits, digits, checked=True)


def _polish(code: str, text: str, digits: str) -> NationalNumber:
    _require(text, digits, 12)
    if digits[11] == pl_check_digit(digits[:11]):
        return _with_electronic(code, digits, digits, checked=True)
    # Two zeros, five digits of farm and four of animal: the grouping of the published old series.
    _require_check(text, digits[11], pl_old_check_digit(digits[2:7], digits[7:11]))
    old = Caution("old_series", f"{digits} carries the check digit of the old series.")
    return _with_electronic(code, digits, digits, checked=True, cautions=(old,))


def _finnish(code: str, text: str, digits: str) -> NationalNumber:
    _require(text, digits, 9, 10)
    number = digits[-9:]
    if len(digits) == 10:
        _require_check(text, digits[0], fi_check_digit(number))
    return _with_electronic(code, number, number, checked=len(digits) == 10)


def _luxembourgish(code: str, text: str, digits: str) -> NationalNumber:
    _require(text, digits, 9)
    _require_check(text, digits[0], lu_check_digit(digits[1:]))
    return _with_electronic(code, digits, digits, checked=True)


def _danish(code: str, text: str, digits: str) -> NationalNumber:
    _require(text, digits, 9, 11)
    return _with_electronic(code, digits, digits, checked=False)


def _german(code: str, text: str, digits: str) -> NationalNumber:
    _require(text, digits, 10)
    if not 1 <= int(digits[:2]) <= 16:
        raise Unreadable(
            text, "unknown_state", f"{shown(text)} starts with {digits[:2]}; German states are 01 to 16."
        )
    return _with_electronic(code, digits, digits, checked=False)


def _unchecked(code: str, text: str, digits: str) -> NationalNumber:
    _require(text, digits, 12)
    return NationalNumber(
        code, digits, checked=False, electronic="", cautions=(Caution("not_checked", _UNCHECKED[code]),)
    )


_READERS: dict[str, Callable[[str, str, str], NationalNumber]] = {
    "GB": _british,
    "HR": _croatian,
    "PL": _polish,
    "FI": _finnish,
    "LU": _luxembourgish,
    "BE": _luxembourgish,
    "DK": _danish,
    "DE": _german,
    "IE": _unchecked,
    "RO": _unchecked,
}
