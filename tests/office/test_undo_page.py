"""Taking back through the page: what it would do is said first, and what stands in the way."""

from datetime import date

import pytest
from django.urls import reverse

from herd.intake.models import DayState, ProcessingDay
from herd.ledger.entry import Entry
from herd.ledger.models import Change, Changeset, ChangesetKind
from herd.registry.models import Animal, Event
from herd.registry.services import animals, events
from herd.registry.services.batch import NewEvent
from tests.cast import entry


def address(changeset, animal=None):
    plain = reverse("office:changeset-undo", args=[changeset.pk])
    return f"{plain}?animal={animal}" if animal else plain


@pytest.fixture
def weighed(herd):
    """The changeset of the cow's weight."""
    return Change.objects.get(subject_id=herd.weight.pk).changeset


def is_void(event):
    return Event.objects.get(pk=event.pk).is_void


def test_looking_at_it_says_how_much_and_takes_nothing_back(ada_in, herd, weighed):
    page = ada_in.get(address(weighed)).content.decode()
    assert "1 change will be reversed" in page
    assert not is_void(herd.weight)


def test_the_button_takes_it_back_and_offers_the_way_forward(ada_in, herd, weighed):
    answer = ada_in.post(address(weighed))
    assert answer.url == reverse("office:changeset", args=[weighed.pk])
    assert is_void(herd.weight)
    undoing = Changeset.objects.get(undoes=weighed)
    page = ada_in.get(answer.url).content.decode()
    assert address(undoing) in page
    assert (undoing.kind, undoing.title, undoing.person_name) == ("undo", f"Undone: {weighed.title}", "ada")


def test_an_undo_can_be_undone(ada_in, herd, weighed):
    ada_in.post(address(weighed))
    undoing = Changeset.objects.get(undoes=weighed)
    assert "1 change will be reversed" in ada_in.get(address(undoing)).content.decode()
    ada_in.post(address(undoing))
    assert not is_void(herd.weight)
    assert Changeset.objects.get(undoes=undoing).title == f"Done again: {weighed.title}"


def test_the_animals_page_marks_what_was_taken_back_and_what_stands_again(ada_in, herd, weighed):
    ada_in.post(address(weighed))
    said = ada_in.get(reverse("office:animal", args=[herd.cow])).context["changes"]
    stands = {one.change.changeset_id: one.stands for one in said}
    assert stands[weighed.pk] is False
    ada_in.post(address(Changeset.objects.get(undoes=weighed)))
    said = ada_in.get(reverse("office:animal", args=[herd.cow])).context["changes"]
    stands = {one.change.changeset_id: one.stands for one in said}
    assert stands[weighed.pk] is True


def test_taking_back_twice_is_refused_in_words(ada_in, herd, weighed):
    ada_in.post(address(weighed))
    answer = ada_in.post(address(weighed))
    assert answer.status_code == 409
    assert "There is nothing left to take back." in answer.content.decode()


def test_later_work_that_builds_on_it_is_named(ada_in, cast, herd):
    cow = Animal.objects.get(pk=herd.cow)
    for coat in ("red", "roan"):
        by_ada = Entry(cast.kettle_bench, cast.ada, ChangesetKind.OFFICE, f"Coat {coat}")
        animals.correct(entry=by_ada, animal=cow, facts={"coat": coat}, reason="seen")
        cow.refresh_from_db()
    first = Changeset.objects.get(title="Coat red")
    answer = ada_in.get(address(first))
    page = answer.content.decode()
    assert "This can’t be taken back now" in page
    assert "“Coat roan” has built on it" in page
    assert "Take it back</button>" not in page
    ada_in.post(address(first))
    cow.refresh_from_db()
    assert cow.coat == "roan"


def test_one_animals_part_is_taken_back_alone(ada_in, cast, herd):
    both = [NewEvent(one, "weaning", date(2025, 5, 1)) for one in (herd.cow, herd.heifer)]
    events.record(entry=entry(cast.kettle_bench, title="weaned two"), events=both)
    changeset = Changeset.objects.get(title="weaned two")
    page = ada_in.get(address(changeset, herd.cow)).content.decode()
    assert "the part of 417 yellow" in page
    answer = ada_in.post(address(changeset, herd.cow))
    assert answer.url == reverse("office:animal", args=[herd.cow])
    voided = {event.animal_id: event.is_void for event in Event.objects.filter(kind="weaning")}
    assert voided == {herd.cow: True, herd.heifer: False}
    changeset.refresh_from_db()
    assert not changeset.is_undone


def test_crew_takes_back_own_work_by_hand_but_not_that_of_others(cast, herd, weighed, as_person):
    client = as_person(cast.cal)
    answer = client.post(address(weighed))
    assert answer.status_code == 403
    assert "Crew may take back what they wrote by hand themselves" in answer.content.decode()
    by_cal = Entry(cast.kettle_bench, cast.cal, ChangesetKind.OFFICE, "by cal")
    events.record(entry=by_cal, events=[NewEvent(herd.cow, "weaning", date(2025, 5, 1))])
    assert client.post(address(Changeset.objects.get(title="by cal"))).status_code == 302


def test_a_changeset_of_a_processing_day_takes_the_whole_day_back_into_review(ada_in, cast, herd):
    day = ProcessingDay.objects.create(
        outfit=cast.kettle_bench, name="Weaning", worked_on=date(2025, 5, 1), state=DayState.APPLIED
    )
    for title, animal in (("Weaning applied", herd.cow), ("Weaning applied, the rest", herd.heifer)):
        by_day = Entry(cast.kettle_bench, cast.ada, ChangesetKind.INTAKE, title, day_id=day.pk)
        events.record(entry=by_day, events=[NewEvent(animal, "weaning", date(2025, 5, 1))])
    changeset = Changeset.objects.get(title="Weaning applied")
    page = ada_in.get(address(changeset)).content.decode()
    assert "2 changes will be reversed: all that was applied from Weaning" in page
    answer = ada_in.post(address(changeset))
    assert answer.url == reverse("office:day", args=[day.pk])
    day.refresh_from_db()
    assert day.state == DayState.REVIEW
    assert not Event.objects.of(cast.kettle_bench).filter(kind="weaning").exists()
    undoing = Changeset.objects.filter(undoes=changeset).get()
    page = ada_in.get(address(undoing)).content.decode()
    assert "apply it from there" in page


def test_crew_may_not_take_a_processing_day_back(cast, herd, as_person):
    by_day = Entry(cast.kettle_bench, cast.cal, ChangesetKind.INTAKE, "applied", day_id=herd.group)
    events.record(entry=by_day, events=[NewEvent(herd.cow, "weaning", date(2025, 5, 1))])
    assert as_person(cast.cal).post(address(Changeset.objects.get(title="applied"))).status_code == 403


def test_nobody_is_offered_an_undo_that_would_be_refused(cast, herd, weighed, as_person):
    client = as_person(cast.cal)
    for page in (
        reverse("office:home"),
        reverse("office:activity"),
        reverse("office:animal", args=[herd.cow]),
        reverse("office:changeset", args=[weighed.pk]),
    ):
        assert "/undo/" not in client.get(page).content.decode(), page
