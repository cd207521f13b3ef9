"""Weighings of one animal with the gain between them, for the table and the plot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from uuid import UUID

from herd.office.plots import Plot, Series
from herd.office.saying import say_weighed, weight_in
from herd.registry.queries.history import WeightPoint
from herd.reports.companions import Beside
from herd.values.figures import round_half_up
from herd.values.mass import NANOGRAMS, WeightUnit

# Below this the fill of the gut alone can make or hide the gain (Watson et al. 2013, J. Anim. Sci. 91:5507).
SHORT_SPAN_DAYS = 60


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weighing. `gain` is per day since the last, in the outfit's unit; None where no day has passed."""

    event_id: UUID
    day: date
    words: str
    purpose: str
    days: int | None
    gain: Decimal | None
    beside: Beside | None = None

    @property
    def group_figures(self) -> list[Decimal]:
        """The middle, the lower and the upper quarter of its group that day, to tenths; empty where there is none."""
        spread = self.beside.spread if self.beside else None
        return [round_half_up(one, 1) for one in (spread.middle, spread.lower, spread.upper)] if spread else []

    @property
    def is_short(self) -> bool:
        """Whether the span since the last weighing says little because of fill."""
        return self.days is not None and self.days < SHORT_SPAN_DAYS


def gains_of(
    points: Sequence[WeightPoint], unit: WeightUnit, beside: Mapping[date, Beside] | None = None
) -> list[Weighing]:
    """Return the weighings oldest first, each with the gain per day since the one before, and its group that day."""
    found = []
    last: WeightPoint | None = None
    for point in points:
        days = (point.day - last.day).days if last else None
        gain = _gain(last, point, days, unit) if last and days else None
        purpose = str(point.event.data.get("purpose", "")).replace("other", "")
        group = (beside or {}).get(point.day)
        words = say_weighed(point.event, unit)
        found.append(Weighing(point.event.pk, point.day, words, purpose, days, gain, group))
        last = point
    return found


def _gain(last: WeightPoint, point: WeightPoint, days: int, unit: WeightUnit) -> Decimal:
    per_day = Decimal(point.nanograms - last.nanograms) / Decimal(NANOGRAMS[unit]) / days
    return per_day.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


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
