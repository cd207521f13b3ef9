"""The way of an animal through the chute: a number arrives, the card is shown, what is entered is kept and sent."""

import pytest
from playwright.sync_api import expect

from herd.registry.models import Event
from tests.chute.conftest import eid

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def weights_today() -> dict[str, str]:
    """Weights that a device brought, by the animal's visual tag."""
    rows = Event.objects.filter(kind="weight", is_void=False, source_name__startswith="Phone")
    return {one.animal.wearings.get(kind="vid", ended="").tag.number: one.data["weight"] for one in rows}


def test_the_next_number_keeps_the_animal_before_it(phone):
    phone.scan(eid(1))
    phone.sees("1 yellow")
    phone.weigh("1180")
    phone.scan(eid(2))
    phone.sees("2 yellow")
    expect(phone.last).to_contain_text("Kept for 1 yellow: 1180 lb")
    phone.weigh("1190")
    phone.keep()
    phone.delivers()
    assert phone.complaints == []
