"""What stands behind each figure of a calf crop: of a calf, of a contemporary group, of a dam, and the counts."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from herd.office.views.reports.figurelines import FigureLine, figure_line
from herd.reports.calving import Noted
from herd.reports.growthadjusted import CalfCrop, CalfLine, DamLine, GroupLine
from herd.reports.growthcalves import BIRTH, WEANING, YEARLING
from herd.values.contemporaries import SOURCE
from herd.values.figures import round_half_up

STAGES = (BIRTH, WEANING, YEARLING)
COMPARED = (WEANING, YEARLING)
HEAD, CALF, GROUP, DAM = "head", "calf-", "group-", "dam-"
COUNTS = {
    HEAD: ("Calves", "born in this time, or weighed as weaned since and without a birth date"),
    WEANING: ("With an adjusted weaning weight", "weighed at the age that the rules below name"),
    YEARLING: ("With an adjusted yearling weight", "weighed again at that age, and adjusted at weaning"),
}

@dataclass(frozen=True, slots=True)
class Found:
    """What stands behind a figure; `of` is the one animal that it is about."""

    title: str
    figures: list[FigureLine]
    noted: list[Noted]
    of: UUID | None = None


def crop_counts(crop: CalfCrop, question: Callable[[str], str]) -> dict[str, FigureLine]:
    """How many calves there are and how many are adjusted; `question` leads to the animals."""
    many = {HEAD: len(crop.lines), **{stage: crop.adjusted(stage) for stage in COMPARED}}
    return {
        key: FigureLine(name, many[key], "head", how, question=question(key)) for key, (name, how) in COUNTS.items()
    }


def group_key(line: GroupLine) -> str:
    """What a contemporary group is asked for by: its stage and a calf of it."""
    return f"{line.stage}-{line.group.members[0]}"


def behind_crop(crop: CalfCrop, what: str, unit: str) -> Found | None:
    """What stands behind what is asked for; None where nothing is called so."""
    if what in COUNTS:
        line = crop_counts(crop, lambda key: "")[what]
        lines = [one for one in crop.lines if what == HEAD or what in one.figures]
        return Found(line.name, [line], [_calf_noted(one, WEANING if what == HEAD else what, unit) for one in lines])
    calf = next((one for one in crop.lines if what == f"{CALF}{one.calf.id}"), None)
    if calf:
        return Found("Adjusted weights of", _calf_figures(calf), list(_around(crop, calf, unit)), calf.calf.id)
    dam = next((one for one in crop.dams() if what == f"{DAM}{one.dam_id}"), None)
    if dam:
        calves = [one for one in crop.lines if one.calf.dam_id == dam.dam_id and WEANING in one.figures]
        noted = [_calf_noted(one, WEANING, unit) for one in calves]
        return Found("Calves of", _dam_figures(dam, unit), noted, dam.dam_id)
    group = next((one for one in crop.groups if what == f"{GROUP}{group_key(one)}"), None)
    return _group_behind(crop, group, unit) if group else None


def _calf_figures(line: CalfLine) -> list[FigureLine]:
    adjusted = [figure_line(f"Adjusted {one} weight", line.figures[one]) for one in STAGES if one in line.figures]
    return adjusted + [figure_line(f"Ratio, {one}", line.ratios[one]) for one in COMPARED if one in line.ratios]


def _around(crop: CalfCrop, line: CalfLine, unit: str) -> Iterator[Noted]:
    """The calf's own weights, its dam, and those that it is compared with."""
    calf, lines = line.calf, {one.calf.id: one for one in crop.lines}
    for stage, weight in calf.weights.items():
        words = f"Weight of {stage}: {round_half_up(weight.weight, 1)} {unit} at {weight.age_days} days of age."
        yield Noted(calf.id, weight.day, f"{words} Taken by its age; none was named so." if weight.by_age else words)
    if calf.dam_id:
        age = "age not known" if calf.dam_months is None else f"{calf.dam_months} months old at the birth"
        yield Noted(calf.dam_id, None, f"The dam, {age}.")
    for one in crop.groups:
        if calf.id in one.group.members and one.stage in line.ratios:
            others: list[UUID] = [key for key in one.group.members if key != calf.id]
            yield from (_calf_noted(lines[key], one.stage, unit, f"Kept alike up to {one.stage}. ") for key in others)


def _calf_noted(line: CalfLine, stage: str, unit: str, before: str = "") -> Noted:
    figure, ratio = line.figures.get(stage), line.ratios.get(stage)
    if figure is None:
        return Noted(line.calf.id, line.calf.born_on, f"{before}{line.reason}")
    compared = f", ratio {ratio.rounded(1)}" if ratio else ""
    words = f"{before}Adjusted {stage} weight {figure.rounded(1)} {unit}{compared}."
    return Noted(line.calf.id, line.calf.weights[stage].day, words)


def _dam_figures(dam: DamLine, unit: str) -> list[FigureLine]:
    head = f"of {dam.calves} calves with one"
    weight = FigureLine("Mean adjusted weaning weight", round_half_up(dam.mean, 1), unit, f"plain mean, {head}")
    if dam.ratio is None:
        return [weight]
    return [weight, FigureLine("Mean weaning ratio", round_half_up(dam.ratio, 1), "", "plain mean of their ratios")]


def _group_behind(crop: CalfCrop, line: GroupLine, unit: str) -> Found:
    lines = {one.calf.id: one for one in crop.lines}
    members: Sequence[UUID] = line.group.members
    how = f"sum of the adjusted {line.stage} weights / head; {len(members)} head"
    mean = FigureLine(f"Mean adjusted {line.stage} weight", round_half_up(line.mean, 1), unit, how, SOURCE)
    return Found("A contemporary group", [mean], [_calf_noted(lines[one], line.stage, unit) for one in members])
