"""Runs in the office: every line with its reading and its fault beside it, and nothing written before it is asked."""

from datetime import date

import pytest
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.models import Animal, Event, TagWearing
from herd.registry.services import stock
from tests.cast import eid_tag, entry, register, vid_tag

FREE_EID = "840270000009001"


def look(client, lines, do="look", **more):
    data = {"lines": lines, "order": "MDY", "unit": "lb", "born_on": "", "do": do, **more}
    return client.post(reverse("office:calving-run"), data)


def faults(client, lines, **more):
    return [fault for line in look(client, lines, **more).context["lines"] for fault in line.faults]


SOUND = (
    "417 yellow\t91 green\theifer\t2026-03-14\t78\t5\t1\tlive\n"
    "12\t92 green + 840 270 000 009 001\tbull\t3/15/26\t84"
)


def test_lines_are_read_and_nothing_is_written_before_the_button(ada_in, herd):
    answer = look(ada_in, SOUND)
    first, second = answer.context["lines"]
    assert (first.dam.pk, first.sire_id, first.read.animal_class, first.read.ease) == (
        herd.cow, herd.bull, "heifer", "1"
    )
    assert [tag["number"] for tag in second.read.tags] == ["92", FREE_EID]
    assert second.read.born_on == date(2026, 3, 15)
    assert answer.context["faults"] == 0
    assert "Write 2 births" in answer.content.decode()
    assert not Animal.objects.filter(born_on=date(2026, 3, 14)).exists()


def test_the_button_writes_one_changeset_with_a_way_back(ada_in, herd):
    answer = look(ada_in, SOUND, do="write")
    written = Changeset.objects.order_by("-recorded_at")[0]
    assert answer.url == reverse("office:changeset", args=[written.pk])
    calf = Animal.objects.get(born_on=date(2026, 3, 14))
    assert (calf.dam_id, calf.sire_id, calf.group_id) == (herd.cow, herd.bull, herd.group)
    page = ada_in.get(answer.url).content.decode()
    assert reverse("office:changeset-undo", args=[written.pk]) in page
    assert ada_in.post(reverse("office:changeset-undo", args=[written.pk])).status_code == 302
    assert not Animal.objects.filter(born_on=date(2026, 3, 14), is_void=False).exists()


def test_the_same_list_sent_twice_is_written_once(ada_in, herd):
    lines = f"{SOUND}\n417\t\t\t2026-03-20\t\t\t\tdead"
    assert look(ada_in, lines, do="write").status_code == 302
    count = Event.objects.count()
    again = look(ada_in, lines, do="write")
    assert again.context["faults"] == 3
    assert Event.objects.count() == count


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("999\t91\theifer\t2026-03-14", "No animal of this outfit"),
        ("\t91\theifer\t2026-03-14", "dam’s number is missing"),
        ("5\t91\theifer\t2026-03-14", "can’t be a dam"),
        ("417\t91\theifer\t2026-03-14\t78\t12", "can’t be a sire"),
        ("417\t\theifer\t2026-03-14", "live calf needs a tag"),
        ("417\t91\theifer\t2026-03-14\t\t\t\tdead", "leave the tag out"),
        ("417\t91\tcow\t2026-03-14", "A calf is no cow"),
        ("417\t91\tfox\t2026-03-14", "is not a class of cattle"),
        ("417\t91\theifer\t2099-03-14", "2099"),
        ("417\t91\theifer\tMarch 2026", "no whole day"),
        ("417\t91\theifer", "day of birth is missing"),
        ("417\t91\theifer\t2026-03-14\tabout 80", "estimate"),
        ("417\t91\theifer\t2026-03-14\t78\t\t9", "from 1 (no help) to 5"),
        ("417\t91\theifer\t2026-03-14\t78\t\t1\tsleepy", "neither live nor dead"),
        ("417\t88 green\theifer\t2026-03-14", "88 is on an animal already"),
        ("417\t91\theifer\t2026-03-14\n12\t91\tbull\t2026-03-14", "91 stands in 2 lines"),
        ("417\t8.4027E+14\theifer\t2026-03-14", "spreadsheet"),
        ("417\t91\theifer\t2018-03-14", "not before the calf"),
        ("417\t91\theifer\t2026-03-14\t78\t\t1\tlive\tx", "more than 8 columns"),
    ],
)
def test_a_fault_stands_beside_its_line_and_holds_the_run(ada_in, herd, line, says):
    head = Animal.objects.count()
    answer = look(ada_in, line, do="write")
    assert answer.status_code == 200
    assert any(says in fault for one in answer.context["lines"] for fault in one.faults)
    assert answer.context["faults"] >= 1
    assert Animal.objects.count() == head


