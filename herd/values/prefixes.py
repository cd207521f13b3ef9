"""What the three-digit prefix of an electronic number means: a country, a manufacturer, a test code."""

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import pycountry

SHARED_MANUFACTURER = 900
TEST = 999
NORTHERN_IRELAND = 899
_US_TERRITORIES = frozenset({"AS", "GU", "MP", "PR", "UM", "VI"})
_LETTERS_OUTSIDE_ISO = {"XI": NORTHERN_IRELAND, "EL": 300, "UK": 826}


class PrefixKind(StrEnum):
    """The kinds of prefix; `territory` is a United States territory with a number of its own."""

    COUNTRY = "country"
    TERRITORY = "territory"
    NORTHERN_IRELAND = "northern_ireland"
    MANUFACTURER = "manufacturer"
    SHARED_MANUFACTURER = "shared_manufacturer"
    TEST = "test"
    UNASSIGNED = "unassigned"
    INVALID = "invalid"


@dataclass(frozen=True, slots=True)
class PrefixMeaning:
    """What a prefix stands for and its name in plain English."""

    kind: PrefixKind
    name: str


@lru_cache(maxsize=2048)
def meaning_of(prefix: int) -> PrefixMeaning:
    """The meaning of a prefix; any number is answered, 0 and everything over 999 as invalid.

    Source: ISO 11784 and ICAR for the ranges, ISO 3166-1 numeric (pycountry) for the countries, Regulation
    (EU) 2021/520 Article 12(a) for 899.
    """
    if not 0 < prefix < 1000:
        return PrefixMeaning(PrefixKind.INVALID, "not a prefix")
    if prefix == TEST:
        return PrefixMeaning(PrefixKind.TEST, "test and demonstration")
    if prefix == SHARED_MANUFACTURER:
        return PrefixMeaning(PrefixKind.SHARED_MANUFACTURER, "shared manufacturer code 900")
    if prefix > SHARED_MANUFACTURER:
        return PrefixMeaning(PrefixKind.MANUFACTURER, f"manufacturer code {prefix}")
    if prefix == NORTHERN_IRELAND:
        return PrefixMeaning(PrefixKind.NORTHERN_IRELAND, "United Kingdom (Northern Ireland)")
    return _country_meaning(prefix)


def _country_meaning(prefix: int) -> PrefixMeaning:
    country = pycountry.countries.get(numeric=f"{prefix:03d}")
    if country is None:
        return PrefixMeaning(PrefixKind.UNASSIGNED, f"number {prefix:03d}, given to no country today")
    kind = PrefixKind.TERRITORY if country.alpha_2 in _US_TERRITORIES else PrefixKind.COUNTRY
    return PrefixMeaning(kind, getattr(country, "common_name", country.name))


@lru_cache(maxsize=1024)
def prefix_of_letters(letters: str) -> int | None:
    """The numeric prefix of a country's two or three letters (ISO 3166-1, with XI, EL and UK), else None."""
    code = letters.upper()
    if code in _LETTERS_OUTSIDE_ISO:
        return _LETTERS_OUTSIDE_ISO[code]
    key = "alpha_2" if len(code) == 2 else "alpha_3"
    country = next((one for one in pycountry.countries if getattr(one, key) == code), None)
    return int(country.numeric) if country else None
