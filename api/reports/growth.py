"""Reports on growth: gain between two days, and the weights of a calf crop."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from rest_framework import serializers

from api.problems import unfit
from api.reports.declared import Asked, Period, Report
from api.reports.shapes import Rows
from api.serializers.fields import FigureField
from herd.registry.models import Animal
from herd.reports.growth import GainLine, Stretch, gain_of, stretches_of
from herd.reports.growthadjusted import CalfLine, DamLine, GroupLine, calf_crop
from herd.reports.ownvalues import ADJUSTED, OwnValue
from herd.reports.ownvalues import GAIN as GAIN_VALUES
from herd.values.figures import Figure

MOST_NAMED = 200
# A birth weight of 20.0 to 199.9.
STANDARD = r"([2-9][0-9]|1[0-9]{2})(\.[0-9])?"


class GainAsked(Period):
    """The days, and whose gain: those who ran in a group, or animals by their ids with commas between."""

    group = serializers.UUIDField(required=False)
    animals = serializers.RegexField(
        rf"^[0-9a-f-]{{36}}(,[0-9a-f-]{{36}}){{0,{MOST_NAMED - 1}}}$", required=False, max_length=37 * MOST_NAMED
    )


@dataclass(frozen=True, slots=True)
class Gain:
    """The gain of each animal, the best in front, and of all together."""

    first: date
    last: date
    gained: int
    died: int
    left_out: int
    mean: Figure | None
    deads_in: Figure | None
    deads_out: Figure | None
    own: Sequence[OwnValue]
    rows: Rows
    animals: Sequence[GainLine]


def _gain(asked: Asked) -> Gain:
    first, last = asked.days()
    group, named = asked.group("group"), asked.said.get("animals")
    if (group is None) == (named is None):
        raise unfit("group", "Name a group or animals, one of the two.")
    if group is not None:
        stretches = stretches_of(asked.outfit, group.pk, first, last)
    else:
        stretches = dict.fromkeys(_named(asked, str(named)), Stretch(first, last))
    found = gain_of(asked.outfit, stretches, asked.policies)
    sums = (found.gained, found.died, found.left_out, found.mean, found.deads_in, found.deads_out)
    return Gain(first, last, *sums, asked.own(GAIN_VALUES), *asked.some(found.lines))


def _named(asked: Asked, text: str) -> list[UUID]:
    try:
        ids = [UUID(one) for one in text.split(",")]
    except ValueError as problem:
        raise unfit("animals", "Give ids with commas between.") from problem
    known = set(Animal.objects.of(asked.outfit).filter(pk__in=ids).values_list("pk", flat=True))
    if set(ids) - known:
        raise unfit("animals", "Not all of these animals are in this outfit's record.")
    return ids


class CalvesAsked(Period):
    """The days of birth, and the birth weight taken for calves not weighed at birth, in the outfit's unit."""

    standard = FigureField(STANDARD, required=False)


@dataclass(frozen=True, slots=True)
class Calves:
    """The calves, each with its adjusted weights and ratios and how they were made; their groups; their dams."""

    first: date
    last: date
    groups: Sequence[GroupLine]
    dams: Sequence[DamLine]
    own: Sequence[OwnValue]
    rows: Rows
    calves: Sequence[CalfLine]


def _calves(asked: Asked) -> Calves:
    first, last = asked.days()
    crop = calf_crop(asked.outfit, first, last, asked.said.get("standard"), asked.policies)
    return Calves(first, last, crop.groups, crop.dams(), asked.own(ADJUSTED), *asked.some(crop.lines))


GAIN = Report("gain", "What did a group gain a day, with the dead in and out?", GainAsked, Gain, _gain)
CALVES = Report(
    "calves",
    "What did each calf weigh at 205 and 365 days of age, beside those that were kept alike?",
    CalvesAsked,
    Calves,
    _calves,
    "Adjusted to 205 and 365 days of age and to a mature dam, by the Beef Improvement Federation guidelines and its"
    " additive factors. A ratio is held against the calf's own contemporary group only.",
)
