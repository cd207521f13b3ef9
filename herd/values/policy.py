"""The values of herd arithmetic that people differ on, each with its published default and its source."""

from dataclasses import dataclass, field, fields
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Any


class StartRule(StrEnum):
    """From when the first calving period counts."""

    BREEDING = "breeding"
    THIRD_CALF = "third_calf"
    THIRD_MATURE_COW = "third_mature_cow"


class AnimalUnitRule(StrEnum):
    """How an animal unit is reckoned."""

    LINEAR = "linear"
    PAIR = "pair"
    METABOLIC = "metabolic"


@dataclass(frozen=True, slots=True)
class DayWindow:
    """Days from first to last, both inside; raises ValueError when it runs backwards."""

    first: int
    last: int

    def __post_init__(self) -> None:
        if not 0 <= self.first <= self.last:
            raise ValueError(f"A window can't run from {self.first} to {self.last} days.")

    def __contains__(self, days: int | Fraction) -> bool:
        return self.first <= days <= self.last

    def place_of(self, days: int) -> str:
        """Where a number of days lies: "below", "inside" or "above"."""
        return "inside" if days in self else "below" if days < self.first else "above"


@dataclass(frozen=True, slots=True)
class DamAge:
    """What is added for dams from an age on, in pounds; the age in completed months when the calf was born."""

    from_months: int
    birth: Decimal
    weaning_male: Decimal
    weaning_female: Decimal


@dataclass(frozen=True, slots=True)
class BreedValue:
    """A value that goes by breed."""

    breed: str
    value: Decimal


def _dam(years: int, birth: int, male: int, female: int) -> DamAge:
    return DamAge(years * 12, Decimal(birth), Decimal(male), Decimal(female))


def _breeds(written: str) -> tuple[BreedValue, ...]:
    pairs = (pair.rsplit(" ", 1) for pair in written.split(", "))
    return tuple(BreedValue(breed, Decimal(value)) for breed, value in pairs)


def _from(default: Any, source: str) -> Any:
    """A value with its published default and where that stands."""
    return field(default=default, metadata={"source": source})


_BIF = "Beef Improvement Federation guidelines"
_COMPUTED = "computed, no published value"


