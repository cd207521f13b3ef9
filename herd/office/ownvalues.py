"""Says beside a report which of its values are the outfit's own."""

from collections.abc import Iterable

from herd.office.saying import say_day
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

NONE_OWN = "Every value it reckons with is the published one."


def say_own(in_force: Iterable[InForce], names: Iterable[str]) -> str:
    """One sentence: the own values among these that were in force, each with its day; or that all are published."""
    wanted, said = list(names), []
    for one in in_force:
        for name, value in one.own(wanted).items():
            words = f"{POLICY_VALUES[name].label.lower()}: {say_value(name, value)} since {say_day(one.since[name])}"
            if words not in said:
                said.append(words)
    return f"The outfit’s own values: {'; '.join(said)}. The others are as published." if said else NONE_OWN
