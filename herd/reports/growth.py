"""Gain between two days: of each animal from its first to its last weight, and of all with the dead in and out."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, Event, GroupMembership
from herd.registry.queries.policies import policies_of
from herd.values.figures import Figure, Part, mean
from herd.values.growth import Weighed, gain_per_day, weight_per_day_of_age
from herd.values.headdays import Stint, gain_deads_in, gain_deads_out
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.policyhistory import PolicyHistory
from herd.values.problems import Caution

NOT_WEIGHED = "Not weighed in this time."
ONE_DAY = "Weighed on one day only, so there is no gain between two."


@dataclass(frozen=True, slots=True)
class Stretch:
    """The days in which an animal's weights count, both included."""

    since: date
    until: date


@dataclass(frozen=True, slots=True)
class GainLine:
    """One animal's gain; without one `reason` says why. The dead have a day of death, and count with the dead in."""

    animal_id: UUID
    first: Weighed | None = None
    last: Weighed | None = None
    per_day: Figure | None = None
    per_day_of_age: Figure | None = None
    died_on: date | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class GroupGain:
    """The gain of many: a line for each, the best in front, and what they make together; None where nothing can be."""

    lines: Sequence[GainLine]
    mean: Figure | None
    deads_in: Figure | None
    deads_out: Figure | None

    @property
    def gained(self) -> int:
        """How many have a gain and lived."""
        return sum(one.per_day is not None and one.died_on is None for one in self.lines)

    @property
    def died(self) -> int:
        """How many died in the time."""
        return sum(one.died_on is not None for one in self.lines)

    @property
    def left_out(self) -> int:
        """How many stand in no figure of the group."""
        return sum(bool(one.reason) for one in self.lines)


def stretches_of(outfit: Outfit, group_id: UUID, first: date, last: date) -> dict[UUID, Stretch]:
    """Who ran in a group between two days, and from when to when; the day of leaving counts, for one weighs out on it.

    Who left and came again counts from the first coming to the last going.
    """
    rows = GroupMembership.objects.of(outfit).filter(Q(left_on=None) | Q(left_on__gt=first), group=group_id)
    rows = rows.filter(joined_on__lte=last, animal__is_void=False).order_by("animal", "joined_on")
    found: dict[UUID, Stretch] = {}
    for key, joined, left in rows.values_list("animal_id", "joined_on", "left_on"):
        one = Stretch(max(joined, first), min(left or last, last))
        before = found.get(key, one)
        found[key] = Stretch(min(before.since, one.since), max(before.until, one.until))
    return found


def gain_of(outfit: Outfit, stretches: Mapping[UUID, Stretch], policies: PolicyHistory | None = None) -> GroupGain:
    """The gain of each animal in its days, in the outfit's unit, in three queries for eight hundred head.

    `policies` are the outfit's own values, asked for where they aren't given; those of the last weighing count.
    """
    policies = policies or policies_of(outfit)
    unit = WeightUnit(outfit.weight_unit)
    lines: list[GainLine] = []
    for ids in in_steps(stretches):
        some = {key: stretches[key] for key in ids}
        deaths, births = _deaths(outfit, some), _births(outfit, ids)
        weighed = _weighed(outfit, some, deaths, unit)
        lines += [_line(key, weighed.get(key, []), births.get(key), deaths.get(key), unit) for key in ids]
    lines = [_with_gain(one, unit, policies) for one in lines]
    stints = [stint for stint in map(_stint, lines) if stint]
    if all(stint.has_died for stint in stints):
        # Of dead alone nothing but their weight in would be said, as a loss of the group.
        stints = []
    return GroupGain(
        sorted(lines, key=_best_in_front),
        _mean_gain(lines, unit),
        _or_none(gain_deads_in, stints, unit),
        _or_none(gain_deads_out, stints, unit),
    )


def _deaths(outfit: Outfit, stretches: Mapping[UUID, Stretch]) -> dict[UUID, date]:
    rows: Any = _events(outfit, stretches, "death").values_list("animal_id", "happened_on")
    return {key: on for key, on in rows if stretches[key].since <= on <= stretches[key].until}


