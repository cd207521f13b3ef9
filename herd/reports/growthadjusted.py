"""Birth, weaning and yearling weights adjusted for age and dam, ratios in contemporary groups, means of dams."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.queries.policies import policies_of
from herd.reports.growthcalves import BIRTH, WEANING, YEARLING, Calf, calves_of
from herd.values.ageadjust import Weaned, adjusted_birth_weight, adjusted_weaning_weight, adjusted_yearling_weight
from herd.values.contemporaries import ContemporaryGroup, Kept, Stage, contemporary_groups, ratios
from herd.values.figures import Figure, exact, mean
from herd.values.mass import KG_PER_LB, WeightUnit
from herd.values.policy import Policy
from herd.values.policyhistory import PolicyHistory

NO_BIRTH = "The day of birth isn't known, so there is no age to adjust for."
NO_DAM = "No dam is entered, so her age can't be taken in."
NO_DAM_AGE = "The dam's day of birth isn't known, so her age can't be taken in."
NO_SEX = "Its class isn't known, and the addition for the dam's age goes by sex."
NO_AGE_CODE = "dam’s age not known"
NO_WEANING = "No weaning weight is entered, nor any weight at that age."


@dataclass(slots=True)
class CalfLine:
    """One calf: a figure for each stage that can be adjusted, its ratios, and in words why one can't."""

    calf: Calf
    figures: dict[str, Figure] = field(default_factory=dict)
    ratios: dict[str, Figure] = field(default_factory=dict)
    reason: str = ""


@dataclass(frozen=True, slots=True)
class GroupLine:
    """A contemporary group of a stage, and the mean of its adjusted weights."""

    stage: str
    group: ContemporaryGroup[UUID]
    mean: Fraction


@dataclass(frozen=True, slots=True)
class DamLine:
    """A dam: how many of her calves have an adjusted weaning weight, their mean, and the mean of their ratios."""

    dam_id: UUID
    calves: int
    mean: Fraction
    ratio: Fraction | None


@dataclass(frozen=True, slots=True)
class CalfCrop:
    """The calves of a time: those adjusted in front, the heaviest first; and their groups."""

    lines: Sequence[CalfLine]
    groups: Sequence[GroupLine]

    def adjusted(self, stage: str) -> int:
        """How many have an adjusted weight of a stage."""
        return sum(stage in one.figures for one in self.lines)

    def dams(self) -> list[DamLine]:
        """The dams of those adjusted at weaning, the best ratio first."""
        calves: dict[UUID, list[CalfLine]] = {}
        for line in self.lines:
            if line.calf.dam_id and WEANING in line.figures:
                calves.setdefault(line.calf.dam_id, []).append(line)
        return sorted((_dam(key, some) for key, some in calves.items()), key=_best_in_front)


PolicyOn = Callable[[date], Policy]


def calf_crop(
    outfit: Outfit, first: date, last: date, standard: Decimal | None = None, policies: PolicyHistory | None = None
) -> CalfCrop:
    """Adjust the weights of the calves born between two days, in the outfit's unit.

    `standard` is the birth weight taken for calves not weighed at birth, in the outfit's unit; without it the
    outfit's own one counts, and where there is none these have no adjusted weight. Factors and windows are those
    in force on the day of each weighing; `policies` are asked for where they aren't given.
    """
    unit, policies = WeightUnit(outfit.weight_unit), policies or policies_of(outfit)
    pounds = standard / KG_PER_LB if standard and unit is WeightUnit.KG else standard

    @cache
    def policy_on(day: date) -> Policy:
        found = policies.on(day).policy
        return replace(found, standard_birth_weight=pounds) if pounds else found

    lines = [_adjusted(calf, unit, policy_on) for calf in calves_of(outfit, first, last, policies)]
    groups = [*_compare(lines, (WEANING,), policy_on), *_compare(lines, (WEANING, YEARLING), policy_on)]
    return CalfCrop(sorted(lines, key=_heaviest_in_front), groups)


def _adjusted(calf: Calf, unit: WeightUnit, policy_on: PolicyOn) -> CalfLine:
    line = CalfLine(calf, reason=_against(calf, policy_on))
    if line.reason or calf.born_on is None:
        return line
    try:
        _adjust_birth(line, unit, policy_on(calf.born_on))
        if WEANING in calf.weights:
            _adjust_later(line, unit, policy_on)
        else:
            line.reason = NO_WEANING
    except ValueError as refused:
        line.reason = str(refused)
    return line


