"""What each body condition score from 1 to 9 means, and the mean score of a group."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from herd.values.figures import exact, mean

SOURCE = "scale of nine after North Dakota State University; body fat from a medical collection, secondary"


@dataclass(frozen=True, slots=True)
class ConditionScore:
    """One step of the scale: its name, what to look for, and about how much of the body is fat, in per cent."""

    score: int
    name: str
    look_for: str
    body_fat: int


SCALE: tuple[ConditionScore, ...] = (
    ConditionScore(1, "emaciated", "no fat to feel, tailhead and every rib stand out", 4),
    ConditionScore(2, "poor", "backbone sharp, a little cover high on the ribs", 8),
    ConditionScore(3, "thin", "single ribs can be told apart, some fat over the spine", 11),
    ConditionScore(4, "borderline", "ribs no longer plain to see, backbone rounded", 15),
    ConditionScore(5, "moderate", "spongy fat over the ribs and beside the tailhead", 19),
    ConditionScore(6, "high moderate", "backbone felt only with firm pressure", 23),
    ConditionScore(7, "good", "fleshy, fat over the ribs, patches of fat begin", 26),
    ConditionScore(8, "fat", "backbone hardly to be felt", 30),
    ConditionScore(9, "extremely fat", "tailhead and hips buried in fat", 34),
)


def score_meaning(score: Decimal) -> tuple[ConditionScore, ...]:
    """The step of a whole score, or both neighbours of a half one; raises ValueError off the scale."""
    if not 1 <= score <= 9:
        raise ValueError("A body condition score is from 1 to 9.")
    return tuple(step for step in SCALE if abs(step.score - score) < 1)


def mean_score(scores: Sequence[Decimal]) -> Fraction:
    """The plain mean; raises ValueError for none and for a score off the scale."""
    for score in scores:
        score_meaning(score)
    return mean([exact(score) for score in scores])