def _births(outfit: Outfit, ids: Sequence[UUID]) -> dict[UUID, date]:
    # An age in days asks for a day of birth; a month is too coarse.
    rows = Animal.objects.of(outfit).filter(pk__in=ids, born_precision="day", born_on__isnull=False)
    known: Any = rows.values_list("pk", "born_on")
    return dict(known)


def _weighed(
    outfit: Outfit, stretches: Mapping[UUID, Stretch], deaths: Mapping[UUID, date], unit: WeightUnit
) -> dict[UUID, list[Weighed]]:
    found: dict[UUID, list[Weighed]] = {}
    rows = _events(outfit, stretches, "weight").filter(weight_ng__gt=0)
    columns: Any = rows.values_list("animal_id", "happened_on", "weight_ng")
    for key, on, nanograms in columns:
        if stretches[key].since <= on <= min(stretches[key].until, deaths.get(key, date.max)):
            found.setdefault(key, []).append(Weighed(on, Fraction(nanograms, NANOGRAMS[unit])))
    return found


def _events(outfit: Outfit, stretches: Mapping[UUID, Stretch], kind: str) -> QuerySet[Event]:
    span = min(one.since for one in stretches.values()), max(one.until for one in stretches.values())
    rows = Event.objects.of(outfit).filter(animal__in=list(stretches), kind=kind, happened_on__range=span)
    found: QuerySet[Event] = rows.order_by("happened_on", "id")
    return found


def _line(
    key: UUID, weighed: Sequence[Weighed], born: date | None, died: date | None, unit: WeightUnit
) -> GainLine:
    if not weighed:
        return GainLine(key, died_on=died, reason=NOT_WEIGHED)
    first, last = weighed[0], weighed[-1]
    age = (last.day - born).days if born else 0
    by_age = weight_per_day_of_age(last.weight, age, unit=unit) if age > 0 else None
    line = GainLine(key, first, last, None, by_age, died)
    return replace(line, reason=ONE_DAY) if first.day == last.day and not died else line


def _with_gain(line: GainLine, unit: WeightUnit, policies: PolicyHistory) -> GainLine:
    first, last = line.first, line.last
    if first is None or last is None or first.day == last.day:
        return line
    return replace(line, per_day=gain_per_day(first, last, unit=unit, policy=policies.on(last.day).policy))


def _stint(line: GainLine) -> Stint | None:
    """The head-days of a line: from the weight in to the weight out, or to the death."""
    if line.reason or line.first is None or line.last is None:
        return None
    if line.died_on:
        return Stint(line.first.day, line.died_on, line.first.weight, has_died=True)
    return Stint(line.first.day, line.last.day, line.first.weight, line.last.weight)


def _mean_gain(lines: Iterable[GainLine], unit: WeightUnit) -> Figure | None:
    """The plain mean of those that lived, each head alike however many days it was fed."""
    gains = [one.per_day for one in lines if one.per_day and one.died_on is None]
    if not gains:
        return None
    short = sum(bool(one.cautions) for one in gains)
    total = sum((one.value for one in gains), Fraction(0))
    reason = f"{short} of {len(gains)} gains lie over a span so short that fill alone can make or hide them."
    return Figure(
        mean([one.value for one in gains]),
        f"{unit} a day",
        "sum of the daily gains / head with a gain",
        (Part("sum of the daily gains", total, unit), Part("head", len(gains))),
        "Beef Improvement Federation guidelines, Average daily gain",
        (Caution("short_span", reason),) if short else (),
    )


def _or_none(make: Callable[..., Figure], stints: Sequence[Stint], unit: WeightUnit) -> Figure | None:
    try:
        return make(stints, unit=unit)
    except ValueError:
        # Nobody was fed for a day, so there is nothing to divide by.
        return None


def _best_in_front(line: GainLine) -> tuple[bool, bool, Fraction, UUID]:
    gain = line.per_day.value if line.per_day else Fraction(0)
    return bool(line.reason), line.died_on is not None, -gain, line.animal_id
