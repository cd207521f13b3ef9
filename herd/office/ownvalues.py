"""Says beside a report which of its values are the outfit's own."""

from collections.abc import Iterable

from herd.office.saying import say_day
from herd.reports.ownvalues import own_values
from herd.values.policyhistory import InForce

NONE_OWN = "Every value it reckons with is the published one."


def say_own(in_force: Iterable[InForce], names: Iterable[str]) -> str:
    """One sentence: the own values among these that were in force, each with its day; or that all are published."""
    said = [
        f"{one.label.lower()}: {one.value} since {say_day(one.since)}" for one in own_values(in_force, names)
    ]
    return f"The outfit’s own values: {'; '.join(said)}. The others are as published." if said else NONE_OWN
