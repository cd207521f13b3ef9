"""Which of the values that a report reckons with are the outfit's own."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from herd.values.policyhistory import InForce
from herd.values.policyvalues import POLICY_VALUES, say_value

GAIN = ("fill_caution",)
ADJUSTED = (
    "weaning_window", "yearling_window", "dam_ages", "adjusts_without_dam_age", "standard_birth_weight", "birth_window",
)  # fmt: skip
MEASURED = ("frame_window", "scrotal_window", "scrotal_factors", "birth_window")
DUE = ("gestation", "gestation_by_breed", "gestation_spread")
CALVING = (
    "calving_start", "calving_start_after", "calving_period", "calving_periods", "first_period_goal",
    "mature_cow_years", "calving_interval_limits", "shortest_calving_interval",
)  # fmt: skip
EXPOSED = ("gestation_limits",)


@dataclass(frozen=True, slots=True)
class OwnValue:
    """A value of the policy that is the outfit's own: its name, what it is, itself in words, and since when."""

    name: str
    label: str
    value: str
    since: date


def own_values(in_force: Iterable[InForce], names: Iterable[str]) -> list[OwnValue]:
    """The own ones among these values, of every policy that was in force; each told once."""
    wanted = list(names)
    found: dict[OwnValue, None] = {}
    for one in in_force:
        for name, value in one.own(wanted).items():
            own = OwnValue(name, POLICY_VALUES[name].label, say_value(name, value), one.since[name])
            found[own] = None
    return list(found)
