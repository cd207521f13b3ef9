"""Published check digits of national cattle numbers, one function for each country."""

from collections.abc import Sequence

from herd.values.problems import Unreadable, shown

_HR_WEIGHTS = (3, 7, 9, 11, 13, 17, 19, 21, 23)
_LU_WEIGHTS = (3, 2, 7, 6, 5, 4, 3, 2)
_FI_WEIGHTS = (1, 3, 7)


def gb_check_digit(herd_mark: str, animal: str) -> str:
    """The digit 1-7 of a British number, from herd mark (6 digits) and animal (5 digits): mod 7, plus 1.

    Source: published examples of herd marks 123450 and 284205; the formula itself is not officially stated.
    """
    _digits(herd_mark, 6)
    _digits(animal, 5)
    return str(int(herd_mark + animal) % 7 + 1)


def hr_check_digit(nine: str) -> str:
    """The first digit of a Croatian number, from the nine that follow it.

    Source: German cattle database, page on ear-tag numbers of Croatia (example HR 6 23456 7890).
    """
    return str(_weighted(_digits(nine, 9), _HR_WEIGHTS) % 10)


def pl_check_digit(eleven: str) -> str:
    """The last digit of a Polish number, from the eleven before it: odd places three times, to the next ten.

    Source: German cattle database, page on ear-tag numbers of Poland, first formula.
    """
    total = _weighted(_digits(eleven, 11), (3, 1) * 5 + (3,))
    return str(-total % 10)


def pl_old_check_digit(farm: str, animal: str) -> str:
    """The last digit of a Polish number of the old series: (5 x farm + animal) mod 7, plus 1.

    Source: German cattle database, page on ear-tag numbers of Poland, second formula.
    """
    _digits(farm, len(farm) or 1)
    _digits(animal, len(animal) or 1)
    return str((5 * int(farm) + int(animal)) % 7 + 1)


def fi_check_digit(nine: str) -> str:
    """The check digit of a Finnish number of nine digits: weights 1, 3, 7, up to the next ten.

    Source: German cattle database, page on ear-tag numbers of Finland.
    """
    return str(-_weighted(_digits(nine, 9), _FI_WEIGHTS * 3) % 10)


def lu_check_digit(eight: str) -> str:
    """The first digit of a Luxembourg or Belgian number, from the eight that follow it: |sum mod 11 - 9|.

    Source: German cattle database, page on ear-tag numbers of Luxembourg.
    """
    return str(abs(_weighted(_digits(eight, 8), _LU_WEIGHTS) % 11 - 9))


be_check_digit = lu_check_digit


def _digits(text: str, length: int) -> list[int]:
    if len(text) != length or not (text.isascii() and text.isdigit()):
        raise Unreadable(text, "wrong_length", f"{shown(text)} is not {length} digits.")
    return [int(digit) for digit in text]


def _weighted(digits: Sequence[int], weights: Sequence[int]) -> int:
    return sum(digit * weight for digit, weight in zip(digits, weights, strict=True))
