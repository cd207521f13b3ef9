"""Moving many: picked or by their numbers, shown before it is written, and taken back."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.office.forms.given import typed_numbers
from herd.registry.models import Animal, Group
from herd.registry.services import groups
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent
from herd.registry.services.writer import write
from herd.registry.undo import undo
from tests.cast import entry, register, vid_tag
from tests.office.conftest import EID

PAGE = "office:animals-move"
ON = "2026-06-01"


@pytest.fixture
def trap(cast, herd):
    return groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")


def look(client, trap, **given):
    return client.post(reverse(PAGE), {"do": "check", "group": str(trap), "on": ON, **given})


def go(client, trap, plan, **given):
    return client.post(reverse(PAGE), {"do": "move", "group": str(trap), "on": ON, "checked": plan.key, **given})


def group_of(animal):
    return Animal.objects.get(pk=animal).group_id


def test_numbers_of_every_kind_move_their_animals_in_one_changeset(ada_in, cast, herd, trap):
    numbers = f"{EID}\n12 yellow\n"
    shown = look(ada_in, trap, typed=numbers)
    assert "<strong>2 head</strong> would join Mill Trap on Jun 1, 2026" in " ".join(shown.content.decode().split())
    assert group_of(herd.cow) == herd.group
    before = Changeset.objects.count()
    answer = go(ada_in, trap, shown.context["plan"], typed=numbers)
    assert answer["Location"] == reverse("office:group", args=[trap])
    assert {group_of(herd.cow), group_of(herd.heifer)} == {trap}
    assert Changeset.objects.count() == before + 1
    written = Changeset.objects.get(title="Moved 2 head to Mill Trap")
    assert reverse("office:changeset-undo", args=[written.pk]) in ada_in.get(answer["Location"]).content.decode()
    assert undo(entry(cast.kettle_bench), written).is_possible
    assert group_of(herd.cow) == herd.group


def test_lines_that_name_no_animal_stay_with_their_reason_and_hold_nothing_up(ada_in, herd, trap):
    numbers = f"{EID}\n418\n840270000\nhello there"
    shown = look(ada_in, trap, typed=numbers)
    lines = {one.name: (one.reason, [name for _, name in one.may_be]) for one in shown.context["untold"]}
    assert lines["418"] == ("No animal of this outfit wears or wore it.", ["417 yellow"])
    assert set(lines) == {"418", "840270000", "hello there"}
    go(ada_in, trap, shown.context["plan"], typed=numbers)
    assert group_of(herd.cow) == trap


def test_each_animal_that_can_not_move_is_named_with_its_reason(ada_in, cast, herd, trap):
    bench = cast.kettle_bench
    write(entry(bench), Batch(events=[NewEvent(herd.bull, "sale", date(2026, 5, 1))]))
    late = register(bench, vid_tag("77"), on=date(2026, 6, 9), group_id=herd.group)
    stays = register(bench, vid_tag("78"), on=date(2026, 5, 1), group_id=trap)
    picked = ",".join(str(one) for one in (herd.cow, herd.bull, late, stays))
    shown = look(ada_in, trap, animals=picked)
    assert {one.name: one.reason for one in shown.context["refused"]} == {
        "5 orange": "It is sold since 2026-05-01.",
        "77 yellow": "It joined Upper Bench on 2026-06-09, after that day.",
    }
    assert "1 is in Mill Trap already and stays as it is" in " ".join(shown.content.decode().split())
    go(ada_in, trap, shown.context["plan"], animals=picked)
    assert [group_of(one) for one in (herd.cow, herd.bull, late, stays)] == [trap, None, herd.group, trap]


def test_a_move_sent_twice_is_written_once(ada_in, herd, trap):
    plan = look(ada_in, trap, typed=EID).context["plan"]
    go(ada_in, trap, plan, typed=EID)
    before = Changeset.objects.count()
    again = go(ada_in, trap, plan, typed=EID)
    assert "Nobody would move" in again.content.decode()
    assert Changeset.objects.count() == before


def test_a_move_that_comes_to_something_else_is_shown_again_first(ada_in, herd, trap):
    plan = look(ada_in, trap, typed=EID).context["plan"]
    answer = go(ada_in, trap, plan, typed=f"{EID}\n12")
    assert "nothing is written yet" in answer.content.decode()
    assert group_of(herd.cow) == herd.group


def test_everyone_of_a_group_moves_without_being_picked(ada_in, cast, herd, trap):
    shown = look(ada_in, trap, from_group=str(herd.group))
    assert len(shown.context["plan"].verdict.movable) == 2
    go(ada_in, trap, shown.context["plan"], from_group=str(herd.group))
    assert not Group.objects.get(pk=herd.group).animals.exists()


def test_a_readers_file_gives_its_numbers_and_they_are_carried_on(ada_in, herd, trap):
    file = SimpleUploadedFile("reader.csv", f"EID,Weight\n{EID},612\n840270000000012,540\n".encode())
    shown = look(ada_in, trap, upload=file)
    assert len(shown.context["plan"].verdict.movable) == 2
    assert f"{EID}\n840270000000012</textarea>" in shown.content.decode()


def test_nothing_to_move_asks_for_numbers(ada_in, herd, trap):
    assert "Type or paste the numbers" in look(ada_in, trap).content.decode()


def test_an_empty_file_is_said_beside_its_field(ada_in, herd, trap):
    answer = look(ada_in, trap, upload=SimpleUploadedFile("empty.csv", b""))
    assert answer.context["form"].errors["upload"] == ["The file is empty."]


def test_ids_of_another_outfit_are_passed_over_and_its_group_is_not_found(ada_in, cast, herd, trap):
    theirs = register(cast.far_rim, vid_tag("9"))
    assert len(look(ada_in, trap, animals=f"{theirs},{herd.cow}").context["plan"].verdict.movable) == 1
    rim = groups.open_group(entry=entry(cast.far_rim), name="Rim")
    assert look(ada_in, trap, from_group=str(rim)).status_code == 404


def test_readers_may_not_move(as_person, cast, herd, trap):
    assert as_person(cast.dot).get(reverse(PAGE)).status_code == 403


def test_a_thousand_head_are_judged_in_few_queries(ada_in, cast, herd, trap, django_assert_max_num_queries):
    many = [NewAnimal({"entry_class": "steer"}) for _ in range(1_000)]
    joins = [Join(one.id, herd.group, date(2026, 1, 1)) for one in many]
    write(entry(cast.kettle_bench), Batch(animals=many, joins=joins))
    with django_assert_max_num_queries(20):
        shown = look(ada_in, trap, from_group=str(herd.group))
    assert len(shown.context["plan"].verdict.movable) == 1_002


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("417\n\n 418 \n", ["417", "418"]),
        ("417 yellow\n88 green", ["417 yellow", "88 green"]),
        ("417, 418, 419", ["417", "418", "419"]),
        ("417,418\n419,420", ["417", "418", "419", "420"]),
        ("101, 102, 103\n99, 98, 97", ["101", "102", "103", "99", "98", "97"]),
        (f"{EID},417", [EID]),
        ("VID\tColor\n417\tyellow\n??\t", ["417 yellow", "??"]),
        ("tag;417", ["tag;417"]),
    ],
)
def test_no_typed_line_is_dropped(text, numbers):
    assert typed_numbers(text) == numbers
