"""Head counts that balance, or say by how much they don't."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.inventory import Flow, follows_on, reconcile

COUNTS = st.integers(min_value=0, max_value=500)


def test_inv_1_cows_with_heifers_promoted():
    # University of Florida, base year 1981: 1,710 cows + 308 heifers promoted - 256 to replace = 1,762.
    cows = Flow(1710, class_in=308, sales=240, deaths=16, closing=1762)
    heifers = Flow(308, class_out=308, closing=0)
    found = reconcile({"cows": cows, "heifers": heifers})
    assert (cows.expected, found.is_balanced, found.total.closing) == (1762, True, 1762)


@pytest.mark.parametrize(
    "thousands",
    [(41_700, 16_400, 14_700, 2_100, 28_100), (41_800, 16_300, 14_500, 2_100, 28_300)],
    ids=["INV-3 July 2019", "INV-4 July 2018"],
)
def test_classes_of_the_national_inventory_sum_to_the_herd(thousands):
    # USDA NASS, thousand head: cows, heifers, steers, bulls, calves; 103,000 in all.
    names = ("cows", "heifers", "steers", "bulls", "calves")
    flows = {name: Flow(head, closing=head) for name, head in zip(names, thousands, strict=True)}
    assert reconcile(flows).total.closing == 103_000


def test_gap_is_said_with_its_size_and_direction():
    found = reconcile({"cows": Flow(100, deaths=2, closing=97), "bulls": Flow(5, purchases=1, closing=7)})
    assert found.reasons == (
        "Cows: 97 counted, 98 expected, 1 head too few.",
        "Bulls: 7 counted, 6 expected, 1 head too many.",
    )
    assert not found.is_balanced
    assert found.total.gap == 0


def test_promotion_on_one_side_only_is_said():
    (reason,) = reconcile({"cows": Flow(10, class_in=3), "heifers": Flow(5, class_out=2)}).reasons
    assert reason == "3 head became another class, but 2 stopped being one: 1 head unexplained."


def test_more_gone_than_there_were_is_said():
    (reason,) = reconcile({"steers": Flow(3, sales=5)}).reasons
    assert reason == "Steers: 2 head more went than there were."


def test_herd_is_counted_only_where_every_class_is():
    assert reconcile({"cows": Flow(10, closing=10), "bulls": Flow(2)}).total.closing is None


def test_no_class_at_all_balances_at_nothing():
    found = reconcile({})
    assert (found.is_balanced, found.total.expected) == (True, 0)


def test_opening_has_to_be_the_closing_before():
    # Beginning inventory equals the preceding year's closing (Regulation 45, Article 35, 1918).
    before = {"cows": Flow(100, deaths=2, closing=98), "bulls": Flow(5, sales=1)}
    assert follows_on(before, {"cows": Flow(98), "bulls": Flow(4)}) == ()
    assert follows_on(before, {"cows": Flow(99), "bulls": Flow(4), "steers": Flow(7)}) == (
        "Cows closed at 98 and opened at 99.",
        "Steers closed at 0 and opened at 7.",
    )


def test_count_below_zero_is_refused():
    with pytest.raises(ValueError, match="transfers in can't be below zero"):
        Flow(5, transfers_in=-1)


FLOWS = st.builds(
    Flow, COUNTS, births=COUNTS, purchases=COUNTS, transfers_in=COUNTS, found=COUNTS,
    sales=COUNTS, deaths=COUNTS, transfers_out=COUNTS, missing=COUNTS,
)  # fmt: skip


@given(st.dictionaries(st.sampled_from(["cows", "bulls", "heifers", "steers"]), FLOWS, min_size=1), st.data())
def test_herd_counted_as_expected_balances_and_one_head_off_never_does(flows, data):
    closed = {name: replace(flow, closing=flow.expected) for name, flow in flows.items() if flow.expected >= 0}
    found = reconcile(closed)
    assert found.is_balanced
    assert found.total.expected == sum(flow.expected for flow in closed.values())
    if closed:
        name = data.draw(st.sampled_from(sorted(closed)))
        off = reconcile(closed | {name: replace(closed[name], closing=closed[name].closing + 1)})
        assert len(off.reasons) == 1
        assert off.total.gap == 1


@given(FLOWS, FLOWS, COUNTS)
def test_change_of_class_moves_head_and_never_makes_any(cows, heifers, promoted):
    after = reconcile({"cows": replace(cows, class_in=promoted), "heifers": replace(heifers, class_out=promoted)})
    assert after.total.expected == cows.expected + heifers.expected
