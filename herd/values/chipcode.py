"""The code inside an electronic tag: 64 bits on the chip, 15 digits on paper."""

from dataclasses import dataclass, field
from typing import Any, Self

from herd.values.problems import Unreadable, shown

MAX_NATIONAL = (1 << 38) - 1
_RESERVED_SHIFT = 53


@dataclass(frozen=True, slots=True, order=True)
class ElectronicNumber:
    """One ISO 11784 identification code; two are equal, and sort, by their 15 digits alone.

    `prefix` 1-999 and `national` 0-274877906943 make the digits. The chip also holds `animal` (the animal
    flag), `retag` 0-7, `user_information` 0-31, `visual_start` 0-7, `advanced` and `data_block`; they are
    kept but take no part in comparing, because the same animal may carry a second chip with the same digits.
    Raises Unreadable for what the code cannot hold. Source: ISO 11784:2024, clause 4.
    """

    prefix: int
    national: int
    animal: bool = field(default=True, compare=False)
    retag: int = field(default=0, compare=False)
    user_information: int = field(default=0, compare=False)
    visual_start: int = field(default=0, compare=False)
    advanced: bool = field(default=False, compare=False)
    data_block: bool = field(default=False, compare=False)

    def __post_init__(self) -> None:
        if not (0 < self.prefix <= 999 and 0 <= self.national <= MAX_NATIONAL):
            _refuse_digits(self.prefix, self.national)
        if not (0 <= self.retag < 8 and 0 <= self.user_information < 32 and 0 <= self.visual_start < 8):
            written = f"{self.retag} {self.user_information} {self.visual_start}"
            raise Unreadable(
                written, "field_too_large", f"{shown(written)} does not fit the fields of the code."
            )

    @property
    def digits(self) -> str:
        """The 15 digits: prefix (3) and national number (12), zeros kept."""
        return f"{self.prefix:03d}{self.national:012d}"

    @property
    def word(self) -> int:
        """The 64-bit code as an integer, animal flag leftmost."""
        return (
            self.animal << 63
            | self.retag << 60
            | self.user_information << 55
            | self.visual_start << 50
            | self.advanced << 49
            | self.data_block << 48
            | self.prefix << 38
            | self.national
        )

    @classmethod
    def from_digits(cls, digits: str) -> Self:
        """The number of exactly 15 ASCII digits; raises Unreadable otherwise."""
        if len(digits) != 15 or not (digits.isascii() and digits.isdigit()):
            raise Unreadable(digits, "wrong_length", f"{shown(digits)} is not 15 digits.")
        return cls(int(digits[:3]), int(digits[3:]))

    @classmethod
    def from_word(cls, word: int) -> Self:
        """The number of a 64-bit code (animal flag leftmost); raises Unreadable for others."""
        written = f"{word:016X}" if word >= 0 else str(word)
        if not 0 <= word < 1 << 64:
            raise Unreadable(written, "wrong_length", f"{shown(written)} is not a 64-bit code.")
        if word >> _RESERVED_SHIFT & 0b11:
            raise Unreadable(
                written, "reserved_bits", f"{shown(written)} uses the reserved bits of the code."
            )
        return cls(
            prefix=word >> 38 & 0x3FF,
            national=word & MAX_NATIONAL,
            animal=bool(word >> 63),
            retag=word >> 60 & 0b111,
            user_information=word >> 55 & 0b11111,
            visual_start=word >> 50 & 0b111,
            advanced=bool(word >> 49 & 1),
            data_block=bool(word >> 48 & 1),
        )


_WRITERS: tuple[Any, ...] = tuple(
    getattr(ElectronicNumber, name).__set__ for name in ElectronicNumber.__slots__
)
_PREFIX, _NATIONAL, _ANIMAL, _RETAG, _USER, _VISUAL, _ADVANCED, _DATA = _WRITERS


def plain_number(prefix: int, national: int) -> ElectronicNumber:
    """The number of a plain animal tag, the same as ElectronicNumber(prefix, national); raises Unreadable."""
    if not (0 < prefix <= 999 and 0 <= national <= MAX_NATIONAL):
        _refuse_digits(prefix, national)
    # A frozen dataclass writes its fields slowly; files hold a million numbers, so they are written directly.
    number = object.__new__(ElectronicNumber)
    _PREFIX(number, prefix)
    _NATIONAL(number, national)
    _ANIMAL(number, True)  # noqa: FBT003
    _RETAG(number, 0)
    _USER(number, 0)
    _VISUAL(number, 0)
    _ADVANCED(number, False)  # noqa: FBT003
    _DATA(number, False)  # noqa: FBT003
    return number


def _refuse_digits(prefix: int, national: int) -> None:
    written = f"{prefix:03d}{national:012d}"
    if prefix == 0 and national == 0:
        raise Unreadable(written, "all_zero", f"{shown(written)} is an empty code, not a tag.")
    if not 0 < prefix <= 999:
        raise Unreadable(
            written,
            "invalid_prefix",
            f"{shown(written)} has prefix {prefix:03d}, which is never a country or maker.",
        )
    raise Unreadable(
        written,
        "too_large",
        f"{shown(written)} cannot be on a tag: the last 12 digits go no higher than {MAX_NATIONAL}.",
    )
