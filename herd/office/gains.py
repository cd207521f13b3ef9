"""Weighings of one animal with the gain between them, for the table and the plot."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any
from uuid import UUID

from herd.office.saying import say_weighed, weight_in
from herd.registry.queries.history import WeightPoint
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

    @property
    def is_short(self) -> bool:
        """Whether the span since the last weighing says little because of fill."""
        return self.days is not None and self.days < SHORT_SPAN_DAYS


def gains_of(points: Sequence[WeightPoint], unit: WeightUnit) -> list[Weighing]:
    """Return the weighings oldest first, each with the gain per day since the one before."""
    found = []
    last: WeightPoint | None = None
    for point in points:
        days = (point.day - last.day).days if last else None
        gain = _gain(last, point, days, unit) if last and days else None
        purpose = str(point.event.data.get("purpose", "")).replace("other", "")
        found.append(Weighing(point.event.pk, point.day, say_weighed(point.event, unit), purpose, days, gain))
        last = point
    return found


def _gain(last: WeightPoint, point: WeightPoint, days: int, unit: WeightUnit) -> Decimal:
    per_day = Decimal(point.nanograms - last.nanograms) / Decimal(NANOGRAMS[unit]) / days
    return per_day.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def plot_of(points: Sequence[WeightPoint], unit: WeightUnit) -> dict[str, Any]:
    """Return what the plot draws: seconds since 1970 at noon of each day, and weights in the unit."""
    return {
        "unit": unit.value,
        "seconds": [(point.day - date(1970, 1, 1)).days * 86_400 + 43_200 for point in points],
        "weights": [float(weight_in(point.nanograms, unit)) for point in points],
    }
