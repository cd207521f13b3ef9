"""What speaks against a weight: outside what such an animal weighs, or a gain that can't be."""

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.plausibility import plausible_gain_per_day, plausible_range

# A calf without a class is judged as one while the weaning window is open (Beef Improvement Federation).
CALF_DAYS = 250
# After about three years the last weight says nothing of a gain (our choice, no source).
LONGEST_SPAN = 1_000
NANOGRAMS_PER_KG = 10**12


@dataclass(frozen=True, slots=True)
class Before:
    """What is known of the animal: its class, its day of birth, its last weight before and that one's day."""

    animal_class: str = ""
    born_on: date | None = None
    last_ng: int | None = None
    last_on: date | None = None


def doubts_of(nanograms: int, day: date, before: Before, unit: WeightUnit, *, is_birth: bool = False) -> list[str]:
    """Say in sentences what speaks against a weight on a day, figures in the unit; nothing is refused by it.

    Limits and their sources are those of herd.values.plausibility.
    """
    age = (day - before.born_on).days if before.born_on else None
    if age is not None and age < 0:
        # Weighed before it was born: the day is wrong, not the weight, and that is refused elsewhere.
        return []
    if is_birth:
        return _outside(nanograms, "calf", 0, unit)
    kind = before.animal_class or ("calf" if age is not None and age < CALF_DAYS else "")
    if not kind:
        return []
    return [*_outside(nanograms, kind, age, unit), *_gain(nanograms, day, before, (kind, age), unit)]


def _outside(nanograms: int, kind: str, age: int | None, unit: WeightUnit) -> list[str]:
    low, high = _limits(kind, age)
    if low <= nanograms <= high:
        return []
    old = f" of {age} days" if age is not None else ""
    return [f"A {kind}{old} weighs {shown(low, unit)} to {shown(high, unit)}."]


@lru_cache(maxsize=8192)
def _limits(kind: str, age: int | None) -> tuple[int, int]:
    low, high = plausible_range(kind, age)
    return low.nanograms, high.nanograms


def _gain(nanograms: int, day: date, before: Before, what: tuple[str, int | None], unit: WeightUnit) -> list[str]:
    if before.last_ng is None or before.last_on is None:
        return []
    span = (day - before.last_on).days
    if not 0 < span <= LONGEST_SPAN:
        return []
    low, high = plausible_gain_per_day(*what, span_days=span)
    change = nanograms - before.last_ng
    if low * NANOGRAMS_PER_KG * span <= change <= high * NANOGRAMS_PER_KG * span:
        return []
    word = "gained" if change > 0 else "lost"
    was = f"It weighed {shown(before.last_ng, unit)} on {before.last_on}"
    return [f"{was}; it would have {word} {shown(abs(change), unit)} in {span} day{'' if span == 1 else 's'}."]


def shown(nanograms: int, unit: WeightUnit) -> str:
    """A weight in whole units, as "612 lb"."""
    return f"{nanograms / NANOGRAMS[unit]:,.0f} {unit.value}"
