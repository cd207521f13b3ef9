"""Two installations work on one record and come to the same."""

from datetime import date

from herd.accounts.models import Outfit
from herd.registry.models import Animal
from herd.registry.services import animals, events
from herd.registry.services.batch import NewEvent
from tests.cast import eid_tag, entry, register, vid_tag
from tests.sync.siblings.installation import Installation


def test_work_at_both_places_becomes_one_record(installations: list[Installation]):
    office, laptop, _ = installations
    with office.here():
        outfit = Outfit.objects.create(code="kettle-bench", name="Kettle Bench")
        cow = register(outfit, eid_tag("840000000000101"), vid_tag("101"), breed="AN")
    laptop.enrol_with(office)
    assert office.export() == laptop.export()
    with laptop.here():
        row = Animal.objects.get(pk=cow)
        animals.correct(entry=entry(laptop.outfit), animal=row, facts={"coat": "red"}, reason="")
        register(laptop.outfit, eid_tag("840000000000102"), breed="HE")
    with office.here():
        row = Animal.objects.get(pk=cow)
        animals.correct(entry=entry(office.outfit), animal=row, facts={"breed": "CH"}, reason="")
        event = NewEvent(cow, "weight", date(2024, 5, 1), {"weight": "1180", "unit": "lb"}, weight_ng=1)
        events.record(entry=entry(office.outfit), events=[event])
    laptop.sync()
    assert office.export() == laptop.export()
    with laptop.here():
        row = Animal.objects.get(pk=cow)
        assert (row.coat, row.breed) == ("red", "CH")
        assert Animal.objects.count() == 2
    assert laptop.sync().came == 0
