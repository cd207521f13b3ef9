"""Questions are seen at both places, ruled on at either, and decided where the day is at home."""

from datetime import date

import pytest

from herd.intake import review
from herd.intake.models import Finding, ProcessingDay, Ruling
from herd.intake.pipeline import apply_day
from herd.registry.models import Event
from herd.registry.services.refused import Refused
from herd.sync.models import Operation
from tests.intake.field import csv_file, work
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.test_phones import asks, delivers, phone, weighs
from tests.sync.siblings.world import Place, World

__all__ = ["phone"]


def rule(place: Place, verb: str) -> Finding:
    """Answer the one open question with the first choice of that verb."""
    with place.at.here():
        finding = Finding.objects.get(is_open=True)
        choice = next(one["choice"] for one in finding.choices if one["choice"].startswith(verb))
        review.rule(day=finding.day, finding=finding, choice=choice)
    return finding


def open_questions(place: Place) -> int:
    with place.at.here():
        return Finding.objects.filter(is_open=True).count()


def first_choice(place: Place) -> list[str]:
    with place.at.here():
        return [one["choice"] for one in Finding.objects.get(is_open=True).choices]


def test_a_question_of_the_office_is_ruled_on_at_the_laptop(world: World, phone: PocketPhone):
    world.office.sells(world.herd[0])
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    world.settle()
    assert open_questions(world.office) == open_questions(world.laptop) == 1
    choice = first_choice(world.laptop)[0]
    rule(world.laptop, choice.partition(":")[0])
    assert open_questions(world.laptop) == 0
    world.settle()
    assert open_questions(world.office) == 0
    with world.office.at.here():
        assert Ruling.objects.get().choice == choice
        apply_day(ProcessingDay.objects.get(), None)
    world.settle()
    asks(world, phone)
    world.is_one()
    with world.office.at.here():
        day = ProcessingDay.objects.get()
        assert (day.state, day.home) == ("applied", "")
    with world.laptop.at.here():
        copy = ProcessingDay.objects.get()
        assert (copy.state, copy.home) == ("applied", "the office")
        assert phone.answers[op_id]["status"] == "review"


def test_the_first_ruling_stands_and_the_second_is_told(world: World, phone: PocketPhone):
    world.office.sells(world.herd[0])
    weighs(phone, world.herd[0])
    delivers(world, phone)
    world.settle()
    first, second = (one.partition(":")[0] for one in first_choice(world.office)[:2])
    rule(world.laptop, second)
    rule(world.office, first)
    world.settle()
    with world.office.at.here():
        assert Ruling.objects.get().choice.startswith(first)
        told = Operation.objects.get(kind="ruling")
        assert told.status == "merged"
        assert "settled already" in str(told.answer)
    with world.laptop.at.here():
        assert Ruling.objects.get().choice.startswith(first)


def test_a_ruling_on_what_waits_at_the_laptop_alone_goes_along(world: World, phone: PocketPhone):
    world.laptop.sells(world.herd[0])
    weighs(phone, world.herd[0])
    delivers(world, phone)
    assert open_questions(world.laptop) == 1
    choice = first_choice(world.laptop)[0]
    rule(world.laptop, choice.partition(":")[0])
    world.settle()
    with world.office.at.here():
        assert Ruling.objects.get(by_rule=False).choice == choice
    world.is_one()


def test_a_copy_is_not_applied_where_it_is_not_at_home(world: World, phone: PocketPhone):
    world.office.sells(world.herd[0])
    weighs(phone, world.herd[0])
    delivers(world, phone)
    world.settle()
    with world.laptop.at.here():
        day = ProcessingDay.objects.get()
        applied = pytest.raises(Refused)
        with applied:
            apply_day(day, None)


LINES = ["EID,Weight", "840000000000100,1180", "840000000000777,580"]


def test_a_day_of_the_laptop_is_seen_at_the_office_and_ruled_on_there(world: World):
    with world.laptop.at.here():
        day = work(world.laptop.at.outfit, [csv_file("scale.csv", LINES)], of=None, day=date(2026, 3, 14))
    world.settle()
    with world.office.at.here():
        copy = ProcessingDay.objects.get()
        assert (copy.pk, copy.home) == (day.pk, "laptop")
        assert bytes(copy.files.get().content).decode().splitlines() == LINES
    rule(world.office, first_choice(world.office)[0].partition(":")[0])
    world.settle()
    assert open_questions(world.laptop) == open_questions(world.office) == 0
    with world.laptop.at.here():
        apply_day(ProcessingDay.objects.get(), None)
    world.settle()
    world.is_one()
    with world.office.at.here():
        event = Event.objects.get(kind="weight", animal=world.herd[0])
        assert event.data["weight"] == "1180"
        assert ProcessingDay.objects.get().state == "applied"
