"""What once broke the promise that every operation is answered, kept, and found again by its id."""

from datetime import timedelta

import pytest

from herd.registry.models import Animal, Event
from herd.registry.services import merging
from herd.registry.services.merge_rows import MergeChoices
from herd.sync import again, pushing
from herd.sync.models import Operation
from herd.sync.performing import events as performing_events
from herd.values.identity import new_id
from tests.cast import eid_tag, entry, register, vid_tag
from tests.sync.sending import AT, DAY, edit, operation, push, registration, statuses, weighing

EID, NEW_EID = "840270000000123", "840270000000777"


@pytest.fixture
def cow(kettle_bench):
    return register(kettle_bench, eid_tag(EID), vid_tag("112"), breed="AN", on=None)


def test_an_event_that_waited_is_found_by_the_id_of_its_operation(phone, cow, kettle_bench):
    sent = weighing({"eid": NEW_EID})
    assert statuses(push(phone, sent)) == ["held"]
    register(kettle_bench, eid_tag(NEW_EID), on=None)
    push(phone)
    assert str(Event.objects.get().pk) == sent["op_id"]
    assert statuses(push(phone, operation("event.void", data={"event": sent["op_id"]}))) == ["applied"]


def test_what_waits_for_what_waits_goes_through_at_once(phone, phone_of, kettle_bench):
    made = new_id()
    event = weighing({"animal": str(made)})
    assert statuses(push(phone, operation("event.void", data={"event": event["op_id"]}), event)) == ["held", "held"]
    push(phone_of(kettle_bench), registration(made, {"kind": "eid", "number": NEW_EID}))
    assert set(Operation.objects.values_list("status", flat=True)) == {"applied"}
    assert Event.objects.get().is_void


def test_an_animal_made_twice_and_merged_since_is_found_by_either_id(phone, phone_of, kettle_bench, cow):
    its = new_id()
    push(phone, registration(its, {"kind": "eid", "number": EID}, breed="AN"))
    kept = register(kettle_bench, vid_tag("900"), on=None)
    choices = MergeChoices(on=DAY, facts_of_other=frozenset(), eid="kept", group="kept")
    merging.merge(entry=entry(kettle_bench), kept_id=kept, other_id=cow, choices=choices, reason="")
    assert [one["animal"] for one in push(phone, weighing({"animal": str(its)}))] == [str(kept)]


@pytest.mark.parametrize(
    "spoiled",
    [
        operation("animal.register", {"animal": str(new_id())}, data={"tags": None}),
        operation("animal.register", {"animal": str(new_id())}, data={"tags": 5}),
        operation("animal.register", {"animal": str(new_id())}, data={"facts": {"entry_class": "x" * 300}}),
        operation("animal.register", {"animal": str(new_id())}, data={"facts": {"entry_class": "zebra"}}),
    ],
)
def test_a_registration_that_can_not_be_is_kept_aside_and_stops_no_other(phone, cow, spoiled):
    assert statuses(push(phone, spoiled, weighing({"eid": EID}))) == ["quarantined", "applied"]


def test_a_fact_longer_than_the_record_holds_is_kept_aside(phone, cow):
    assert statuses(push(phone, edit(cow, coat=("", "c" * 500)), weighing({"eid": EID}))) == ["quarantined", "applied"]


def test_a_steady_clock_that_can_not_be_is_not_believed(phone, cow):
    sent = weighing({"eid": EID}) | {"mono_ms": 10**30, "boot": "b"}
    clock = {"now": (AT + timedelta(hours=1)).isoformat(), "mono_ms": 5, "boot": "b"}
    assert statuses(push(phone, sent, clock=clock)) == ["applied"]


def test_an_event_with_the_id_of_another_is_recorded_under_its_own(phone, stranger, far_rim, cow):
    sent = weighing({"eid": EID})
    push(phone, sent)
    register(far_rim, eid_tag(NEW_EID), on=None)
    taken = weighing({"eid": NEW_EID}) | {"op_id": sent["op_id"]}
    assert statuses(push(stranger, taken)) == ["applied"]
    assert Event.objects.of(far_rim).count() == Event.objects.of(phone.device.outfit).count() == 1


def test_what_nobody_thought_of_is_kept_aside_once_and_stops_no_other(phone, cow, monkeypatch):
    def stumble(run, sents):
        raise ArithmeticError

    monkeypatch.setitem(pushing.PERFORM, "move", stumble)
    sent = operation("move", {"animal": str(cow)}, data={"group": str(new_id())})
    first = push(phone, sent, weighing({"eid": EID}))
    assert statuses(first) == ["quarantined", "applied"]
    assert push(phone, sent)[0] == first[0] | {"replayed": True}
    assert Operation.objects.filter(op_id=sent["op_id"]).count() == 1


def test_of_events_sent_together_only_the_one_that_stumbles_is_kept_aside(phone, cow, monkeypatch):
    record = pushing.PERFORM["event"]

    def stumble(run, sents):
        if any(one.data["data"]["weight"] == "1111" for one in sents):
            raise ArithmeticError
        return record(run, sents)

    monkeypatch.setitem(pushing.PERFORM, "event", stumble)
    sent = [weighing({"eid": EID}, weight, minute=3000 * day) for day, weight in enumerate(("1180", "1111", "1190"))]
    assert statuses(push(phone, *sent)) == ["applied", "quarantined", "applied"]


def test_what_was_held_and_stumbles_stops_nobody(phone, cow, monkeypatch):
    assert statuses(push(phone, weighing({"animal": str(new_id())}))) == ["held"]

    def stumble(run, sents):
        raise ArithmeticError

    monkeypatch.setitem(again.PERFORM, "event", stumble)
    assert push(phone) == []
    assert Operation.objects.get().status == "held"


@pytest.mark.parametrize(("kind", "weights"), [("event.correct", ["1185"]), ("event.void", [])])
def test_an_event_that_comes_while_it_is_looked_for_counts_as_not_come_yet(
    phone, phone_of, kettle_bench, cow, monkeypatch, kind, weights
):
    sent, other = weighing({"eid": EID}, "1180"), phone_of(kettle_bench)
    look, came = performing_events._event, []

    def look_too_early(run, wanted):
        found = look(run, wanted)
        if not came:
            came.append(push(other, sent))
        return found

    monkeypatch.setattr(performing_events, "_event", look_too_early)
    more = {"data": {"weight": "1185", "unit": "lb"}} if kind == "event.correct" else {}
    push(phone, operation(kind, data={"event": sent["op_id"], **more}))
    push(phone)
    assert set(Operation.objects.values_list("status", flat=True)) == {"applied"}
    assert [one.data["weight"] for one in Event.objects.filter(kind="weight", is_void=False)] == weights


def test_of_one_id_with_two_contents_in_a_push_the_first_counts(phone, cow):
    first = weighing({"eid": EID}, "1180")
    second = weighing({"eid": EID}, "1190") | {"op_id": first["op_id"]}
    assert statuses(push(phone, first, second)) == ["applied", "quarantined"]
    assert Event.objects.get().data["weight"] == "1180"


def test_a_class_that_is_none_is_not_written(phone, cow):
    assert statuses(push(phone, edit(cow, entry_class=("cow", "zebra")))) == ["quarantined"]
    assert Animal.objects.get(pk=cow).entry_class == "cow"
