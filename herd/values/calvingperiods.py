"""Calvings of a season spread over periods of 21 days, from a start that is chosen and named."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from herd.values.policy import PUBLISHED, Policy, StartRule
from herd.values.problems import Caution

_THIRD = 3


@dataclass(frozen=True, slots=True)
class Calving:
    """One full-term calving: the day, its calves dead or alive, and the dam's completed years where known."""

    day: date
    calves: int = 1
    dam_years: int | None = None


@dataclass(frozen=True, slots=True)
class Start:
    """The first day of the first period and the rule that gave it, in words."""

    day: date
    rule: StartRule
    words: str


@dataclass(frozen=True, slots=True)
class Period:
    """Days `first` to `last` of the season, counted from 1; the last period has no end. `share` is in per cent."""

    first: int
    last: int | None
    starts_on: date
    calves: int
    share: Fraction


@dataclass(frozen=True, slots=True)
class Distribution:
    """A season's calves by period; those born before the start are in the first."""

    start: Start
    periods: tuple[Period, ...]
    calves: int
    early: int
    source: str
    cautions: tuple[Caution, ...] = ()


def season_start(
    calvings: Sequence[Calving],
    *,
    breeding_from: date | None = None,
    policy: Policy = PUBLISHED,
) -> Start:
    """The first day of the first period, by the policy's rule.

    Either the day breeding began plus `policy.calving_start_after` days, or the day on which the third calf
    was born or the third mature cow calved. Heifers are looked at by themselves, so give one or the other.
    Sources: University of Missouri Extension; University of Nebraska-Lincoln. Raises ValueError where the day
    breeding began is missing, or fewer than three have calved.
    """
    rule = policy.calving_start
    if rule is StartRule.BREEDING:
        if breeding_from is None:
            raise ValueError("Say on which day breeding began, or count from the third calf.")
        day = breeding_from + timedelta(days=policy.calving_start_after)
        return Start(day, rule, f"{policy.calving_start_after} days after breeding began")
    if rule is StartRule.THIRD_CALF:
        days = sorted(one.day for one in calvings for _ in range(one.calves))
        return Start(_third(days, "calves born"), rule, "the day the third calf was born")
    years = policy.mature_cow_years
    days = sorted(one.day for one in calvings if one.dam_years is not None and one.dam_years >= years)
    words = f"the day the third cow of {years} years or more calved"
    return Start(_third(days, f"cows of {years} years or more that calved"), rule, words)


def calving_distribution(calvings: Sequence[Calving], start: Start, *, policy: Policy = PUBLISHED) -> Distribution:
    """The season's calves by period of `policy.calving_period` days, with those later in one open period.

    Full-term calves count dead or alive, those born early count in the first period, and shares are of all
    calves born. Source: University of Missouri Extension, Payne 2021. Raises ValueError where none was born.
    """
    total = sum(one.calves for one in calvings)
    if total <= 0:
        raise ValueError("No calf was born in this season yet.")
    length, many = policy.calving_period, policy.calving_periods
    counts = [0] * (many + 1)
    for one in calvings:
        counts[min(max((one.day - start.day).days // length, 0), many)] += one.calves
    periods = tuple(
        Period(
            number * length + 1,
            (number + 1) * length if number < many else None,
            start.day + timedelta(days=number * length),
            count,
            Fraction(count * 100, total),
        )
        for number, count in enumerate(counts)
    )
    early = sum(one.calves for one in calvings if one.day < start.day)
    source = f"{policy.source_of('calving_periods')}; start: {policy.source_of('calving_start')}"
    return Distribution(start, periods, total, early, source, _cautions(periods, early, policy))


def _third(days: Sequence[date], who: str) -> date:
    if len(days) < _THIRD:
        raise ValueError(f"There are only {len(days)} {who}; the season starts with the third.")
    return days[_THIRD - 1]


def _cautions(periods: tuple[Period, ...], early: int, policy: Policy) -> tuple[Caution, ...]:
    found = []
    if early:
        born = "1 calf was" if early == 1 else f"{early} calves were"
        found.append(Caution("early", f"{born} born before the first period and counted in it."))
    if periods[0].share < policy.first_period_goal:
        goal = f"Below the goal of {policy.first_period_goal} per cent in the first {policy.calving_period} days."
        found.append(Caution("below_goal", goal))
    return tuple(found)
