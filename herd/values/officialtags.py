"""Official eartags of the United States, and when an animal may wear more than one (9 CFR 86.4)."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from herd.values.prefixes import SHARED_MANUFACTURER, TEST

COUNTRY = "840"
EID, METAL = "eid", "nues"
# Tags put on from this day on must be read by eye and electronically (Federal Register 2024-09717).
ELECTRONIC_FROM = date(2024, 11, 5)
# Manufacturer-coded tags put on before this day stay official (Minnesota Board of Animal Health).
MAKER_CODES_UNTIL = date(2015, 3, 11)
YEARS_KEPT = 5


class SecondTag(StrEnum):
    """Why an animal gets an official tag beside the one it wears: the paragraphs of 9 CFR 86.4(c)."""

    APPROVED = "approved"
    AIN_BESIDE_METAL = "ain_beside_metal"
    VACCINATION = "vaccination"
    NOT_OFFICIAL = "not_official"


@dataclass(frozen=True, slots=True)
class Way:
    """One of those reasons in words; `asks` says whether more must be told."""

    words: str
    asks: bool


WAYS = {
    SecondTag.APPROVED: Way("approved by an animal health official", asks=True),
    SecondTag.AIN_BESIDE_METAL: Way("840 tag added beside a metal or vaccination tag", asks=False),
    SecondTag.VACCINATION: Way("brucellosis vaccination tag", asks=False),
    SecondTag.NOT_OFFICIAL: Way("not an official tag", asks=True),
}


def is_official(kind: str, number: str, put_on: date | None) -> bool:
    """Whether a tag counts as official identification; a day not known is taken as long ago.

    Sources: 9 CFR 86.4(a) as of November 2024 for metal tags, which stay official where they were on before;
    840 numbers are issued for official tags alone.
    """
    if kind == METAL:
        return put_on is None or put_on < ELECTRONIC_FROM
    if kind != EID or not number[:3].isdigit():
        return False
    is_makers = SHARED_MANUFACTURER <= int(number[:3]) < TEST
    return number.startswith(COUNTRY) or (is_makers and put_on is not None and put_on < MAKER_CODES_UNTIL)


def second_tag_fault(way: SecondTag, kind: str, number: str, worn_kinds: Collection[str]) -> str:
    """What speaks against a reason for a second tag, in a sentence; empty where it holds."""
    if way is SecondTag.AIN_BESIDE_METAL and not (kind == EID and number.startswith(COUNTRY)):
        return "This reason is for an EID that begins with 840."
    if way is SecondTag.AIN_BESIDE_METAL and (METAL not in worn_kinds or EID in worn_kinds):
        return "This reason is for an animal that wears metal tags only; it wears another kind."
    if way is SecondTag.VACCINATION and kind != METAL:
        return "A brucellosis vaccination tag is a metal tag."
    if way is SecondTag.NOT_OFFICIAL and kind == EID and number.startswith(COUNTRY):
        return "Numbers that begin with 840 are official, so it needs one of the other reasons."
    return ""
