"""Days between a cow's calvings, of one cow and of a herd."""

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import pairwise

from herd.values.figures import Figure, Part, exact, mean
from herd.values.policy import PUBLISHED, Policy
from herd.values.problems import Caution

SOURCE = "Clemson Extension BC-1001"


def calving_interval(earlier: date, later: date, *, policy: Policy = PUBLISHED) -> Figure:
    """Days from one calving to the next, with cautions where a record may be wrong or missing.

    Twins are one calving. Source: Clemson Extension BC-1001; limits as the policy names them. Raises
    ValueError when the later calving isn't later.
    """
    days = (later - earlier).days
    if days <= 0:
        raise ValueError("The later calving has to be later; twins are one calving.")
    parts = (Part("days between", days, "days"),)
    return Figure(exact(days), "days", "later calving - earlier calving", parts, SOURCE, _cautions(days, policy))


def herd_calving_interval(calvings: Iterable[Sequence[date]], *, policy: Policy = PUBLISHED) -> Figure:
    """The mean of the last interval of every cow with two calvings or more, each cow's days in any order.

    Cows with one calving have no interval and don't count. Raises ValueError where no cow has two.
    """
    ordered = [sorted(set(days)) for days in calvings]
    last = [calving_interval(*days[-2:], policy=policy) for days in ordered if len(days) > 1]
    if not last:
        raise ValueError("No cow has calved twice yet, so there is no calving interval.")
    doubtful = sum(bool(figure.cautions) for figure in last)
    cautions = (
        (Caution("doubtful_intervals", f"{doubtful} of the intervals look wrong; see those cows first."),)
        if doubtful
        else ()
    )
    value = mean([figure.value for figure in last])
    parts = (Part("cows with two calvings or more", len(last)),)
    return Figure(value, "days", "mean of each cow's last interval", parts, SOURCE, cautions)


def intervals_of(calvings: Sequence[date], *, policy: Policy = PUBLISHED) -> tuple[Figure, ...]:
    """All intervals of one cow, oldest first; empty for fewer than two calvings."""
    return tuple(calving_interval(*pair, policy=policy) for pair in pairwise(sorted(set(calvings))))


def _cautions(days: int, policy: Policy) -> tuple[Caution, ...]:
    limits = policy.calving_interval_limits
    if days < policy.shortest_calving_interval:
        return (Caution("impossible", f"{days} days is less than a pregnancy takes; one of the days is wrong."),)
    if days < limits.first:
        return (Caution("short", f"{days} days is very short; look at both days."),)
    if days > limits.last:
        return (Caution("long", f"{days} days is long; a calving between may not have been written down."),)
    return ()
