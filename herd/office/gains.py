"""Weighings of one animal with the gain between them, for the table and the plot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from herd.office.plots import Plot, Series
from herd.office.saying import say_weighed, weight_in
from herd.registry.queries.history import WeightPoint
from herd.reports.companions import Beside
from herd.values.figures import round_half_up
from herd.values.growth import Weighed, gain_per_day
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.policyhistory import PolicyHistory


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weighing. `gain` is per day since the last, in the outfit's unit; None where no day has passed.

    `caution` says why a gain over a short span says little.
    """

    event_id: UUID
    day: date
    words: str
    purpose: str
    days: int | None
    gain: Decimal | None
    beside: Beside | None = None
    caution: str = ""

    @property
    def group_figures(self) -> list[Decimal]:
        """The middle, the lower and the upper quarter of its group that day, to tenths; empty where there is none."""
        spread = self.beside.spread if self.beside else None
        return [round_half_up(one, 1) for one in (spread.middle, spread.lower, spread.upper)] if spread else []

    @property
    def is_short(self) -> bool:
        """Whether the span since the last weighing says little because of fill."""
        return bool(self.caution)


def gains_of(
    points: Sequence[WeightPoint], unit: WeightUnit, beside: Mapping[date, Beside] | None = None,
    policies: PolicyHistory | None = None,
) -> list[Weighing]:
    """Return the weighings oldest first, each with the gain per day since the one before, and its group that day.

    Which spans are short is as the values say that were in force on the day of the weighing.
    """
    policies = policies or PolicyHistory()
    found = []
    last: WeightPoint | None = None
    for point in points:
        days = (point.day - last.day).days if last else None
        gain, caution = _gain(last, point, unit, policies) if last and days else (None, "")
        purpose = str(point.event.data.get("purpose", "")).replace("other", "")
        group = (beside or {}).get(point.day)
        words = say_weighed(point.event, unit)
        found.append(Weighing(point.event.pk, point.day, words, purpose, days, gain, group, caution))
        last = point
    return found


def _gain(
    last: WeightPoint, point: WeightPoint, unit: WeightUnit, policies: PolicyHistory
) -> tuple[Decimal, str]:
    one, other = (Weighed(each.day, Fraction(each.nanograms, NANOGRAMS[unit])) for each in (last, point))
    figure = gain_per_day(one, other, unit=unit, policy=policies.on(point.day).policy)
    return figure.rounded(2), " ".join(caution.text for caution in figure.cautions)


def plot_of(points: Sequence[WeightPoint], beside: Mapping[date, Beside], unit: WeightUnit) -> Plot:
    """The animal's weights over time, against the middle half of its group on the same days where there is one."""
    days = [point.day for point in points]
    own = Series("This animal", [weight_in(point.nanograms, unit) for point in points])
    spreads = [one.spread if (one := beside.get(day)) else None for day in days]
    group = [
        Series("Upper quarter of its group", [one.upper if one else None for one in spreads], "high"),
        Series("Lower quarter of its group", [one.lower if one else None for one in spreads], "low"),
        Series("Middle of its group", [one.middle if one else None for one in spreads]),
    ]
    against = " against its group" if beside else ""
    says = f"Weights over time{against}, {len(points)} weighing{'s' if len(points) > 1 else ''}."
    series = [own, *group] if beside else [own]
    return Plot("weights", f"Weights over time{against}", says, days, series, unit.value, (), ())
