"""The same thing changed at two places: what is clear is written, what clashes waits for a person, nothing is lost."""

from herd.intake.models import Finding
from herd.registry.models import Animal, Event, TagWearing
from herd.sync.models import Operation
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.world import World, eid_of


def operations(world: World) -> dict[str, str]:
    """What the office has of other places' work besides whole changesets: kind and status."""
    with world.office.at.here():
        return dict(Operation.objects.exclude(kind="changeset").values_list("kind", "status"))


def asked(world: World) -> list[str]:
    with world.office.at.here():
        return sorted(Finding.objects.filter(is_open=True).values_list("kind", flat=True))


def test_two_fields_of_one_animal_changed_at_two_places_both_stand(world: World):
    world.office.edits(world.herd[0], breed="CH")
    world.laptop.edits(world.herd[0], coat="red")
    world.settle()
    world.is_one()
    row = world.laptop.animal(world.herd[0])
    assert (row.breed, row.coat) == ("CH", "red")
    assert operations(world) == {}


def test_the_same_field_changed_at_two_places_is_asked_and_the_record_stays(world: World):
    world.office.edits(world.herd[0], breed="CH")
    world.laptop.edits(world.herd[0], breed="HE", coat="red")
    world.settle()
    world.is_one()
    row = world.office.animal(world.herd[0])
    assert (row.breed, row.coat) == ("CH", "red")
    assert operations(world) == {"animal.edit": "review"}
    assert asked(world) == ["differs_from_record"]


def test_the_same_value_written_at_two_places_is_no_question(world: World):
    world.office.edits(world.herd[0], breed="CH")
    world.laptop.edits(world.herd[0], breed="CH")
    world.settle()
    world.is_one()
    assert operations(world) == {}


def test_a_tag_put_on_two_animals_is_asked(world: World):
    world.office.takes_tag_off(world.herd[0])
    world.office.tags(world.herd[0], eid_of(900))
    world.laptop.takes_tag_off(world.herd[1])
    world.laptop.tags(world.herd[1], eid_of(900))
    world.settle()
    world.is_one()
    assert world.office.worn(world.herd[0]) == [eid_of(900)]
    assert world.office.worn(world.herd[1]) == []
    assert operations(world) == {"tag.on": "review"}
    assert asked(world)


def test_a_tag_replaced_at_two_places_is_asked(world: World):
    world.office.replaces_tag(world.herd[0], eid_of(900))
    world.laptop.replaces_tag(world.herd[0], eid_of(901))
    world.settle()
    world.is_one()
    assert world.office.worn(world.herd[0]) == [eid_of(900)]
    assert operations(world) == {"tag.on": "review"}
    assert asked(world) == ["worn_before"]


def test_a_first_tag_put_on_at_two_places_stands_once_and_the_other_is_kept_aside(world: World):
    world.office.takes_tag_off(world.herd[0])
    world.settle()
    world.office.tags(world.herd[0], eid_of(900))
    world.laptop.tags(world.herd[0], eid_of(901))
    world.settle()
    world.is_one()
    assert world.office.worn(world.herd[0]) == [eid_of(900)]
    with world.office.at.here():
        assert eid_of(901) in str(Operation.objects.get(status="quarantined").body)


def test_one_animal_registered_at_two_places_under_one_number_is_asked(world: World):
    world.office.registers(eid_of(900))
    made = world.laptop.registers(eid_of(900), coat="red")
    assert made is not None
    world.laptop.weighs(made, 400)
    world.settle()
    world.is_one()
    # One number is one animal: what the laptop's people wrote about theirs is about it.
    assert operations(world) == {"animal.register": "applied"}
    with world.office.at.here():
        worn = TagWearing.objects.get(tag__number=eid_of(900), is_void=False)
        assert worn.animal.coat == "red"
        assert Event.objects.get(kind="weight", is_void=False).animal_id == worn.animal_id


def test_a_weight_of_an_animal_sold_meanwhile_is_asked(world: World):
    world.office.sells(world.herd[0])
    event = world.laptop.weighs(world.herd[0], 510)
    world.settle()
    world.is_one()
    assert operations(world) == {"event": "review"}
    assert asked(world) == ["not_on_hand"]
    with world.laptop.at.here():
        assert not Event.objects.filter(pk=event, is_void=False).exists()


def test_an_animal_moved_to_two_groups_is_asked_or_moved_on(world: World):
    third = world.office.opens_group("Third")
    world.laptop.at.sync()
    assert third is not None
    world.office.moves(world.herd[0], third)
    world.laptop.moves(world.herd[0], world.groups[1])
    world.settle()
    world.is_one()
    assert set(operations(world)) == {"move"}


def test_a_group_of_one_name_opened_at_two_places_is_one_group(world: World):
    ours = world.office.opens_group("Weaners")
    theirs = world.laptop.opens_group("Weaners")
    assert theirs is not None
    world.laptop.moves(world.herd[0], theirs)
    world.settle()
    world.is_one()
    assert world.office.animal(world.herd[0]).group_id == ours


def test_an_event_corrected_at_two_places_stands_once_and_the_other_is_kept_aside(world: World):
    event = world.office.weighs(world.herd[0], 500)
    world.settle()
    first = world.office.corrects(event, world.herd[0], 505)
    world.laptop.corrects(event, world.herd[0], 550)
    world.settle()
    world.is_one()
    with world.office.at.here():
        standing = Event.objects.filter(kind="weight", is_void=False).values_list("pk", flat=True)
        assert list(standing) == [first]
        kept = Operation.objects.get(status="quarantined")
        assert "550" in str(kept.body)


def test_two_records_merged_at_one_place_and_edited_at_the_other(world: World):
    world.office.merges(world.herd[0], world.herd[1])
    world.laptop.edits(world.herd[1], coat="red")
    world.laptop.weighs(world.herd[1], 480)
    world.settle()
    world.is_one()
    kept = world.office.animal(world.herd[0])
    assert kept.coat == "red"
    with world.office.at.here():
        assert Event.objects.filter(animal=world.herd[0], kind="weight").count() == 1


def test_a_merge_travels_whole(world: World):
    world.laptop.merges(world.herd[0], world.herd[1])
    world.settle()
    world.is_one()
    with world.office.at.here():
        assert Animal.objects.get(pk=world.herd[1]).same_as_id == world.herd[0]


def test_a_merge_of_what_was_changed_meanwhile_is_kept_aside(world: World):
    world.office.sells(world.herd[1])
    world.laptop.merges(world.herd[0], world.herd[1])
    world.settle()
    world.is_one()
    with world.office.at.here():
        assert Operation.objects.filter(status="quarantined").exists()


def test_a_phone_hears_of_both_animals_of_a_merge_that_came_to_nothing(world: World):
    """What hung on one record for a while and hangs on the other again changes the cards of both."""
    phone = world.laptop.phone("north")
    world.laptop.merges(world.herd[2], world.herd[3])
    with world.laptop.at.here():
        phone.pull()
    world.office.merges(world.herd[1], world.herd[3])
    world.settle()
    world.is_one()
    with world.laptop.at.here():
        phone.pull()
        fresh = PocketPhone(phone.token, phone.scope, phone.device)
        fresh.first_copy()
    assert cards(phone) == cards(fresh)


def cards(phone: PocketPhone) -> dict[tuple[str, str], dict[str, object]]:
    """What a phone shows, without what counts the writes to it."""
    return {key: {**card, "revision": 0} for key, card in phone.base.items()}
