"""Reports on what is to be seen to: groups and tags that nobody looked at for long, and journeys before they begin."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from rest_framework import serializers

from api.problems import unfit
from api.reading import plausible_day
from api.reports.declared import Asked, Question, Report
from api.reports.shapes import Rows
from api.serializers.fields import DayField
from herd.registry.queries.headcount import members_on
from herd.reports.journeys import Level, Number, Plan, Verdict, judge
from herd.reports.neglect import missing_long, not_counted, not_weighed, running_out
from herd.values.movementrules import Journey, Need

FURTHEST = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class LookedAt:
    """A group with head in it, and when it was last looked at; null where it never was."""

    group: UUID
    name: str
    head: int
    last: date | None


@dataclass(frozen=True, slots=True)
class FewTags:
    """A kind of tag of which few numbers are left, and its newest box."""

    box: UUID
    kind: str
    colour: str
    issuer_year: int
    free: int


@dataclass(frozen=True, slots=True)
class Neglect:
    """What nobody looked at for long."""

    not_counted: Sequence[LookedAt]
    not_weighed: Sequence[LookedAt]
    missing_long: int
    few_tags: Sequence[FewTags]


def _neglect(asked: Asked) -> Neglect:
    counted, weighed = (
        [LookedAt(one.group.pk, one.group.name, one.head, one.last) for one in ask(asked.outfit, asked.today)]
        for ask in (not_counted, not_weighed)
    )
    tags = [
        FewTags(one.box.pk, one.box.kind, one.box.colour, one.box.issuer_year, one.free)
        for one in running_out(asked.outfit, asked.today)
    ]
    return Neglect(counted, weighed, missing_long(asked.outfit, asked.today), tags)


class JourneyAsked(Question):
    """A group, what for and on which day it goes, whether over a state line, whether all are dairy cattle."""

    group = serializers.UUIDField()
    journey = serializers.ChoiceField([str(one) for one in Journey], default=str(Journey.ORDINARY))
    on = DayField(required=False)
    crosses_states = serializers.BooleanField(default=True)
    all_dairy = serializers.BooleanField(default=False)


@dataclass(frozen=True, slots=True)
class Judged:
    """One animal of a journey: how it stands, why it needs official identification, and what was found."""

    animal: UUID
    level: Level
    need: Need | None
    numbers: Sequence[Number]
    stops: Sequence[str]
    looks: Sequence[str]


@dataclass(frozen=True, slots=True)
class Going:
    """How many are ready, want a look or are stopped, and each animal."""

    on: date
    ready: int
    looks: int
    stops: int
    rows: Rows
    animals: Sequence[Judged]


def _journey(asked: Asked) -> Going:
    group, on = asked.group("group"), asked.said.get("on") or asked.today
    if group is None:
        raise unfit("group", "Name a group.")
    if plausible_day(on, "on") > asked.today + FURTHEST:
        raise unfit("on", "That day lies more than a year ahead.")
    plan = Plan(Journey(asked.said["journey"]), on, asked.said["crosses_states"], asked.said["all_dairy"])
    verdicts = list(judge(asked.outfit, members_on(asked.outfit, group.pk, on), plan))
    levels = [one.level for one in verdicts]
    rows, some = asked.some(verdicts)
    ready, looks, stops = (levels.count(one) for one in (Level.READY, Level.LOOK, Level.STOP))
    return Going(on, ready, looks, stops, rows, [_judged(one) for one in some])


def _judged(one: Verdict) -> Judged:
    return Judged(one.animal.pk, one.level, one.need, one.numbers, one.stops, one.looks)


NEGLECT = Report("neglect", "What did nobody look at for long?", Question, Neglect, _neglect)
JOURNEY = Report(
    "journey",
    "Which animals of a group can go where, and what is still in the way?",
    JourneyAsked,
    Going,
    _journey,
    "The rule is 9 CFR 86 as far as the record can say; states, tribes and markets ask for more. Ask the veterinarian.",
)
