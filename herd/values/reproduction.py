"""Reproduction of a cow herd from exposure to weaning, each measure on a divisor that is named."""

from collections.abc import Callable
from dataclasses import dataclass, fields
from enum import StrEnum
from fractions import Fraction

from herd.values.figures import Amount, Figure, Part, exact
from herd.values.mass import WeightUnit
from herd.values.problems import Caution

_NEBRASKA = "University of Nebraska-Lincoln, Rasby and Meyer 2023, after Beef Improvement Federation guidelines"
_STAGE = "University of Nebraska-Lincoln 2015, worked example, one stage on the one before"
_CEDAR = "University of Nebraska-Lincoln Extension, Cedar County, part 2"
_MEMORY = "Standardized Performance Analysis, from memory"


class Basis(StrEnum):
    """What a share is taken of; shares of different ones can't be compared."""

    EXPOSED = "exposed"
    STAGE = "stage"


@dataclass(frozen=True, slots=True)
class Cohort:
    """The females exposed for one calf crop, followed to weaning even over a year's end. None: not known.

    `left` are exposed females that died or were sold or moved away before calving, without those found open
    and sold, who stay in the divisor. `bought` are bred females bought to calve here. Calves are full-term,
    `live` ones got up and nursed; `died` are deaths of those before weaning. `pregnant_lost` are females
    found pregnant that had no calf. `replacements` are the ones that joined the herd, `opening_cows` and
    `gone_cows` (open, aged, culled, dead) are of the year. Raises ValueError for counts that can't be.
    """

    exposed: int
    left: int = 0
    bought: int = 0
    pregnant: int | None = None
    pregnant_lost: int | None = None
    live: int | None = None
    born_dead: int | None = None
    died: int | None = None
    weaned: int | None = None
    weaned_weight: Amount | None = None
    replacements: int | None = None
    opening_cows: int | None = None
    gone_cows: int | None = None

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            if value is not None and exact(value, one.name) < 0:
                raise ValueError(f"The count of {one.name.replace('_', ' ')} can't be below zero.")
        _not_more(self.left, self.exposed, "More females left than were exposed.")
        _not_more(self.pregnant, self.exposed + self.bought, "More were found pregnant than were there.")
        _not_more(self.pregnant_lost, self.pregnant, "More lost a pregnancy than were pregnant.")
        _not_more(self.died, self.live, "More calves died than were born alive.")

    @property
    def adjusted_exposed(self) -> int:
        """Exposed females less those that left before calving, with the bred ones bought."""
        return self.exposed - self.left + self.bought

    @property
    def born(self) -> int | None:
        """Full-term calves, live and dead; None where one of the counts isn't known."""
        return None if self.live is None or self.born_dead is None else self.live + self.born_dead


Count = Callable[[Cohort], Amount | None]


@dataclass(frozen=True, slots=True)
class Measure:
    """A share of a cohort in words, with its divisor and source."""

    code: str
    words: str
    basis: Basis
    top: tuple[str, Count]
    bottom: tuple[str, Count]
    source: str


_EXPOSED: tuple[str, Count] = ("adjusted exposed females", lambda cohort: cohort.adjusted_exposed)
_PREGNANT: tuple[str, Count] = ("found pregnant", lambda cohort: cohort.pregnant)
_BORN: tuple[str, Count] = ("calves born", lambda cohort: cohort.born)
_LIVE: tuple[str, Count] = ("live calves", lambda cohort: cohort.live)
_DIED: tuple[str, Count] = ("calves that died before weaning", lambda cohort: cohort.died)
_WEANED: tuple[str, Count] = ("calves weaned", lambda cohort: cohort.weaned)
_LOST: tuple[str, Count] = ("pregnant without a calf", lambda cohort: cohort.pregnant_lost)
_PLACED: tuple[str, Count] = ("replacements that joined", lambda cohort: cohort.replacements)
_GONE: tuple[str, Count] = ("cows open, aged, culled and dead", lambda cohort: cohort.gone_cows)
_OPENING: tuple[str, Count] = ("cows at the year's start", lambda cohort: cohort.opening_cows)

