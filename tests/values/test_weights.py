"""Weights: exact in both units, read with either decimal mark, refused with a reason."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.problems import Unreadable
from herd.values.weights import (
    KG_PER_LB,
    Weight,
    WeightUnit,
    find_unit,
    plausible_gain_per_day,
    plausible_range,
    read_weight,
)

LB, KG = WeightUnit.LB, WeightUnit.KG
THOUSANDTHS = st.integers(1, 1_900_000)


def refusal(text, default=LB, **settings):
    with pytest.raises(Unreadable) as refused:
        read_weight(text, default, **settings)
    return refused.value.code


@given(thousandths=THOUSANDTHS, unit=st.sampled_from(WeightUnit))
def test_stored_weight_comes_back_exactly(thousandths, unit):
    weight = Weight(Decimal(thousandths).scaleb(-3), unit)
    again = Weight.from_nanograms(weight.nanograms, unit)
    assert again.entered == weight.entered
    assert again.nanograms == weight.nanograms


@given(thousandths=THOUSANDTHS)
def test_pounds_are_exact_in_kilograms(thousandths):
    entered = Decimal(thousandths).scaleb(-3)
    weight = Weight(entered, LB)
    assert weight.kilograms == entered * KG_PER_LB  # international yard and pound agreement, 1959
    assert weight.pounds == entered
    assert Weight(entered, KG).pounds.quantize(Decimal("1e-9")) == (entered / KG_PER_LB).quantize(
        Decimal("1e-9")
    )


def test_one_pound_is_so_many_nanograms():
    assert Weight(Decimal(1), LB).nanograms == 453_592_370_000
    assert Weight(Decimal("0.001"), LB).nanograms == 453_592_370


@given(thousandths=THOUSANDTHS)
def test_written_weight_reads_the_same_with_point_and_comma(thousandths):
    written = f"{Decimal(thousandths).scaleb(-3):.1f}"
    if Decimal(written) == 0:
        assert refusal(written, KG) == "zero"
        return
    assert read_weight(written, KG).weight.entered == Decimal(written)
    assert read_weight(written.replace(".", ","), KG).weight.entered == Decimal(written)


@pytest.mark.parametrize(
    ("written", "entered", "unit", "unit_from"),
    [
        ("512", "512", LB, "default"),
        ("512.5", "512.5", LB, "default"),
        ("512,5", "512.5", LB, "default"),
        ("1,204", "1204", LB, "default"),
        ("1,204.5", "1204.5", LB, "default"),
        ("1.204,5", "1204.5", LB, "default"),
        ("1 204", "1204", LB, "default"),
        ("512 lb", "512", LB, "cell"),
        ("512lbs", "512", LB, "cell"),
        ("232 KG.", "232", KG, "cell"),
        ("5 cwt", "500", LB, "cell"),
        ("'512", "512", LB, "default"),
        ("512.125", "512.125", LB, "default"),
    ],
)
def test_weight_is_read(written, entered, unit, unit_from):
    reading = read_weight(written, LB)
    assert (reading.weight, reading.unit_from) == (Weight(Decimal(entered), unit), unit_from)


def test_decimal_mark_of_the_file_decides_between_thousands_and_decimals():
    assert read_weight("1.204", LB, decimal_mark=",").weight.entered == 1204
    assert read_weight("1,204", LB).weight.entered == 1204
    assert refusal("1.204") == "ambiguous_separator"
    assert refusal("1,204", decimal_mark=",") == "ambiguous_separator"


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("", "empty"),
        ("n/a", "empty"),
        ("~512", "estimated"),
        ("512 (est)", "estimated"),
        ("-5", "negative"),
        ("0", "zero"),
        ("OL", "scale_error"),
        ("ERR", "scale_error"),
        ("----", "scale_error"),
        ("OVER", "scale_error"),
        ("4500", "too_heavy"),
        ("2001 kg", "too_heavy"),
        ("512.1234", "too_fine"),
        ("512 stone", "unknown_unit"),
        ("#512", "not_weight"),
        ("512 513 7", "not_weight"),
        ("5.12E+02", "spreadsheet_damaged"),
        ("15-Mar", "spreadsheet_damaged"),
        ("###", "column_too_narrow"),
    ],
)
def test_weight_is_refused_with_a_reason(written, code):
    assert refusal(written) == code


def test_weight_without_any_unit_is_refused():
    assert refusal("512", None) == "no_unit"
    assert read_weight("512 kg", None).weight.unit is KG


def test_cautions_tell_of_hundredweights_and_other_units():
    assert [caution.code for caution in read_weight("5 cwt", LB).cautions] == ["hundredweight"]
    assert [caution.code for caution in read_weight("232 kg", LB).cautions] == ["unit_differs"]


def test_weight_that_three_decimals_cannot_show_is_refused():
    with pytest.raises(Unreadable) as refused:
        Weight.from_nanograms(10**12, LB)
    assert refused.value.code == "not_exact"


@pytest.mark.parametrize(
    ("heading", "unit"),
    [
        ("Weight (lb)", LB),
        ("Peso kg", KG),
        ("LW_KG", KG),
        ("wt lbs", LB),
        ("Gewicht [kg]", KG),
        ("Poids kg", KG),
        ("WeightKg", KG),
        ("Weight", None),
        ("lb or kg", None),
    ],
)
def test_unit_is_found_in_a_heading(heading, unit):
    assert find_unit(heading) is unit


@pytest.mark.parametrize(
    ("animal_class", "age_days", "low", "high"),
    [  # anchors of the project's table of ranges; all of it soft limits
        ("calf", 0, 40, 140),
        ("heifer", 205, 204, 900),
        ("steer", 365, 450, 1600),
        ("cow", 2000, 800, 2000),
        ("bull", 1500, 1200, 3000),
        ("cow", None, 800, 2000),
    ],
)
def test_plausible_range_follows_the_anchors(animal_class, age_days, low, high):
    lightest, heaviest = plausible_range(animal_class, age_days)
    assert (lightest.pounds, heaviest.pounds) == (low, high)


@given(
    animal_class=st.sampled_from(["cow", "bull", "heifer", "steer", "calf"]),
    age_days=st.one_of(st.none(), st.integers(-5, 9000)),
    span=st.one_of(st.none(), st.integers(-1, 400)),
)
def test_plausible_limits_are_always_in_order(animal_class, age_days, span):
    low, high = plausible_range(animal_class, age_days)
    assert 0 < low.nanograms < high.nanograms
    slowest, fastest = plausible_gain_per_day(animal_class, age_days, span_days=span)
    assert slowest < fastest


def test_fill_alone_is_plausible_between_two_days():
    # Watson et al. 2013, Journal of Animal Science 91:5507: -39 to +44 kg between consecutive days.
    assert plausible_gain_per_day("steer", 400, span_days=1) == (Decimal(-39), Decimal(44))
    assert plausible_gain_per_day("steer", 400, span_days=100) == plausible_gain_per_day("steer", 400)


def test_unknown_class_has_no_limits():
    with pytest.raises(Unreadable):
        plausible_range("ewe", 10)
