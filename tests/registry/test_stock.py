"""Tag stock: boxes of numbers, and the numbers that went missing from them."""

import pytest
from django.db import IntegrityError, transaction

from herd.accounts.models import Outfit
from herd.registry.models import MissingTag, TagBox
from herd.registry.services import stock
from herd.registry.services.refused import Refused
from tests.cast import entry

FIRST, LAST = "840270000000500", "840270000000599"


def box_of(outfit: Outfit) -> TagBox:
    return TagBox.objects.get(pk=stock.receive(entry=entry(outfit), kind="eid", first=FIRST, last=LAST))


@pytest.mark.parametrize(
    ("first", "last"),
    [(LAST, FIRST), (FIRST, "600"), ("KB100", "KC199"), ("100A", "199B")],
)
def test_a_box_that_runs_nowhere_is_refused(kettle_bench: Outfit, first: str, last: str) -> None:
    with pytest.raises(Refused, match=f"can't run from {first} to {last}"):
        stock.receive(entry=entry(kettle_bench), kind="vid", first=first, last=last)


def test_a_box_is_of_a_kind_of_tag(kettle_bench: Outfit) -> None:
    with pytest.raises(Refused, match="'ring' is no kind of tag"):
        stock.receive(entry=entry(kettle_bench), kind="ring", first="1", last="9")


def test_a_number_of_a_box_is_marked_missing_once(kettle_bench: Outfit) -> None:
    box = box_of(kettle_bench)
    stock.mark_missing(entry=entry(kettle_bench), box=box, number="840270000000510", reason="bent pin")
    with pytest.raises(Refused, match="marked missing already"):
        stock.mark_missing(entry=entry(kettle_bench), box=box, number="840270000000510", reason="again")
    with pytest.raises(IntegrityError), transaction.atomic():
        MissingTag.objects.create(outfit=kettle_bench, box=box, number="840270000000510")


@pytest.mark.parametrize("number", ["840270000000600", "510", "", "840270000000499"])
def test_a_number_outside_the_box_is_refused(kettle_bench: Outfit, number: str) -> None:
    box = box_of(kettle_bench)
    with pytest.raises(Refused, match="is not in the box"):
        stock.mark_missing(entry=entry(kettle_bench), box=box, number=number, reason="lost")


def test_a_box_of_another_outfit_is_refused(kettle_bench: Outfit, far_rim: Outfit) -> None:
    box = box_of(kettle_bench)
    with pytest.raises(Refused, match="not in this outfit's stock"):
        stock.mark_missing(entry=entry(far_rim), box=box, number=FIRST, reason="lost")
