"""What waits is tried again whoever waits before it, and what the record has already is told by its own id."""

from datetime import timedelta
from uuid import uuid4

import pytest

from herd.intake.kept import follow_rules
from herd.registry.models import Event, TagWearing
from herd.sync import again
from herd.sync.again import try_again
from herd.sync.models import Operation, OperationStatus
from tests.cast import eid_tag, register
from tests.sync.sending import AT, operation, push, registration, statuses, weighing

EID = "840270000000123"


@pytest.fixture
def cow(kettle_bench):
    return register(kettle_bench, eid_tag(EID))


@pytest.fixture
def other(kettle_bench, phone_of):
    return phone_of(kettle_bench)


def named(cow):
    return {"animal": str(cow)}


def void(event, **more):
    return operation("event.void", data={"event": str(event), "reason": "wrong cow"}, minute=30, **more)


def correct(event, weight):
    return operation("event.correct", data={"event": str(event), "data": {"weight": weight, "unit": "lb"}}, minute=30)


def test_an_equal_weighing_of_another_device_is_answered_with_the_event_it_equals(phone, other, cow):
    first, second = weighing(named(cow)), weighing(named(cow))
    push(phone, first)
    [answer] = push(other, second)
    assert (answer["status"], answer["event"]) == ("applied", first["op_id"])
    assert [str(one) for one in Event.objects.values_list("pk", flat=True)] == [first["op_id"]]


def test_two_equal_weighings_of_one_push_are_one_event_that_both_name(phone, cow):
    first, second = weighing(named(cow)), weighing(named(cow), minute=1)
    answers = push(phone, first, second)
    assert ["event" in one for one in answers] == [False, True]
    assert answers[1]["event"] == first["op_id"]
    assert Event.objects.count() == 1


def test_an_event_of_its_own_names_no_other(phone, cow):
    [answer] = push(phone, weighing(named(cow)))
    assert "event" not in answer


def test_a_void_of_what_another_had_said_already_leaves_that_standing(phone, other, cow):
    mine = weighing(named(cow))
    push(phone, weighing(named(cow)))
    push(other, mine)
    [answer] = push(other, void(mine["op_id"]))
    assert answer["status"] == "merged"
    assert Event.objects.filter(is_void=False).count() == 1


def test_a_correction_of_what_another_had_said_already_is_judged_as_a_weighing_of_its_own(phone, other, cow):
    mine = weighing(named(cow))
    push(phone, weighing(named(cow)))
    push(other, mine)
    [answer] = push(other, correct(mine["op_id"], "1200"))
    assert answer["status"] == "review"
    assert Event.objects.filter(is_void=False).count() == 1


def test_a_void_of_what_was_kept_aside_is_answered_at_last(phone, cow):
    mine = weighing({"eid": "840270000000555"})
    assert statuses(push(phone, mine, void(mine["op_id"]))) == ["held", "held"]
    Operation.objects.filter(op_id=mine["op_id"]).update(status=OperationStatus.QUARANTINED)
    try_again(phone.device.outfit)
    assert Operation.objects.get(kind="event.void").status == OperationStatus.MERGED


def test_a_correction_of_what_was_kept_aside_is_kept_aside_with_it(phone, cow):
    mine = weighing({"eid": "840270000000555"})
    push(phone, mine)
    Operation.objects.filter(op_id=mine["op_id"]).update(status=OperationStatus.QUARANTINED)
    assert statuses(push(phone, correct(mine["op_id"], "1200"))) == ["quarantined"]


def test_what_waits_for_ever_keeps_nobody_behind_it_waiting(phone, other, kettle_bench, monkeypatch):
    monkeypatch.setattr(again, "STEP", 3)
    strays = [weighing({"animal": str(uuid4())}, minute=minute) for minute in range(8)]
    calf = uuid4()
    assert statuses(push(phone, *strays, weighing(named(calf), minute=9))) == ["held"] * 9
    push(other, registration(calf, eid_tag("840270000000777")))
    assert [str(one) for one in Event.objects.values_list("animal_id", flat=True)] == [str(calf)]
    assert Operation.objects.filter(status=OperationStatus.HELD).count() == 8


def test_a_tag_that_came_off_is_found_by_its_own_number(phone, cow):
    off = operation("tag.off", {"eid": EID}, data={"kind": "eid", "number": EID, "ended": "lost"})
    [answer] = push(phone, off)
    assert (answer["status"], answer["animal"]) == ("applied", str(cow))
    assert TagWearing.objects.get().worn_to == (AT - timedelta(hours=6)).date()


def test_what_a_standing_rule_sets_aside_is_told_so_and_not_called_recorded(phone, kettle_bench):
    rule = {"alike": "unknown_tag", "choice": "set_aside", "label": "Set it aside"}
    follow_rules(outfit=kettle_bench, rules=[rule], dropped=[], where="a desk")
    [answer] = push(phone, weighing({"eid": "840270000000777"}))
    assert answer["status"] == "quarantined"
    assert answer["reasons"] == [{"pointer": "", "detail": "By a standing rule: Set the line aside."}]
    assert not Event.objects.exists()
