"""Reports on breeding: who is due, the calving of a season, the rates of an exposure, kinship before turn-out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from rest_framework import serializers

from api.problems import unfit
from api.reports.declared import Asked, Period, Question, Report
from api.reports.shapes import Rows
from api.serializers.fields import DayField
from herd.reports.breeding import COUNTS, exposure_of, rates_of
from herd.reports.breedingkin import Mating, matings_of, of_group
from herd.reports.calving import AGAIN, ALL, FIRST, Noted, season_of
from herd.reports.calvinglate import GROUPS, females_by_word
from herd.reports.calvingspread import spread_of_season, start_rule
from herd.reports.due import DueCow, due_cows
from herd.reports.ownvalues import CALVING as CALVING_VALUES
from herd.reports.ownvalues import DUE as DUE_VALUES
from herd.reports.ownvalues import EXPOSED, OwnValue
from herd.values.calvingperiods import Period as CalvingPeriod
from herd.values.figures import Figure
from herd.values.mass import WeightUnit
from herd.values.policy import StartRule
from herd.values.reproduction import measures, weight_weaned_per_exposed

INTERVALS = "intervals"


class DueAsked(Question):
    """How many days ahead."""

    days = serializers.IntegerField(default=30, min_value=0, max_value=365)


@dataclass(frozen=True, slots=True)
class Due:
    """The cows on hand that are expected to calve up to a day, or are overdue; the earliest in front."""

    until: date
    overdue: int
    own: Sequence[OwnValue]
    rows: Rows
    cows: Sequence[DueCow]


def _due(asked: Asked) -> Due:
    until = asked.today + timedelta(days=asked.said["days"])
    cows = due_cows(asked.outfit, asked.today, until, asked.policies)
    overdue = sum(one.due.latest < asked.today for one in cows)
    return Due(until, overdue, asked.own(DUE_VALUES), *asked.some(cows))


class CalvingAsked(Period):
    """The season, which dams, from when its periods count (else as the outfit has set); `what` asks for animals."""

    who = serializers.ChoiceField((ALL, FIRST, AGAIN), default=ALL)
    rule = serializers.ChoiceField([str(one) for one in StartRule], required=False)
    bred = DayField(required=False)
    what = serializers.ChoiceField((INTERVALS, *GROUPS), required=False)


@dataclass(frozen=True, slots=True)
class CalvingSeason:
    """Calves by period of 21 days, the mean calving interval, females by the last word on each.

    `why_not` says why there are no periods.
    """

    first: date
    last: date
    dams: int
    starts_on: date | None
    why_not: str
    periods: Sequence[CalvingPeriod]
    interval: Figure | None
    females: Mapping[str, int]
    own: Sequence[OwnValue]
    rows: Rows
    animals: Sequence[Noted]


def _calving(asked: Asked) -> CalvingSeason:
    first, last = asked.days()
    every = season_of(asked.outfit, first, last)
    season, words = every.narrowed(asked.said["who"]), females_by_word(asked.outfit, every, asked.policies)
    policy, rule, bred = asked.policies.on(last).policy, asked.said.get("rule"), asked.said.get("bred")
    counted_from = start_rule(policy, StartRule(rule) if rule else None, bred)
    spread, why_not = spread_of_season(season, replace(policy, calving_start=counted_from), bred)
    what = asked.said.get("what")
    noted = season.intervals(policy) if what == INTERVALS else words[what] if what else []
    return CalvingSeason(
        first,
        last,
        len(season.dams),
        spread.start.day if spread else None,
        why_not,
        spread.periods if spread else (),
        season.interval(policy),
        {name: len(some) for name, some in words.items()},
        asked.own((*CALVING_VALUES, *DUE_VALUES)),
        *asked.some(noted),
    )


class BreedingAsked(Question):
    """When the bulls were in, both days included, with which group, up to when; `what` asks for a count's animals."""

    bulls_in = DayField()
    bulls_out = DayField()
    until = DayField(required=False)
    group = serializers.UUIDField(required=False)
    what = serializers.ChoiceField(tuple(COUNTS), required=False)


@dataclass(frozen=True, slots=True)
class Breeding:
    """Counts from the females exposed to the calves weaned, and the rates that they make."""

    bulls_in: date
    bulls_out: date
    until: date
    counts: Mapping[str, int]
    rates: Mapping[str, Figure]
    remarks: Sequence[str]
    own: Sequence[OwnValue]
    rows: Rows
    animals: Sequence[Noted]


def _breeding(asked: Asked) -> Breeding:
    bulls_in, until, group = asked.day("bulls_in"), asked.day("until"), asked.group("group")
    bulls_out: date = asked.said["bulls_out"]
    if not bulls_in <= bulls_out <= bulls_in + timedelta(days=730):
        raise unfit("bulls_out", "The bulls come out after they went in, within two years.")
    if until < bulls_in:
        raise unfit("until", "That is before the bulls went in.")
    exposure = exposure_of(asked.policies, bulls_in, bulls_out, until, group.pk if group else None)
    rates = rates_of(asked.outfit, exposure)
    made: dict[str, Figure] = {}
    if rates.cohort is not None:
        made = measures(rates.cohort)
        weight = weight_weaned_per_exposed(rates.cohort, unit=WeightUnit(asked.outfit.weight_unit))
        made |= {"weight_weaned_per_exposed": weight} if weight else {}
    counts = {name: rates.many(name) for name in COUNTS}
    what = asked.said.get("what")
    noted = rates.behind[what] if what else []
    own = asked.own(EXPOSED)
    return Breeding(bulls_in, bulls_out, until, counts, made, rates.remarks, own, *asked.some(noted))


class KinAsked(Question):
    """A group that holds bulls, and one that holds females."""

    bulls = serializers.UUIDField()
    females = serializers.UUIDField()


@dataclass(frozen=True, slots=True)
class Kin:
    """Every pair of bull and female, the most inbred calf first."""

    rows: Rows
    pairs: Sequence[Mating]


def _kin(asked: Asked) -> Kin:
    bulls, females = asked.group("bulls"), asked.group("females")
    ids = [
        of_group(asked.outfit, group.pk, classes) if group else []
        for group, classes in ((bulls, ("bull",)), (females, ("cow", "heifer")))
    ]
    try:
        return Kin(*asked.some(matings_of(asked.outfit, *ids)))
    except ValueError as why:
        raise unfit("females", str(why)) from why


DUE = Report("due", "Which cows calve in the next days, and which are overdue?", DueAsked, Due, _due)
CALVING = Report(
    "calving", "When did the calves come, how far apart, and who has none?", CalvingAsked, CalvingSeason, _calving
)
BREEDING = Report(
    "breeding",
    "Of the females exposed, how many were bred, calved and weaned, and how much weight?",
    BreedingAsked,
    Breeding,
    _breeding,
)
KIN = Report("kin", "Which bull is too close kin to which female?", KinAsked, Kin, _kin)
