"""What is known of each calf before its weights are adjusted: birth, dam, weights, and how it was kept."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.fields.json import KT

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, Event, Group, Location
from herd.registry.queries.groupplaces import GroupPlaces, group_places
from herd.registry.queries.lives import Life, lives_of
from herd.values.ageadjust import WEANING_AGE, YEARLING_AGE
from herd.values.classes import AnimalClass
from herd.values.contemporaries import Kept
from herd.values.life import Standing
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.policy import DayWindow
from herd.values.policyhistory import PolicyHistory

COLUMNS = ("happened_on", "weight_ng", "purpose")
DAM = ("dam_id", "dam__born_on", "dam__born_precision")
# A year of birth alone is too coarse: it could put the dam into another row of the table.
DAM_KNOWN = ("day", "month")
BIRTH, WEANING, YEARLING = "birth", "weaning", "yearling"


@dataclass(frozen=True, slots=True)
class StageWeight:
    """A weight of a stage with the age on its day; `by_age` where nobody named its purpose and the age did."""

    day: date
    weight: Fraction
    age_days: int
    by_age: bool = False


@dataclass(frozen=True, slots=True)
class Calf:
    """A calf as the record has it. `born_on` is None unless the day is known; `dam_months` at the calf's birth."""

    id: UUID
    born_on: date | None
    dam_id: UUID | None
    dam_months: int | None
    weights: Mapping[str, StageWeight]
    kept: Mapping[str, Kept]


def calves_of(outfit: Outfit, first: date, last: date, policies: PolicyHistory) -> list[Calf]:
    """The calves born between two days, and those without a birth date that were weighed as weaned since the first.

    Four queries for some hundred calves, beside four for groups, locations and their moves.
    """
    rows = _born_or_weaned(outfit, first, last).order_by("born_on", "pk")
    facts = list(rows.values_list("pk", "born_on", "born_precision", *DAM))
    twins = Counter((dam, born) for _, born, _, dam, *_ in facts if dam)
    places, names, calves = group_places(outfit), names_of_places(outfit), []
    for some in in_steps(facts):
        births = {key: born for key, born, precision, *_ in some if born and precision == "day"}
        weights = _weights(outfit, [key for key, *_ in some], births, policies)
        lives = {life.id: life for life in lives_of(outfit, [key for key in weights if key in births])}
        for key, born, _, dam, dam_born, dam_precision in some:
            day = births.get(key)
            months = _months(dam_born, day) if dam_born and dam_precision in DAM_KNOWN and day else None
            stood = _standings(lives[key], weights[key], places) if key in lives else {}
            rearing = "twin" if twins[dam, born] > 1 else "single"
            kept = {stage: _kept(*how, names, rearing) for stage, how in stood.items()}
            calves.append(Calf(key, day, dam, months, weights.get(key, {}), kept))
    return calves


def _born_or_weaned(outfit: Outfit, first: date, last: date) -> QuerySet[Animal]:
    mine = {"animal": OuterRef("pk"), "is_void": False, "kind": "weight"}
    weaned = Event.objects.filter(**mine, happened_on__gte=first, data__purpose__in=[WEANING, YEARLING])
    undated = Q(born_on=None) & Q(Exists(weaned))
    found: QuerySet[Animal] = Animal.objects.of(outfit).filter(Q(born_on__range=(first, last)) | undated)
    return found


def _months(dam_born: date, day: date) -> int | None:
    """Completed months of the dam on a day; None where she would be younger than her calf."""
    months = (day.year - dam_born.year) * 12 + day.month - dam_born.month - (day.day < dam_born.day)
    return months if months >= 0 else None


def _weights(
    outfit: Outfit, ids: Sequence[UUID], births: Mapping[UUID, date], policies: PolicyHistory
) -> dict[UUID, dict[str, StageWeight]]:
    unit = NANOGRAMS[WeightUnit(outfit.weight_unit)]
    dated = {"kind": "weight", "weight_ng__gt": 0, "happened_on__isnull": False}
    rows = Event.objects.of(outfit).filter(animal__in=list(ids), **dated).order_by("happened_on", "id")
    # The purpose alone: to read the whole data of each weight takes longer than all else here.
    columns: Any = rows.annotate(purpose=KT("data__purpose")).values_list("animal_id", *COLUMNS)
    said: dict[UUID, list[tuple[str, StageWeight]]] = {}
    for key, on, nanograms, purpose in columns:
        age = (on - births[key]).days if key in births else 0
        one = StageWeight(on, Fraction(nanograms, unit), age)
        said.setdefault(key, []).append((purpose or "", one))
    return {key: _stages(some, policies) for key, some in said.items()}


def _stages(said: Sequence[tuple[str, StageWeight]], policies: PolicyHistory) -> dict[str, StageWeight]:
    """The weight of each stage: the first one entered for it, else the unnamed one nearest its age in its window.

    The window is the one in force on the day of the weighing.
    """
    found: dict[str, StageWeight] = {}
    for purpose, one in said:
        if purpose in {BIRTH, WEANING, YEARLING}:
            found.setdefault(purpose, one)
    unnamed = [one for purpose, one in said if not purpose]
    for stage, age in ((WEANING, WEANING_AGE), (YEARLING, YEARLING_AGE)):
        inside = [one for one in unnamed if one.age_days in window_of(stage, one.day, policies)]
        near = min(inside, key=lambda one: abs(one.age_days - age), default=None)
        if stage not in found and near:
            found[stage] = StageWeight(near.day, near.weight, near.age_days, by_age=True)
    return found


def window_of(stage: str, day: date, policies: PolicyHistory) -> DayWindow:
    """The ages at which a weight of weaning or yearling that was taken on a day is adjusted."""
    policy = policies.on(day).policy
    return policy.weaning_window if stage == WEANING else policy.yearling_window


def _standings(
    life: Life, weights: Mapping[str, StageWeight], places: GroupPlaces
) -> dict[str, tuple[date, Standing]]:
    """How the calf stood on the eve of its weighings, for many are moved or cut on the day; only with a class."""
    found = {}
    for stage in (WEANING, YEARLING):
        day = weights[stage].day if stage in weights else None
        standing = (life.on(day - timedelta(days=1), places) or life.on(day, places)) if day else None
        if day and standing and standing.animal_class:
            found[stage] = day, standing
    return found


def _kept(day: date, standing: Standing, names: Mapping[UUID | None, str], rearing: str) -> Kept:
    where = (names[one] for one in (standing.group, standing.place) if one in names)
    return Kept(AnimalClass(standing.animal_class), day, ", ".join(where), rearing=rearing)


def names_of_places(outfit: Outfit) -> dict[UUID | None, str]:
    """What groups and locations are called, which no two of an outfit share."""
    found: dict[UUID | None, str] = {}
    for rows in (Group.objects.of(outfit), Location.objects.of(outfit)):
        found.update(rows.values_list("pk", "name"))
    return found
