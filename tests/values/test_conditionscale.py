"""The scale of body condition."""

from decimal import Decimal

import pytest

from herd.values.conditionscale import SCALE, mean_score, score_meaning


def test_scale_of_nine_with_its_body_fat():
    # North Dakota State University for the steps; body fat from a medical collection, secondary.
    assert [step.score for step in SCALE] == list(range(1, 10))
    assert [step.body_fat for step in SCALE] == [4, 8, 11, 15, 19, 23, 26, 30, 34]


def test_half_score_lies_between_two_steps():
    assert [step.name for step in score_meaning(Decimal(5))] == ["moderate"]
    assert [step.score for step in score_meaning(Decimal("5.5"))] == [5, 6]


def test_mean_score_is_exact():
    assert mean_score([Decimal(5), Decimal("5.5"), Decimal(6)]) == Decimal("5.5")


@pytest.mark.parametrize("score", ["0.5", "9.5"])
def test_score_off_the_scale_is_refused(score):
    with pytest.raises(ValueError, match="from 1 to 9"):
        mean_score([Decimal(score)])
