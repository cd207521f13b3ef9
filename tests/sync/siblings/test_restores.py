"""An office or a laptop put back to an earlier state: what the other one still holds comes again, once."""

from herd.intake.models import Ruling
from herd.ledger.models import Changeset
from herd.registry.models import Event
from herd.sync.models import Operation, Receipt, Upstream
from herd.sync.upstream.leaving import decide_here
from tests.sync.properties.backup import Backup
from tests.sync.siblings.installation import Installation, Line
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.test_phones import delivers, phone, weighs
from tests.sync.siblings.test_rulings import first_choice, open_questions, rule
from tests.sync.siblings.world import World, eid_of

__all__ = ["phone"]
WITH_PEN = True


def backup_of(place: Installation) -> Backup:
    with place.here():
        return Backup(place.outfit)


def put_back(place: Installation, backup: Backup) -> None:
    with place.here():
        backup.put_back()


def test_an_office_put_back_gets_again_what_the_laptop_holds(world: World, phone: PocketPhone):
    backup = backup_of(world.office.at)
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    world.laptop.edits(world.herd[1], coat="red")
    made = world.laptop.registers(eid_of(900))
    world.office.edits(world.herd[2], coat="grey")
    world.settle()
    put_back(world.office.at, backup)
    world.office.edits(world.herd[3], coat="black")
    world.settle()
    world.is_one()
    with world.office.at.here():
        assert Event.objects.filter(pk=op_id, is_void=False).count() == 1
    assert made is not None
    assert world.office.animal(made).breed == "AN"
    coats = [world.laptop.animal(key).coat for key in world.herd]
    # What the office's own people wrote after the backup is theirs to write again.
    assert coats == ["", "red", "", "black"]
    with world.laptop.at.here():
        assert not Receipt.objects.exclude(epoch=Upstream.objects.get().epoch).exists()


def test_a_laptop_put_back_sends_nothing_twice(world: World, phone: PocketPhone):
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    world.laptop.edits(world.herd[1], coat="red")
    backup = backup_of(world.laptop.at)
    world.settle()
    put_back(world.laptop.at, backup)
    world.settle()
    world.is_one()
    with world.office.at.here():
        assert Event.objects.filter(pk=op_id, is_void=False).count() == 1
        assert Changeset.objects.filter(title="at the laptop").count() == 1
        assert not Operation.objects.filter(status="quarantined").exists()


def test_a_phone_whose_laptop_died_delivers_at_the_office(world: World, phone: PocketPhone):
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    assert list(phone.relayed) == [op_id]
    # The laptop is gone with what it held; the phone is enrolled at the office and delivers what is not final.
    anew = world.office.phone("north again")
    anew.outbox = list(phone.relayed.values())
    with world.office.at.here():
        anew.delivers()
        assert Event.objects.filter(pk=op_id, is_void=False).count() == 1
    assert anew.answers[op_id]["status"] == "applied"


def test_a_ruling_of_the_laptop_is_given_again_where_the_office_lost_it(world: World, phone: PocketPhone):
    world.office.sells(world.herd[0])
    weighs(phone, world.herd[0])
    delivers(world, phone)
    world.settle()
    backup = backup_of(world.office.at)
    choice = first_choice(world.laptop)[0]
    rule(world.laptop, choice.partition(":")[0])
    world.settle()
    put_back(world.office.at, backup)
    assert open_questions(world.office) == 1
    world.settle()
    assert open_questions(world.office) == open_questions(world.laptop) == 0
    with world.office.at.here():
        assert Ruling.objects.get().choice == choice


def test_where_the_office_is_gone_the_laptop_decides_and_the_others_go_on_there(world: World, phone: PocketPhone):
    world.office.sells(world.herd[3])
    world.settle()
    doubtful = weighs(phone, world.herd[3])
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    world.laptop.edits(world.herd[1], coat="red")
    world.pen.edits(world.herd[2], coat="grey")
    # The office burns down with all that had not gone to it.
    with world.laptop.at.here():
        decide_here(Upstream.objects.select_related("outfit").get())
    world.pen.at.line = Line(world.laptop.at)
    world.pen.at.enrol_with(world.laptop.at)
    world.pen.at.sync()
    with world.laptop.at.here():
        phone.pull()
    assert (phone.answers[op_id]["status"], phone.answers[doubtful]["status"]) == ("applied", "review")
    assert (phone.relayed, phone.outbox) == ({}, [])
    assert world.pen.at.export() == world.laptop.at.export()
    assert [world.pen.animal(key).coat for key in world.herd] == ["", "red", "grey", ""]
    assert open_questions(world.laptop) == open_questions(world.pen) == 1
    with world.pen.at.here():
        assert Event.objects.filter(pk=op_id, is_void=False).count() == 1
