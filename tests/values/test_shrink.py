"""Shrink and what it costs."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.shrink import pay_weight, price_after_shrink, sale_value, shrink_between


@pytest.mark.parametrize(
    ("pounds", "percent", "price", "paid", "value"),
    [
        (600, 4, 80, "576", "460.80"),  # SH-1 to SH-3: Noble Foundation 1998, Managing Shrink
        (600, 2, 79, "588", "464.52"),
        (600, 6, 71, "564", "400.44"),
        (600, 0, 71, "600", "426.00"),
        (650, 8, 114, "598", "681.72"),  # SH-5: Western Livestock Journal
        (650, 6, 113, "611", "690.43"),
        (650, 4, 112, "624", "698.88"),
        (650, 2, 111, "637", "707.07"),
    ],
)
def test_printed_sales(pounds, percent, price, paid, value):
    assert pay_weight(pounds, percent).value == Decimal(paid)
    assert sale_value(pounds, price, percent).rounded(2) == Decimal(value)


def test_sh_4_price_after_a_pencil_shrink():
    assert price_after_shrink(90, 2).rounded(2) == Decimal("88.20")  # Alberta Farm Express 2017


def test_inv_2_value_of_a_pen():
    assert sale_value(425, 64, head=174).rounded(2) == Decimal("47328.00")  # University of Florida 1981


def test_shrink_on_the_way():
    assert shrink_between(600, 576).value == 4
    assert shrink_between(100, 101).value == -1


def test_unusual_shrink_is_cautioned():
    # 2 to 6 per cent is usual: Alberta Feedlot Management Guide.
    assert [bool(pay_weight(600, percent).cautions) for percent in (0, 1, 2, 6, 8)] == [
        False,
        True,
        False,
        False,
        True,
    ]


@pytest.mark.parametrize("percent", [-1, 100, 250])
def test_impossible_shrink_is_refused(percent):
    with pytest.raises(ValueError, match="less than 100 per cent"):
        pay_weight(600, percent)


@pytest.mark.parametrize(("price", "head", "sentence"), [(-1, 1, "price can't"), (80, 0, "number of head")])
def test_impossible_sale_is_refused(price, head, sentence):
    with pytest.raises(ValueError, match=sentence):
        sale_value(600, price, head=head)


@given(
    st.decimals(min_value=1, max_value=3000, places=1),
    st.decimals(min_value=0, max_value=99, places=2),
    st.decimals(min_value=0, max_value=500, places=2),
)
def test_shrunk_weight_at_the_price_is_the_whole_weight_at_the_shrunk_price(pounds, percent, price):
    shrunk = price_after_shrink(price, percent).value
    assert sale_value(pounds, price, percent).value == sale_value(pounds, 0).value + pay_weight(
        pounds, 0
    ).value * shrunk / 100


@given(st.integers(min_value=1, max_value=3000), st.decimals(min_value=0, max_value=99, places=2))
def test_shrink_between_gross_and_paid_weight_is_the_pencil_shrink(pounds, percent):
    assert shrink_between(pounds, pay_weight(pounds, percent).value).value == percent
