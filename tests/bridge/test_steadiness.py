"""A weight is steady by the stated rule and by nothing else."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from herd.bridge.patterns import Flag, Heard
from herd.bridge.steadiness import Moment, Steadiness
from herd.values.mass import Weight, WeightUnit
from tests.bridge.saying import KG, STEADY

STEP = 0.25


def heard(figure: float | str, unit: str = "kg", *flags: Flag) -> Heard:
    return Heard(weight=Weight(Decimal(str(figure)), WeightUnit(unit)), flags=frozenset(flags), is_of_scale=True)


def run(lines, rule=STEADY, step=STEP):
    """What happens on these lines, one every `step` seconds, as (number of the line, moment, figure)."""
    scale, found = Steadiness(rule), []
    for place, line in enumerate(lines):
        told = line if isinstance(line, Heard) else heard(line)
        for one in scale.hear(told, place * step):
            found.append((place, one.moment, str(one.weight.entered) if one.weight else ""))
    return found


def steady(lines, **more):
    return [figure for _, moment, figure in run(lines, **more) if moment is Moment.STEADY]


def test_an_animal_steps_on_settles_and_leaves():
    assert run([0, 0, 120, 480, 450, 451, 450, 449, 450, 450, 200, 0, 0, 0, 0]) == [
        (2, Moment.LOADED, ""),
        (8, Moment.STEADY, "450"),
        (13, Moment.CLEARED, ""),
    ]


def test_the_steady_weight_is_one_that_was_shown():
    assert steady([450, 451, 452, 450, 452]) == ["451"]


def test_a_weight_that_swings_is_never_steady():
    assert steady([450, 453, 450, 453] * 10) == []


def test_too_few_readings_are_not_steady():
    assert steady([450, 450, 450], step=0.6) == []
    assert steady([450, 450, 450, 450], step=0.6) == ["450"]


def test_motion_overload_and_faults_break_a_steady_stretch():
    for breach in (heard(450, "kg", Flag.MOTION), Heard(flags=frozenset({Flag.OVERLOAD})), Heard(fault="noise")):
        assert steady([450, 450, 450, 450, breach, 450, 450, 450, 450]) == []


def test_units_are_not_mixed():
    assert steady([450, 450, 450, 450, heard(992, "lb"), heard(992, "lb"), heard(992, "lb"), heard(992, "lb")]) == []
    assert steady([450, 450, *[heard(992, "lb")] * 5]) == ["992"]


def test_a_pause_breaks_a_steady_stretch():
    scale = Steadiness(STEADY)
    moments = [scale.hear(heard(450), at) for at in (0, 0.3, 0.6, 0.9, 3.0, 3.3, 3.6, 3.9)]
    assert [one.moment for some in moments for one in some] == [Moment.LOADED]


def test_below_zero_and_zero_are_empty_and_overload_is_not():
    below, zero = Heard(flags=frozenset({Flag.NEGATIVE})), heard(20, "kg", Flag.ZERO)
    for empty in (below, zero):
        assert run([450, empty, empty, empty])[-1] == (3, Moment.CLEARED, "")
    over = Heard(flags=frozenset({Flag.OVERLOAD}))
    assert [moment for _, moment, _ in run([450, *[over] * 20])] == [Moment.LOADED]


def test_one_low_reading_does_not_empty_the_scale():
    assert steady([*[450] * 6, 0, *[450] * 6]) == ["450"]


def test_a_little_shuffling_is_the_same_weighing_and_a_real_change_another():
    assert steady([*[450] * 6, *[458] * 6]) == ["450"]
    assert steady([*[210] * 6, *[450] * 6]) == ["210", "450"]


def test_a_port_that_goes_away_empties_the_scale():
    scale = Steadiness(STEADY)
    for place in range(3):
        scale.hear(heard(450), place * STEP)
    assert [one.moment for one in scale.lose()] == [Moment.CLEARED]
    assert scale.lose() == []
    assert [one.moment for place in range(3) for one in scale.hear(heard(450), 1 + place * STEP)] == [Moment.LOADED]


def test_silence_is_noticed_only_on_a_loaded_scale():
    scale = Steadiness(STEADY)
    scale.hear(heard(0), 0)
    assert not scale.is_silent(100, 5)
    scale.hear(heard(450), 100)
    assert (scale.is_silent(104, 5), scale.is_silent(106, 5)) == (False, True)


def test_a_printing_scale_weighs_with_each_line():
    rule = replace(STEADY, is_printed=True)
    assert steady([450, 0, 450, heard(430, "kg", Flag.MOTION)], rule=rule, step=60) == ["450", "450"]


@given(st.lists(st.integers(0, 900), max_size=80), st.sampled_from([0.1, 0.25, 0.5]))
def test_whatever_is_sent_each_steady_weight_keeps_the_rule(figures, step):
    """Checked against a plain reading of the rule over all that was sent."""
    loaded = False
    for place, moment, figure in run(figures, step=step):
        if moment is Moment.STEADY:
            far = (at for at in range(place, -1, -1) if (place - at) * step >= STEADY.seconds)
            since = min(next(far), place - STEADY.least + 1)
            window = figures[since : place + 1]
            assert loaded
            assert len(window) >= STEADY.least
            assert max(window) * KG - min(window) * KG <= STEADY.spread
            assert min(window) * KG >= STEADY.empty_below
            assert int(figure) in window
        else:
            assert loaded == (moment is Moment.CLEARED)
            loaded = moment is Moment.LOADED