def test_an_odd_birth_weight_asks_for_a_look_and_holds_nothing(ada_in, herd):
    answer = look(ada_in, "417\t91\theifer\t2026-03-14\t178")
    assert "is it right?" in answer.content.decode()
    assert answer.context["faults"] == 0


def test_a_heading_is_passed_over_and_one_day_may_stand_for_all(ada_in, herd):
    lines = "Dam,Calf tag,Sex\n417,91,heifer"
    found = look(ada_in, lines, born_on="2026-03-14").context["lines"]
    assert [(line.number, line.read.born_on, line.faults) for line in found] == [(2, date(2026, 3, 14), [])]


def test_a_list_without_a_calf_says_so(ada_in, herd):
    assert "There is no line with a calf." in look(ada_in, "dam;calf").content.decode()


def test_many_lines_are_read_with_few_queries(ada_in, cast, herd, django_assert_max_num_queries):
    lines = "\n".join(f"417\t{200 + place}\theifer\t2026-03-14" for place in range(200))
    with django_assert_max_num_queries(25):
        assert not faults(ada_in, lines)


LOT = {
    "head": "3", "entry_class": "steer", "on": "2026-04-02", "group": "", "vid_from": "typed", "first_vid": "B099",
    "colour": "blue", "eid_from": "", "first_eid": "", "seller": "a neighbour", "price": "1,450",
    "born_in": "2025-04", "breed": "", "origin": "",
}  # fmt: skip


def lot(client, do="look", **more):
    return client.post(reverse("office:lot-new"), {**LOT, "do": do, **more})


def test_a_lot_shows_its_first_and_last_number_before_it_is_written(ada_in, herd):
    answer = lot(ada_in, eid_from="typed", first_eid=FREE_EID)
    shown = [(first["number"], last["number"], count) for _, first, last, count in answer.context["runs"]]
    assert shown == [("B099", "B101", 3), (FREE_EID, "840270000009003", 3)]
    assert not Event.objects.filter(kind="purchase").exists()
    done = lot(ada_in, "write", eid_from="typed", first_eid=FREE_EID, seen=answer.context["seen"])
    assert done.status_code == 302
    bought = Animal.objects.filter(events__kind="purchase")
    assert {(one.animal_class, one.born_on, one.born_precision, one.origin) for one in bought} == {
        ("steer", date(2025, 4, 1), "month", "a neighbour")
    }
    pair = TagWearing.objects.filter(animal=TagWearing.objects.get(tag__number="B101").animal_id)
    assert {one.tag.number for one in pair} == {"B101", "840270000009003"}


def test_every_number_in_use_is_named_and_nothing_written(ada_in, cast, herd):
    register(cast.kettle_bench, vid_tag("B100", "blue"))
    answer = lot(ada_in, "write", seen="B099-B101")
    assert answer.context["taken"] == ["B100 blue"]
    assert not Event.objects.filter(kind="purchase").exists()


def test_a_lot_takes_its_tags_from_stock_once(ada_in, cast, herd):
    stock.receive(entry=entry(cast.kettle_bench), kind="eid", first=FREE_EID, last="840270000009010")
    register(cast.kettle_bench, eid_tag("840270000009002"))
    data = {"vid_from": "", "first_vid": "", "eid_from": "stock"}
    seen = lot(ada_in, **data).context["seen"]
    assert seen == f"{FREE_EID}-840270000009004"
    assert lot(ada_in, "write", seen=seen, **data).status_code == 302
    # The button pressed again: the next free numbers are others, and are shown before they are used.
    assert lot(ada_in, "write", seen=seen, **data).status_code == 200
    assert Event.objects.filter(kind="purchase").count() == 3


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"head": ""}, "How many head"),
        ({"head": "2001"}, "less than or equal to 2000"),
        ({"vid_from": "", "first_vid": ""}, "nobody could tell them apart"),
        ({"first_vid": ""}, "Give the first number of the run."),
        ({"first_vid": "RED"}, "no digits to count on from"),
        # 38 bits for the national part: 274877906943 is the last (ISO 11784).
        ({"eid_from": "typed", "first_eid": "840274877906942"}, "which no EID can hold"),
        ({"eid_from": "typed", "first_eid": "8.4027E+14"}, "lost its last digits"),
        ({"eid_from": "stock"}, "0 free numbers of this kind, not 3"),
        ({"born_in": "spring"}, "Give the month as year-month"),
    ],
)
def test_what_is_wrong_with_a_lot_is_said_beside_its_field(ada_in, herd, more, says):
    page = lot(ada_in, **more).content.decode()
    assert says in page
    assert 'aria-invalid="true"' in page


def test_readers_register_no_runs(cast, as_person, herd):
    for name in ("calving-run", "lot-new"):
        assert as_person(cast.dot).get(reverse(f"office:{name}")).status_code == 403
        assert as_person(cast.cal).get(reverse(f"office:{name}")).status_code == 200
