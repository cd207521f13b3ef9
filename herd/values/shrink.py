"""Shrink: the weight paid for, the price it comes to, and what was lost on the way."""

from fractions import Fraction

from herd.values.figures import Amount, Figure, Part, exact, not_negative, positive
from herd.values.problems import Caution

SOURCE = "Noble Foundation 1998, Managing Shrink"
# Shrink of the gut alone, per cent: Alberta Feedlot Management Guide.
_USUAL = (2, 6)


def pay_weight(gross: Amount, shrink_percent: Amount, *, unit: str = "lb") -> Figure:
    """The weight paid for after a pencil shrink, in `unit`: gross x (1 - per cent / 100).

    Raises ValueError for a weight not above zero and for a shrink below 0 or from 100 per cent on.
    """
    heavy, share = positive(gross, "The weight"), _share(shrink_percent)
    return Figure(
        heavy * (1 - share),
        unit,
        "weight x (1 - shrink)",
        (Part("weight", heavy, unit), Part("shrink", share * 100, "%")),
        SOURCE,
        _cautions(share),
    )


def price_after_shrink(price: Amount, shrink_percent: Amount, *, unit: str = "a cwt") -> Figure:
    """What a price on the shrunk weight comes to on the weight over the scale: price x (1 - per cent / 100).

    Raises ValueError for a price below zero and for a shrink below 0 or from 100 per cent on.
    """
    asked, share = not_negative(price, "The price"), _share(shrink_percent)
    return Figure(
        asked * (1 - share),
        unit,
        "price x (1 - shrink)",
        (Part("price", asked, unit), Part("shrink", share * 100, "%")),
        "Alberta Farm Express 2017",
        _cautions(share),
    )


def sale_value(gross_pounds: Amount, price_per_cwt: Amount, shrink_percent: Amount = 0, *, head: int = 1) -> Figure:
    """What `head` animals of a gross weight in pounds bring, at a price for 100 lb of shrunk weight.

    Raises ValueError for a weight or head not above zero, a price below zero and an impossible shrink.
    """
    paid = pay_weight(gross_pounds, shrink_percent)
    price, many = not_negative(price_per_cwt, "The price"), positive(head, "The number of head")
    return Figure(
        paid.value * price / 100 * many,
        "",
        "head x weight x (1 - shrink) x price / 100",
        (*paid.parts, Part("weight paid for", paid.value, "lb"), Part("price", price, "a cwt"), Part("head", head)),
        SOURCE,
        paid.cautions,
    )


def shrink_between(loaded: Amount, unloaded: Amount) -> Figure:
    """The weight lost between two weighings, in per cent of the first; below zero for a gain.

    Raises ValueError for weights not above zero.
    """
    before, after = positive(loaded, "The first weight"), positive(unloaded, "The second weight")
    share = (before - after) / before
    return Figure(
        share * 100,
        "%",
        "(first weight - second weight) / first weight x 100",
        (Part("first weight", before), Part("second weight", after)),
        SOURCE,
        _cautions(share),
    )


def _share(percent: Amount) -> Fraction:
    share = exact(percent, "The shrink") / 100
    if not 0 <= share < 1:
        raise ValueError("A shrink has to be from 0 to less than 100 per cent.")
    return share


def _cautions(share: Fraction) -> tuple[Caution, ...]:
    low, high = (Fraction(percent, 100) for percent in _USUAL)
    if share == 0 or low <= share <= high:
        return ()
    return (Caution("unusual_shrink", "Shrink of the gut alone is usually from 2 to 6 per cent."),)
