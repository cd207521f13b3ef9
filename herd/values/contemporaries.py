"""Contemporary groups, which once split are never joined again, and ratios inside them."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import Generic, TypeVar

from herd.values.classes import AnimalClass
from herd.values.figures import Amount, Figure, Part, exact, mean
from herd.values.policy import PUBLISHED, DayWindow, Policy
from herd.values.problems import Caution

A = TypeVar("A", bound=Hashable)
# Soft limits of a ratio, computed; no published ones.
_NEAR = 70, 130
SOURCE = "Beef Improvement Federation guidelines, Contemporary Groups"


@dataclass(frozen=True, slots=True)
class Kept:
    """How a calf was kept up to a weighing, in facts that set it apart; class as it was at the weighing.

    `rearing` tells single calves from twins, fostered and transplanted ones (from memory); `code` is any other
    treatment in a word of the outfit's own.
    """

    animal_class: AnimalClass
    weighed_on: date
    place: str = ""
    feed: str = ""
    code: str = ""
    rearing: str = "single"


@dataclass(frozen=True, slots=True)
class Stage(Generic[A]):
    """One weighing of many, with the ages it is meant for; None where any age will do."""

    name: str
    kept: Mapping[A, Kept]
    window: DayWindow | None = None


@dataclass(frozen=True, slots=True)
class ContemporaryGroup(Generic[A]):
    """Calves born close together and managed alike since; `is_in_window` tells whether ages fit every stage."""

    members: tuple[A, ...]
    born_from: date
    born_to: date
    last: Kept
    is_in_window: bool

    @property
    def is_single(self) -> bool:
        """Whether a calf stands alone, so that its ratio would be 100 whatever it weighs."""
        return len(self.members) == 1


def contemporary_groups(
    births: Mapping[A, date], stages: Sequence[Stage[A]], *, policy: Policy = PUBLISHED
) -> tuple[ContemporaryGroup[A], ...]:
    """The groups of those weighed at the last stage, by birth and then as they come.

    Two calves stand together if they were born in one span of `policy.birth_window` days and agree in every
    fact at every stage up to the last. The whole history counts, so a group once split stays split; one not
    weighed at an earlier stage stands apart from those that were. A span begins with the first birth outside
    the one before. Source: Beef Improvement Federation guidelines, "Contemporary Groups". Raises ValueError
    for a calf without a birth date or weighed before its birth.
    """
    if not stages:
        return ()
    spans = _birth_spans(births, stages[-1], policy.birth_window)
    found: dict[Hashable, list[A]] = {}
    for animal in sorted(spans, key=lambda one: births[one]):
        found.setdefault((spans[animal], _history(animal, births[animal], stages)), []).append(animal)
    return tuple(
        ContemporaryGroup(
            tuple(members),
            births[members[0]],
            births[members[-1]],
            stages[-1].kept[members[0]],
            all(_place(members[0], births[members[0]], stage) in {"inside", ""} for stage in stages),
        )
        for members in found.values()
    )


def ratios(
    values: Mapping[A, Amount], groups: Sequence[ContemporaryGroup[A]], *, what: str
) -> dict[A, Figure]:
    """Each animal's value as a share of its group's mean, times 100.

    Animals without a value are left out of the mean. A group of one has no ratio (it would be 100 whatever it
    weighs), nor has one whose mean isn't above zero. Source: Beef Improvement Federation guidelines; the two
    exceptions are computed.
    """
    found: dict[A, Figure] = {}
    for group in groups:
        have = {one: exact(values[one], what) for one in group.members if one in values}
        if len(have) < 2:
            continue
        middle = mean(list(have.values()))
        if middle > 0:
            found |= {one: _ratio(value, middle, len(have), what) for one, value in have.items()}
    return found


def _ratio(value: Fraction, middle: Fraction, head: int, what: str) -> Figure:
    ratio = value / middle * 100
    return Figure(
        ratio,
        "",
        f"{what} / mean {what} of the contemporary group x 100",
        (Part(what, value), Part(f"mean {what} of the group", middle), Part("head in the group", head)),
        SOURCE,
        _ratio_cautions(ratio),
    )


def _ratio_cautions(ratio: Fraction) -> tuple[Caution, ...]:
    if _NEAR[0] <= ratio <= _NEAR[1]:
        return ()
    return (Caution("far_from_group", "More than 30 per cent from the group's mean; look at the weighing again."),)


def _birth_spans(births: Mapping[A, date], stage: Stage[A], days: int) -> dict[A, date]:
    unborn = [one for one in stage.kept if one not in births]
    if unborn:
        raise ValueError(f"{len(unborn)} of those weighed have no birth date, so they have no group.")
    spans: dict[A, date] = {}
    start = date.min
    for animal in sorted(stage.kept, key=lambda one: births[one]):
        if not spans or births[animal] > start + timedelta(days=days):
            start = births[animal]
        spans[animal] = start
    return spans


def _history(animal: A, born: date, stages: Sequence[Stage[A]]) -> tuple[Hashable, ...]:
    return tuple((stage.kept.get(animal), _place(animal, born, stage)) for stage in stages)


def _place(animal: A, born: date, stage: Stage[A]) -> str:
    """Where the age lies in the stage's window; empty where the stage has none or didn't see the animal."""
    kept = stage.kept.get(animal)
    if kept is None:
        return ""
    days = (kept.weighed_on - born).days
    if days < 0:
        raise ValueError(f"A calf born on {born.isoformat()} was weighed before, for {stage.name}.")
    return stage.window.place_of(days) if stage.window else ""
