"""Which cattle need official identification to cross a state line, and which journeys are exempt: rules as data.

It prepares and certifies nothing: states ask for more than the federal rule, and the accredited veterinarian who
issues the certificate decides.
"""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from herd.values.ages import completed_months
from herd.values.officialtags import EID, ELECTRONIC_FROM, MAKER_CODES_UNTIL, METAL, is_official
from herd.values.prefixes import PrefixKind, meaning_of

MONTHS = 18
_LATEST = "9 CFR 86.4(b)(1)(iii), categories unchanged by 89 FR 39540"
_EXEMPT = "9 CFR 86.4(b)(1); as told by Indiana Board of Animal Health, Nebraska Department of Agriculture"


class Journey(StrEnum):
    """What animals are moved for, as far as the rule asks."""

    ORDINARY = "ordinary"
    RODEO = "rodeo"
    SHOW = "show"
    SLAUGHTER = "slaughter"
    TAGGING_SITE = "tagging_site"
    COMMUTER = "commuter"
    THROUGH = "through"


@dataclass(frozen=True, slots=True)
class Exemption:
    """A journey for which no official identification is needed: on what condition, and where that is written."""

    words: str
    source: str


EXEMPT = {
    Journey.SLAUGHTER: Exemption("straight to slaughter, each with a backtag", _EXEMPT),
    Journey.TAGGING_SITE: Exemption("straight to an approved tagging site", _EXEMPT),
    Journey.COMMUTER: Exemption("under a commuter herd agreement of both states", _EXEMPT),
    Journey.THROUGH: Exemption("through another state and back to the state of origin", _EXEMPT),
}


class Need(StrEnum):
    """Why an animal needs official identification: the categories of the rule."""

    OLD_ENOUGH = "old_enough"
    AGE_UNKNOWN = "age_unknown"
    DAIRY = "dairy"
    RODEO = "rodeo"
    SHOW = "show"


@dataclass(frozen=True, slots=True)
class Rule:
    """One category in words, where it is written, and since when it is so."""

    words: str
    source: str
    in_force_from: date


RULES = {
    Need.OLD_ENOUGH: Rule(f"sexually intact and {MONTHS} months or over", f"{_LATEST}, (A)", date(2013, 3, 11)),
    Need.AGE_UNKNOWN: Rule(
        f"sexually intact, and not known to be under {MONTHS} months", f"{_LATEST}, (A); taken as old enough here",
        date(2013, 3, 11),
    ),
    Need.DAIRY: Rule("dairy cattle of any age", f"{_LATEST}, (B)", date(2013, 3, 11)),
    Need.RODEO: Rule("used for rodeo or recreational events, of any age", f"{_LATEST}, (C)", date(2013, 3, 11)),
    Need.SHOW: Rule("used for shows or exhibitions, of any age", f"{_LATEST}, (D)", date(2013, 3, 11)),
}  # fmt: skip

# Breeds kept for milk, as words or two letters (from memory); the offspring of one counts as dairy as well.
_DAIRY_BREEDS = frozenset({
    "holstein", "friesian", "holstein friesian", "red holstein", "jersey", "guernsey", "ayrshire", "brown swiss",
    "milking shorthorn", "ho", "je", "gu", "ay", "bs",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Traveller:
    """What the rule asks of one animal: its class (empty: not known), its birth (None: not known), and its use.

    A steer is not sexually intact. A spayed heifer isn't either, but a class tells her not apart, so she is judged
    as any heifer.
    """

    animal_class: str
    born_on: date | None
    is_dairy: bool = False


def is_dairy_breed(breed: str) -> bool:
    """Whether a breed, or any part of a cross written with x, / or -, is one kept for milk."""
    words = breed.casefold().replace("/", "x").replace("-", "x").replace(" x ", "x")
    whole = breed.strip().casefold()
    return whole in _DAIRY_BREEDS or any(part.strip(" 0123456789%") in _DAIRY_BREEDS for part in words.split("x"))


def need_of(one: Traveller, journey: Journey, on: date) -> Need | None:
    """Why an animal needs official identification to cross a state line on a day; None where it needs none.

    Exempt journeys are asked about with `EXEMPT`, since each has its condition.
    """
    if journey is Journey.RODEO:
        return Need.RODEO
    if journey is Journey.SHOW:
        return Need.SHOW
    if one.is_dairy:
        return Need.DAIRY
    if one.animal_class == "steer":
        return None
    if one.born_on is None or one.born_on > on:
        # A cow has calved, which no animal under eighteen months is meant to; either way she needs it.
        return Need.OLD_ENOUGH if one.animal_class == "cow" else Need.AGE_UNKNOWN
    return Need.OLD_ENOUGH if completed_months(one.born_on, on) >= MONTHS else None


class Counts(StrEnum):
    """What a number on an animal counts as for the rule."""

    OFFICIAL = "official"
    FOREIGN = "foreign"
    NOT_OFFICIAL = "not_official"


def counts_as(kind: str, number: str, put_on: date | None) -> tuple[Counts, str]:
    """What a tag counts as, and why where it is not plainly official; tags of other kinds are never official.

    `put_on` is the latest day on which it can have gone on; where it isn't known it is taken as long ago. That an
    animal imported with its own country's official number may keep it is from memory, so it is asked about.
    """
    if is_official(kind, number, put_on):
        return Counts.OFFICIAL, ""
    if kind == METAL:
        return Counts.NOT_OFFICIAL, (
            f"{number} is a metal tag put on from {ELECTRONIC_FROM} on; a new official tag has to be readable by eye"
            " and by a reader."
        )
    if kind != EID or not number[:3].isdigit():
        return Counts.NOT_OFFICIAL, ""
    meaning = meaning_of(int(number[:3]))
    if meaning.kind in {PrefixKind.MANUFACTURER, PrefixKind.SHARED_MANUFACTURER}:
        return Counts.NOT_OFFICIAL, (
            f"{number} is a manufacturer's number; these are official only where they went on before"
            f" {MAKER_CODES_UNTIL}."
        )
    if meaning.kind in {PrefixKind.COUNTRY, PrefixKind.TERRITORY, PrefixKind.NORTHERN_IRELAND}:
        return Counts.FOREIGN, f"{number} is a number of {meaning.name}; show the veterinarian where it was put on."
    return Counts.NOT_OFFICIAL, f"{number} can't be official: {meaning.name}."


def latest_day(day: date | None, precision: str) -> date | None:
    """The latest day that a day known to the month or the year can have been; None where it isn't known."""
    if day is None or precision == "unknown":
        return None
    if precision == "year":
        return date(day.year, 12, 31)
    return day.replace(day=monthrange(day.year, day.month)[1]) if precision == "month" else day