@dataclass(frozen=True, slots=True)
class Policy:
    """The values in force from a day on; an outfit overrides some with `dataclasses.replace`.

    Raises ValueError for values that can't be worked with. Lengths are days unless the name says otherwise.
    """

    in_force_from: date = _from(date(2019, 10, 27), "youngest revision of the guideline pages used")
    weaning_window: DayWindow = _from(DayWindow(160, 250), f"{_BIF}, Weaning Weight")
    yearling_window: DayWindow = _from(DayWindow(320, 410), f"{_BIF}, Yearling Weight; 440 in a draft of 2019")
    scrotal_window: DayWindow = _from(DayWindow(320, 440), f"{_BIF}, Scrotal Circumference")
    frame_window: DayWindow = _from(
        DayWindow(152, 639), "Alabama BCIA: equations for 5 to 21 months, here of 365/12 days"
    )
    dam_ages: tuple[DamAge, ...] = _from(
        (
            _dam(2, 8, 60, 54), _dam(3, 5, 40, 36), _dam(4, 2, 20, 18), _dam(5, 0, 0, 0), _dam(11, 3, 20, 18),
        ),
        "BIF additive factors by Michigan State University Extension; whole years taken as completed years",
    )  # fmt: skip
    adjusts_without_dam_age: bool = _from(
        default=False, source="no published factor for a dam of unknown age or under two, so none is adjusted"
    )
    standard_birth_weight: Decimal | None = _from(
        None, "Michigan State University Extension: the breed's standard, in pounds; none is set here"
    )
    birth_window: int = _from(90, f"{_COMPUTED}: the span of the weaning window; the guidelines say short")
    fill_caution: int = _from(60, "after Watson et al. 2013, Journal of Animal Science 91:5507; limit computed")
    scrotal_factors: tuple[BreedValue, ...] = _from(
        _breeds(
            "Angus 0.0374, Charolais 0.0505, Gelbvieh 0.0505, Hereford 0.0425, Limousin 0.0590,"
            " Red Angus 0.0324, Simmental 0.0543"
        ),
        f"{_BIF}, Scrotal Circumference, after Geske, Schalles and Zoellner 1995; centimetres a day",
    )
    gestation: int = _from(283, f"{_BIF}, Gestation Length")
    gestation_spread: int = _from(12, "Torell, University of Nevada Cooperative Extension: within a breed")
    gestation_by_breed: tuple[BreedValue, ...] = _from(
        _breeds("Jersey 279, Angus 281, Shorthorn 282, Hereford 285, Continental 289, Brahman 292"),
        "Torell, University of Nevada Cooperative Extension",
    )
    gestation_limits: DayWindow = _from(DayWindow(260, 305), f"{_COMPUTED}: breed means 273 to 292 and spread")
    calving_interval_limits: DayWindow = _from(DayWindow(300, 730), f"{_COMPUTED}: target 365 days")
    shortest_calving_interval: int = _from(270, f"{_COMPUTED}: less than a pregnancy")
    calving_start: StartRule = _from(
        StartRule.BREEDING, "University of Missouri Extension; University of Nebraska-Lincoln"
    )
    calving_start_after: int = _from(283, "University of Missouri Extension; 285 at Nebraska-Lincoln")
    calving_period: int = _from(21, "University of Missouri Extension")
    calving_periods: int = _from(3, "University of Missouri Extension: days 1-21, 22-42, 43-63 and later")
    first_period_goal: Decimal = _from(Decimal(65), "University of Nebraska-Lincoln: per cent, at least")
    mature_cow_years: int = _from(3, "University of Nebraska-Lincoln")
    animal_unit: AnimalUnitRule = _from(
        AnimalUnitRule.LINEAR, "University of Nebraska-Lincoln drought centre; Texas chart"
    )
    identification_retention_years: int = _from(5, "9 CFR 86.3")
    treatment_retention_years: int = _from(
        5, "at least 2 years: Washington State University Veterinary Extension, 21 CFR 530.5; 5 to be safe"
    )

    def __post_init__(self) -> None:
        months = [row.from_months for row in self.dam_ages]
        if not months or months != sorted(set(months)):
            raise ValueError("The ages of dams have to rise, each named once.")
        short = [name for name in _ABOVE_ZERO if getattr(self, name) <= 0]
        if short:
            raise ValueError(f"This has to be above zero: {', '.join(short).replace('_', ' ')}.")
        if self.standard_birth_weight is not None and not self.standard_birth_weight > 0:
            raise ValueError("A standard birth weight has to be above zero.")
        if 0 in self.weaning_window:
            raise ValueError("The weaning window has to begin after the day of birth.")
        if self.gestation not in self.gestation_limits:
            raise ValueError("The length of gestation lies outside its own limits.")

    def source_of(self, name: str) -> str:
        """Where a value comes from; "set by the outfit" when it isn't the published one.

        Raises ValueError for a name that is no value here.
        """
        if name not in _FIELDS:
            raise ValueError(f"There is no value called {name}.")
        value, published = getattr(self, name), _FIELDS[name].default
        is_published = value is published or value == published
        return str(_FIELDS[name].metadata["source"]) if is_published else "set by the outfit"

    def gestation_of(self, breed: str | None) -> int:
        """Days of gestation of a breed, or the general length for a breed not listed."""
        found = value_for(self.gestation_by_breed, breed)
        return self.gestation if found is None else int(found)


_ABOVE_ZERO = (
    "birth_window", "fill_caution", "gestation", "shortest_calving_interval", "calving_start_after",
    "calving_period", "calving_periods", "mature_cow_years", "identification_retention_years",
    "treatment_retention_years",
)  # fmt: skip


def value_for(table: tuple[BreedValue, ...], breed: str | None) -> Decimal | None:
    """The value of a breed, written in any case; None where the table has none."""
    wanted = (breed or "").strip().casefold()
    return next((row.value for row in table if row.breed.casefold() == wanted), None)


_FIELDS = {one.name: one for one in fields(Policy)}

PUBLISHED = Policy()
"""The published values, where an outfit has set nothing else."""