def _adjust_birth(line: CalfLine, unit: WeightUnit, policy: Policy) -> None:
    born = line.calf.weights.get(BIRTH)
    if born:
        line.figures[BIRTH] = adjusted_birth_weight(born.weight, line.calf.dam_months, unit=unit, policy=policy)


def _adjust_later(line: CalfLine, unit: WeightUnit, policy_on: PolicyOn) -> None:
    calf, weights = line.calf, line.calf.weights
    born, weaned = weights.get(BIRTH), weights[WEANING]
    animal_class, months = calf.kept[WEANING].animal_class, calf.dam_months
    as_weaned = Weaned(weaned.weight, weaned.age_days, animal_class, born.weight if born else None, months, unit)
    line.figures[WEANING] = adjusted_weaning_weight(as_weaned, policy=policy_on(weaned.day))
    if YEARLING in weights and YEARLING in calf.kept:
        later = weights[YEARLING]
        line.figures[YEARLING] = adjusted_yearling_weight(
            later.weight, later.age_days, as_weaned, line.figures[WEANING], policy=policy_on(later.day)
        )


def _against(calf: Calf, policy_on: PolicyOn) -> str:
    """What keeps a calf's weights from being adjusted whatever they are; empty where nothing does."""
    if calf.born_on is None:
        return NO_BIRTH
    if not policy_on(calf.weights[WEANING].day if WEANING in calf.weights else calf.born_on).adjusts_without_dam_age:
        if calf.dam_id is None:
            return NO_DAM
        if calf.dam_months is None:
            return NO_DAM_AGE
    return NO_SEX if WEANING in calf.weights and WEANING not in calf.kept else ""


def _compare(lines: Sequence[CalfLine], stages: tuple[str, ...], policy_on: PolicyOn) -> list[GroupLine]:
    """Set the ratios of the last stage in the lines, and return its groups."""
    last = stages[-1]
    values = {line.calf.id: line.figures[last].value for line in lines if last in line.figures}
    groups = list(_groups(lines, stages, policy_on))
    found = ratios(values, groups, what=f"adjusted {last} weight")
    for line in lines:
        if line.calf.id in found:
            line.ratios[last] = found[line.calf.id]
    return [GroupLine(last, group, mean([values[one] for one in group.members])) for group in groups]


def _groups(
    lines: Sequence[CalfLine], stages: tuple[str, ...], policy_on: PolicyOn
) -> Iterator[ContemporaryGroup[UUID]]:
    """The groups of the last stage; those weighed under one policy are looked at together, as one day's always are."""
    births = {line.calf.id: line.calf.born_on for line in lines if line.calf.born_on}
    by_day: dict[date, list[CalfLine]] = {}
    for line in lines:
        if stages[-1] in line.figures:
            by_day.setdefault(line.calf.weights[stages[-1]].day, []).append(line)
    weighed: dict[Policy, list[CalfLine]] = {}
    for day, some in by_day.items():
        weighed.setdefault(policy_on(day), []).extend(some)
    for policy, some in weighed.items():
        windows = {WEANING: policy.weaning_window, YEARLING: policy.yearling_window}
        measured = [
            Stage(one, {line.calf.id: _kept(line, one) for line in some if one in line.figures}, windows[one])
            for one in stages
        ]
        yield from contemporary_groups(births, measured, policy=policy)


def _kept(line: CalfLine, stage: str) -> Kept:
    """How a calf was kept; one not adjusted for its dam stands apart from those that are."""
    kept = line.calf.kept[stage]
    is_apart = any(one.code == "no_dam_age" for one in line.figures[WEANING].cautions)
    return replace(kept, code=NO_AGE_CODE) if is_apart else kept


def _dam(key: UUID, lines: Sequence[CalfLine]) -> DamLine:
    compared = [line.ratios[WEANING].value for line in lines if WEANING in line.ratios]
    weights = [line.figures[WEANING].value for line in lines]
    return DamLine(key, len(lines), mean(weights), mean(compared) if compared else None)


def _best_in_front(dam: DamLine) -> tuple[bool, float, Fraction, float, Fraction, UUID]:
    return dam.ratio is None, *_largest_first(dam.ratio or exact(0)), *_largest_first(dam.mean), dam.dam_id


def _heaviest_in_front(line: CalfLine) -> tuple[bool, float, Fraction, UUID]:
    weaned = line.figures.get(WEANING)
    return weaned is None, *_largest_first(weaned.value if weaned else exact(0)), line.calf.id


def _largest_first(value: Fraction) -> tuple[float, Fraction]:
    """What sorts a value: floats keep the order of fractions and are quick to compare; the fraction parts ties."""
    return -float(value), -value