MEASURES: tuple[Measure, ...] = (
    Measure("pregnancy", "pregnancy rate", Basis.EXPOSED, _PREGNANT, _EXPOSED, _NEBRASKA),
    Measure("pregnancy_loss", "pregnancy loss", Basis.STAGE, _LOST, _PREGNANT, _MEMORY),
    Measure("calving", "calving rate", Basis.EXPOSED, _BORN, _EXPOSED, _NEBRASKA),
    Measure("live_calving", "live calving rate", Basis.EXPOSED, _LIVE, _EXPOSED, _NEBRASKA),
    Measure("live_calving_of_pregnant", "live calves of those pregnant", Basis.STAGE, _LIVE, _PREGNANT, _STAGE),
    Measure("calf_loss_of_born", "calf death loss of those born", Basis.STAGE, _DIED, _BORN, _CEDAR),
    Measure("calf_loss_of_exposed", "calf death loss", Basis.EXPOSED, _DIED, _EXPOSED, _CEDAR),
    Measure("weaning", "weaning rate, the calf crop", Basis.EXPOSED, _WEANED, _EXPOSED, _CEDAR),
    Measure("weaning_of_live", "weaned of those born alive", Basis.STAGE, _WEANED, _LIVE, _STAGE),
    Measure("replacement", "replacement rate of exposed", Basis.EXPOSED, _PLACED, _EXPOSED, _MEMORY),
    Measure("turnover", "cows gone of the opening herd", Basis.STAGE, _GONE, _OPENING, "trade press, secondary"),
)
"""Every share that can be had; the words and the basis go with the figure wherever it is shown."""


def measure(cohort: Cohort, code: str) -> Figure | None:
    """One share of a cohort in per cent; None where a count it needs isn't known or its divisor is none.

    Raises ValueError for a code that no measure has.
    """
    asked = next((one for one in MEASURES if one.code == code), None)
    if asked is None:
        raise ValueError(f"There is no measure called {code}.")
    top, bottom = asked.top[1](cohort), asked.bottom[1](cohort)
    if top is None or not bottom:
        return None
    return Figure(
        exact(top) / exact(bottom) * 100,
        "%",
        f"{asked.top[0]} / {asked.bottom[0]} x 100",
        (Part(asked.top[0], top), Part(asked.bottom[0], bottom)),
        asked.source,
        _doubts(cohort),
    )


def measures(cohort: Cohort) -> dict[str, Figure]:
    """Every share that the known counts allow, by its code, in the order from exposure to weaning."""
    found = {one.code: measure(cohort, one.code) for one in MEASURES}
    return {code: figure for code, figure in found.items() if figure is not None}


def weight_weaned_per_exposed(cohort: Cohort, *, unit: WeightUnit = WeightUnit.LB) -> Figure | None:
    """Weight weaned for each adjusted exposed female, in `unit`; None where it isn't known or none was exposed.

    Source: University of Nebraska-Lincoln Extension. It equals the weaning rate times the mean weaning weight.
    """
    if cohort.weaned_weight is None or not cohort.adjusted_exposed:
        return None
    total = exact(cohort.weaned_weight)
    parts = (Part("weight weaned", total, unit), Part(_EXPOSED[0], cohort.adjusted_exposed))
    return Figure(
        total / cohort.adjusted_exposed,
        f"{unit} an exposed female",
        "weight weaned / adjusted exposed females",
        parts,
        _CEDAR,
        _doubts(cohort),
    )


def mean_weaning_weight(cohort: Cohort, *, unit: WeightUnit = WeightUnit.LB) -> Figure | None:
    """The plain mean weight of the calves weaned, in `unit`; None where it isn't known or none was weaned."""
    if cohort.weaned_weight is None or not cohort.weaned:
        return None
    total: Fraction = exact(cohort.weaned_weight)
    parts = (Part("weight weaned", total, unit), Part(_WEANED[0], cohort.weaned))
    return Figure(total / cohort.weaned, unit, "weight weaned / calves weaned", parts, _MEMORY)


def _not_more(part: int | None, whole: int | None, sentence: str) -> None:
    if part is not None and whole is not None and part > whole:
        raise ValueError(sentence)


def _doubts(cohort: Cohort) -> tuple[Caution, ...]:
    if cohort.live is None or cohort.weaned is None:
        return ()
    over = cohort.weaned + (cohort.died or 0) - cohort.live
    if over <= 0:
        return ()
    reason = f"{over} more calves were weaned or died than were born alive; were calves bought or not written down?"
    return (Caution("more_than_born", reason),)
