"""Birth, weaning and yearling weights adjusted for age and dam, ratios in contemporary groups, means of dams."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from herd.accounts.models import Outfit
from herd.reports.growthcalves import BIRTH, WEANING, YEARLING, Calf, calves_of
from herd.values.ageadjust import Weaned, adjusted_birth_weight, adjusted_weaning_weight, adjusted_yearling_weight
from herd.values.contemporaries import ContemporaryGroup, Stage, contemporary_groups, ratios
from herd.values.figures import Figure, exact, mean
from herd.values.mass import KG_PER_LB, WeightUnit
from herd.values.policy import PUBLISHED, Policy

NO_BIRTH = "The day of birth isn't known, so there is no age to adjust for."
NO_DAM = "No dam is entered, so her age can't be taken in."
NO_DAM_AGE = "The dam's day of birth isn't known, so her age can't be taken in."
NO_SEX = "Its class isn't known, and the addition for the dam's age goes by sex."
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
    """The calves of a time: those adjusted in front, the heaviest first; their groups; their dams, the best first."""

    lines: Sequence[CalfLine]
    groups: Sequence[GroupLine]
    dams: Sequence[DamLine]

    def adjusted(self, stage: str) -> int:
        """How many have an adjusted weight of a stage."""
        return sum(stage in one.figures for one in self.lines)


def calf_crop(outfit: Outfit, first: date, last: date, standard: Decimal | None = None) -> CalfCrop:
    """Adjust the weights of the calves born between two days, in the outfit's unit.

    `standard` is the birth weight taken for calves not weighed at birth, in the outfit's unit; without it these have
    no adjusted weight. Factors and windows as PUBLISHED names them; a dam without an age leaves her calf out, since
    an unadjusted weight would shift the means that others are held against.
    """
    unit = WeightUnit(outfit.weight_unit)
    policy = replace(PUBLISHED, adjusts_without_dam_age=False, standard_birth_weight=_in_pounds(standard, unit))
    lines = [_adjusted(calf, unit, policy) for calf in calves_of(outfit, first, last, policy)]
    groups = [*_compare(lines, (WEANING,), policy), *_compare(lines, (WEANING, YEARLING), policy)]
    return CalfCrop(sorted(lines, key=_heaviest_in_front), groups, _dams(lines))


def _in_pounds(weight: Decimal | None, unit: WeightUnit) -> Decimal | None:
    return weight / KG_PER_LB if weight and unit is WeightUnit.KG else weight


def _adjusted(calf: Calf, unit: WeightUnit, policy: Policy) -> CalfLine:
    line = CalfLine(calf, reason=_against(calf))
    if line.reason:
        return line
    weights, months = calf.weights, calf.dam_months
    born = weights[BIRTH].weight if BIRTH in weights else None
    try:
        if born:
            line.figures[BIRTH] = adjusted_birth_weight(born, months, unit=unit, policy=policy)
        if WEANING not in weights:
            line.reason = NO_WEANING
            return line
        weaned = weights[WEANING]
        as_weaned = Weaned(weaned.weight, weaned.age_days, calf.kept[WEANING].animal_class, born, months, unit)
        line.figures[WEANING] = adjusted_weaning_weight(as_weaned, policy=policy)
        if YEARLING in weights and YEARLING in calf.kept:
            later = weights[YEARLING]
            line.figures[YEARLING] = adjusted_yearling_weight(
                later.weight, later.age_days, as_weaned, line.figures[WEANING], policy=policy
            )
    except ValueError as refused:
        line.reason = str(refused)
    return line


def _against(calf: Calf) -> str:
    """What keeps a calf's weights from being adjusted whatever they are; empty where nothing does."""
    if calf.born_on is None:
        return NO_BIRTH
    if calf.dam_id is None:
        return NO_DAM
    if calf.dam_months is None:
        return NO_DAM_AGE
    return NO_SEX if WEANING in calf.weights and WEANING not in calf.kept else ""


def _compare(lines: Sequence[CalfLine], stages: tuple[str, ...], policy: Policy) -> list[GroupLine]:
    """Set the ratios of the last stage in the lines, and return its groups."""
    windows = {WEANING: policy.weaning_window, YEARLING: policy.yearling_window}
    measured = [
        Stage(one, {line.calf.id: line.calf.kept[one] for line in lines if one in line.figures}, windows[one])
        for one in stages
    ]
    births = {line.calf.id: line.calf.born_on for line in lines if line.calf.born_on}
    last = stages[-1]
    groups = contemporary_groups(births, measured, policy=policy)
    values = {line.calf.id: line.figures[last].value for line in lines if last in line.figures}
    found = ratios(values, groups, what=f"adjusted {last} weight")
    for line in lines:
        if line.calf.id in found:
            line.ratios[last] = found[line.calf.id]
    return [GroupLine(last, group, mean([values[one] for one in group.members])) for group in groups]


def _dams(lines: Sequence[CalfLine]) -> list[DamLine]:
    calves: dict[UUID, list[CalfLine]] = {}
    for line in lines:
        if line.calf.dam_id and WEANING in line.figures:
            calves.setdefault(line.calf.dam_id, []).append(line)
    return sorted((_dam(key, some) for key, some in calves.items()), key=_best_in_front)


def _dam(key: UUID, lines: Sequence[CalfLine]) -> DamLine:
    compared = [line.ratios[WEANING].value for line in lines if WEANING in line.ratios]
    weights = [line.figures[WEANING].value for line in lines]
    return DamLine(key, len(lines), mean(weights), mean(compared) if compared else None)


def _best_in_front(dam: DamLine) -> tuple[bool, Fraction, Fraction, UUID]:
    return dam.ratio is None, -(dam.ratio or exact(0)), -dam.mean, dam.dam_id


def _heaviest_in_front(line: CalfLine) -> tuple[bool, Fraction, UUID]:
    weaned: Mapping[str, Figure] = line.figures
    return WEANING not in weaned, -weaned[WEANING].value if WEANING in weaned else exact(0), line.calf.id
