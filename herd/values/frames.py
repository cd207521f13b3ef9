"""Frame scores from hip height, and hip height at another age for the same frame."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from herd.values.classes import AnimalClass
from herd.values.figures import Amount, Figure, Part, positive
from herd.values.policy import PUBLISHED, Policy
from herd.values.problems import Caution

SOURCE = "Beef Improvement Federation equations, as printed by Kansas State and Alabama BCIA"
_SCORES = (1, 9)
Days = int | Fraction


@dataclass(frozen=True, slots=True)
class _Equation:
    """Score = constant + height x H + day x D + square x D^2 + both x H x D, in inches and days."""

    constant: Fraction
    height: Fraction
    day: Fraction
    square: Fraction
    both: Fraction

    def score(self, inches: Fraction, days: Days) -> Fraction:
        return self._by_age(days) + (self.height + self.both * days) * inches

    def inches(self, score: Fraction, days: Days) -> Fraction:
        return (score - self._by_age(days)) / (self.height + self.both * days)

    def _by_age(self, days: Days) -> Fraction:
        return self.constant + self.day * days + self.square * days**2


def _equation(*written: str) -> _Equation:
    return _Equation(*(Fraction(Decimal(one)) for one in written))


_BULL = _equation("-11.548", "0.4878", "-0.0289", "0.00001947", "0.0000334")
_HEIFER = _equation("-11.7086", "0.4723", "-0.0239", "0.0000146", "0.0000759")


def frame_score(
    hip_height: Amount, age_days: int, animal_class: AnimalClass, *, policy: Policy = PUBLISHED
) -> Figure:
    """The frame score of a bull, steer or heifer from its hip height in inches, over level ground.

    The equations hold from 5 to 21 months; steers are scored by the bulls' one, for there is none of their
    own. Source: Beef Improvement Federation. Raises ValueError outside those ages and for cows.
    """
    inches = positive(hip_height, "The hip height")
    equation, cautions = _equation_for(animal_class, age_days, policy)
    score = equation.score(inches, age_days)
    if not _SCORES[0] <= score <= _SCORES[1]:
        cautions += (Caution("outside_table", "The printed table runs from 1 to 9; look at the height and age."),)
    return Figure(
        score,
        "frame score",
        _words(equation),
        (Part("hip height", inches, "in"), Part("age", age_days, "days")),
        SOURCE,
        cautions,
    )


def height_at(score: Amount, age_days: Days, animal_class: AnimalClass, *, policy: Policy = PUBLISHED) -> Fraction:
    """The hip height in inches that a frame score means at an age: the equation turned round.

    Printed tables have months of 365/12 days, so the age can be a fraction of a day.
    Raises ValueError outside 5 to 21 months and for cows.
    """
    equation, _ = _equation_for(animal_class, age_days, policy)
    return equation.inches(Fraction(score), age_days)


def adjusted_hip_height(
    frame: Figure, to_days: int, animal_class: AnimalClass, *, policy: Policy = PUBLISHED
) -> Figure:
    """The hip height in inches that the animal's frame score means at another age, such as 205 or 365 days.

    Frame scores are held to stay alike through life; the way is computed, no published factor was found.
    Raises ValueError outside 5 to 21 months and for cows.
    """
    return Figure(
        height_at(frame.value, to_days, animal_class, policy=policy),
        "in",
        f"hip height at {to_days} days for the same frame score",
        (*frame.parts, Part("frame score", frame.value)),
        f"{frame.source}; turned round for the height",
        frame.cautions,
    )


def _equation_for(
    animal_class: AnimalClass, days: Days, policy: Policy
) -> tuple[_Equation, tuple[Caution, ...]]:
    if animal_class is AnimalClass.COW:
        raise ValueError("Cows have no frame score by these equations; score them as heifers, while young.")
    if days not in policy.frame_window:
        first, last = policy.frame_window.first, policy.frame_window.last
        raise ValueError(f"Frame scores hold from {first} to {last} days of age, not at {days}.")
    if animal_class is AnimalClass.HEIFER:
        return _HEIFER, ()
    if animal_class is AnimalClass.STEER:
        reason = "There is no equation for steers; the one for bulls comes near."
        return _BULL, (Caution("steer_as_bull", reason),)
    return _BULL, ()


def _words(equation: _Equation) -> str:
    if equation is _BULL:
        return "-11.548 + 0.4878 H - 0.0289 D + 0.00001947 D² + 0.0000334 H D"
    return "-11.7086 + 0.4723 H - 0.0239 D + 0.0000146 D² + 0.0000759 H D"
