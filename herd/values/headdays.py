"""Head-days of a group and its gain, with the dead counted in and with the dead left out."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from herd.values.figures import Amount, Figure, Part, positive
from herd.values.mass import WeightUnit
from herd.values.problems import Caution

_MEMORY = "from memory; no published definition was found"


@dataclass(frozen=True, slots=True)
class Stint:
    """One animal's time in a group, from the day in to the day out, weights in the group's unit.

    The day in counts and the day out doesn't. The dead have no weight out. Raises ValueError for a day out
    before the day in.
    """

    came_on: date
    left_on: date
    weight_in: Amount | None = None
    weight_out: Amount | None = None
    has_died: bool = False

    def __post_init__(self) -> None:
        if self.left_on < self.came_on:
            raise ValueError(f"Nobody leaves on {self.left_on.isoformat()} who came on {self.came_on.isoformat()}.")

    @property
    def days(self) -> int:
        """Days present."""
        return (self.left_on - self.came_on).days

    def is_present(self, day: date) -> bool:
        """Whether the animal is counted on a day."""
        return self.came_on <= day < self.left_on


def head_days(stints: Iterable[Stint]) -> int:
    """The sum of days present, which is the sum of daily head counts. Computed, no published definition."""
    return sum(stint.days for stint in stints)


def mean_head(stints: Sequence[Stint], first: date, last: date) -> Fraction:
    """Head on an average day from `first` to `last`, both counted; raises ValueError for days backwards."""
    days = (last - first).days + 1
    if days <= 0:
        raise ValueError("The last day lies before the first.")
    present = sum(
        max(0, min((stint.left_on - first).days, days) - max((stint.came_on - first).days, 0)) for stint in stints
    )
    return Fraction(present, days)


def gain_deads_in(stints: Sequence[Stint], *, unit: WeightUnit = WeightUnit.LB) -> Figure:
    """Gain a head and day with the dead in: their weight in and their days count, and they weigh nothing out.

    From memory, no published definition. Raises ValueError without head-days or where a weight is missing.
    """
    survivors = [stint for stint in stints if not stint.has_died]
    came, left = _weights_in(stints), _weights_out(survivors)
    formula = "(weight out - weight in, with the dead) / head-days, with the dead"
    return _gain(came, left, head_days(stints), formula=formula, dead=len(stints) - len(survivors), unit=unit)


def gain_deads_out(stints: Sequence[Stint], *, unit: WeightUnit = WeightUnit.LB) -> Figure:
    """Gain a head and day of those that lived: the dead's weight in and days are left out.

    From memory, no published definition. Raises ValueError without head-days or where a weight is missing.
    """
    living = [stint for stint in stints if not stint.has_died]
    formula = "(weight out - weight in) / head-days, of those that lived"
    dead = len(stints) - len(living)
    return _gain(_weights_in(living), _weights_out(living), head_days(living), formula=formula, dead=dead, unit=unit)


def _weights_in(stints: Sequence[Stint]) -> Fraction:
    return _total([stint.weight_in for stint in stints], "in")


def _weights_out(stints: Sequence[Stint]) -> Fraction:
    return _total([stint.weight_out for stint in stints], "out")


def _total(weights: Sequence[Amount | None], way: str) -> Fraction:
    missing = sum(weight is None for weight in weights)
    if missing:
        raise ValueError(f"{missing} head have no weight {way}, so the group's gain isn't known.")
    return sum((positive(weight, f"The weight {way}") for weight in weights if weight is not None), Fraction(0))


def _gain(came: Fraction, left: Fraction, days: int, *, formula: str, dead: int, unit: WeightUnit) -> Figure:
    if not days:
        raise ValueError("The group has no head-days, so it has no daily gain.")
    parts = (
        Part("weight in", came, unit),
        Part("weight out", left, unit),
        Part("head-days", days),
        Part("died", dead, "head"),
    )
    reason = "Gains with the dead in and with the dead out differ; compare like with like."
    cautions = (Caution("says_which", reason),) if dead else ()
    return Figure((left - came) / days, f"{unit} a head and day", formula, parts, _MEMORY, cautions)
