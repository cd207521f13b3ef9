"""Single values in words: days, moments, ages, weights, numbers, classes."""

from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from herd.registry.models import Animal
from herd.registry.queries.headcount import CALF_DAYS
from herd.values.mass import NANOGRAMS, WeightUnit

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
MONTHS_OF_DAYS = 2
MONTHS_OF_YEARS = 24


class Weighed(Protocol):
    """Whatever holds a weight beside the figure and unit that were entered."""

    weight_ng: int | None
    data: dict[str, Any]


def say_day(day: date | None, precision: str = "day") -> str:
    """A day as "Mar 14, 2026", no finer than it is known."""
    if day is None or precision == "unknown":
        return "day not known"
    if precision == "year":
        return str(day.year)
    if precision == "month":
        return f"{MONTHS[day.month - 1]} {day.year}"
    return f"{MONTHS[day.month - 1]} {day.day}, {day.year}"


def say_moment(moment: datetime, zone: ZoneInfo) -> str:
    """A moment in the outfit's own time, as "Mar 14, 2026, 14:05"."""
    local = moment.astimezone(zone)
    return f"{say_day(local.date())}, {local:%H:%M}"


def weight_in(nanograms: int, unit: WeightUnit) -> Decimal:
    """A stored weight in a unit: whole from 100 up, to one decimal below, halves rounded up."""
    amount = Decimal(nanograms) / Decimal(NANOGRAMS[unit])
    step = Decimal(1) if amount >= 100 else Decimal("0.1")
    rounded = amount.quantize(step, rounding=ROUND_HALF_UP)
    return rounded.quantize(Decimal(1)) if rounded == rounded.to_integral_value() else rounded


def say_weight(nanograms: int, unit: WeightUnit) -> str:
    """A stored weight in the outfit's unit, as "612 lb"."""
    return f"{weight_in(nanograms, unit):,} {unit.value}"


def say_weighed(event: Weighed, unit: WeightUnit) -> str:
    """A weighing in the outfit's unit, beside the entered figure where that was in another."""
    entered, entered_unit = str(event.data.get("weight", "")), str(event.data.get("unit", ""))
    if event.weight_ng is None or entered_unit == unit.value:
        return f"{_with_commas(entered)} {entered_unit}".strip()
    words = say_weight(event.weight_ng, unit)
    return f"{words} (entered as {entered} {entered_unit})" if entered_unit else words


def _with_commas(figure: str) -> str:
    try:
        return f"{Decimal(figure):,}"
    except InvalidOperation:
        return figure


def say_age(born_on: date | None, precision: str, today: date) -> str:
    """An age: in days to two months, then months, then years and months; years alone where no more is known."""
    if born_on is None or precision == "unknown" or born_on > today:
        return "age not known"
    if precision == "year":
        return f"about {_count(today.year - born_on.year, 'year')}"
    months = (today.year - born_on.year) * 12 + today.month - born_on.month - (today.day < born_on.day)
    if months < MONTHS_OF_DAYS and precision != "month":
        return _count((today - born_on).days, "day")
    if months < MONTHS_OF_YEARS:
        return _count(months, "month")
    years, rest = divmod(months, 12)
    return f"{_count(years, 'year')} {_count(rest, 'month')}" if rest else _count(years, "year")


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def group_digits(number: str) -> str:
    """An EID in groups of three for reading: 840 270 000 000 417. Other numbers stay as they are."""
    if len(number) != 15 or not number.isdigit():
        return number
    return " ".join(number[start : start + 3] for start in range(0, 15, 3))


def is_calf(animal: Animal, today: date) -> bool:
    """Whether an animal counts as a calf beside its class: under a year old, and no cow."""
    born = animal.born_on
    return born is not None and animal.animal_class != "cow" and (today - born).days < CALF_DAYS


def say_class(animal: Animal, today: date) -> str:
    """An animal's class: "cow", "heifer calf", "calf" where its sex is not known, "class not known"."""
    word = str(animal.animal_class)
    if is_calf(animal, today):
        return f"{word} calf".strip()
    return word or "class not known"
