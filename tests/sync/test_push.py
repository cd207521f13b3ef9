"""Operations pushed by devices: each once, each answered, doubtful ones before a person, none lost."""

import gzip
import json

import pytest
from django.test import Client

from herd.intake import review
from herd.intake.models import Finding, FindingKind, ProcessingDay, StagedRow
from herd.registry.models import Animal, Event, TagWearing
from herd.registry.services import animals, events, groups
from herd.registry.services.batch import NewEvent
from herd.sync.devices import change_state
from herd.sync.models import DeviceState, Operation
from herd.values.identity import new_id
from tests.cast import eid_tag, entry, register, vid_tag
from tests.sync.sending import DAY, edit, operation, push, registration, statuses, weighing

EID, NEW_EID = "840270000000123", "840270000000777"


@pytest.fixture
def cow(kettle_bench):
    return register(kettle_bench, eid_tag(EID), vid_tag("112"), breed="AN", on=None)


def test_a_weighing_by_number_or_by_id_is_recorded(phone, cow):
    sent = [weighing({"eid": EID}), weighing({"animal": str(cow)}, "1190", minute=2000)]
    results = push(phone, *sent)
    assert [(one["status"], one["animal"]) for one in results] == [("applied", str(cow))] * 2
    found = Event.objects.of(phone.device.outfit).order_by("happened_on")
    assert [str(one.pk) for one in found] == [one["op_id"] for one in sent]
    assert [one.data["weight"] for one in found] == ["1180", "1190"]


def test_a_replay_changes_nothing_and_gets_the_first_answer(phone, cow):
    sent = weighing({"eid": EID})
    first, second = push(phone, sent), push(phone, sent)
    assert second == [{**first[0], "replayed": True}]
    assert Event.objects.count() == 1


def test_the_same_operation_twice_in_one_push_is_done_once(phone, cow):
    sent = weighing({"eid": EID})
    assert statuses(push(phone, sent, sent)) == ["applied", "applied"]
    assert Event.objects.count() == 1


def test_an_id_with_other_content_is_kept_aside(phone, cow):
    sent = weighing({"eid": EID})
    push(phone, sent)
    other = {**weighing({"eid": EID}, "999"), "op_id": sent["op_id"]}
    [answer] = push(phone, other)
    assert answer["status"] == "quarantined"
    assert Operation.objects.filter(op_id=None).get().body == other
    push(phone, other)
    assert Operation.objects.filter(op_id=None).count() == 1


@pytest.mark.parametrize(
    "spoiled",
    [
        None,
        "weight",
        [],
        {"op_id": "no id"},
        {"op_id": "019b0000-0000-7000-8000-000000000001", "kind": "dance", "at": "2026-03-14T08:00:00Z"},
        {"op_id": "019b0000-0000-7000-8000-000000000002", "kind": "event", "at": "yesterday"},
        {"op_id": "019b0000-0000-7000-8000-000000000003", "kind": "event", "at": "2026-03-14T08:00:00"},
        {"op_id": "019b0000-0000-7000-8000-000000000004", "kind": "event", "at": "2026-03-14T08:00:00Z", "dseq": "1"},
        {"op_id": "019b0000-0000-7000-8000-000000000005", "kind": "move", "at": "2026-03-14T08:00:00Z", "data": []},
    ],
)
def test_whatever_one_operation_is_it_stops_no_other(phone, cow, spoiled):
    results = push(phone, weighing({"eid": EID}), spoiled, weighing({"eid": EID}, "1200", minute=3000))
    assert statuses(results) == ["applied", "quarantined", "applied"]
    assert results[1]["reasons"][0]["detail"]
    assert Operation.objects.count() == 3


@pytest.mark.parametrize("member", ["op_id", "kind", "at", "group", "subject", "data"])
@pytest.mark.parametrize("spoiled", ["a\0b", "\\\0\0", "\ud800", "\udfffx", float("nan"), float("inf")])
def test_what_no_database_could_keep_is_kept_aside_as_far_as_it_can_be(phone, cow, member, spoiled):
    sent = {**operation("event", {"eid": EID}, data={"kind": "note", "data": {"note": "x"}})}
    sent[member] = {"tattoo": spoiled} if member in {"subject", "data"} else spoiled
    weight = weighing({"eid": EID})
    for _ in range(2):
        assert statuses(push(phone, sent, weight)) == ["quarantined", "applied"]
    assert Operation.objects.filter(status="quarantined").count() == 1


def test_a_backslash_before_the_letters_of_an_escape_is_text_like_any_other(phone, cow):
    note = {"kind": "note", "data": {"note": r"a \u0000 \\u0000"}}
    assert statuses(push(phone, operation("event", {"eid": EID}, data=note))) == ["applied"]
    assert Event.objects.get().data["note"] == r"a \u0000 \\u0000"


def test_an_unknown_number_is_held_and_recorded_when_it_turns_up(phone, cow, kettle_bench):
    sent = weighing({"eid": NEW_EID})
    assert statuses(push(phone, sent)) == ["held"]
    assert Finding.objects.get().kind == FindingKind.UNKNOWN_TAG
    stray = register(kettle_bench, eid_tag(NEW_EID), on=None)
    push(phone)
    assert Event.objects.get().animal_id == stray
    assert Operation.objects.get().status == "applied"
    assert not Finding.objects.filter(is_open=True).exists()


def test_a_weight_on_an_animal_that_is_sold_waits_for_a_person(phone, cow, kettle_bench):
    sale = NewEvent(cow, "sale", DAY.replace(day=1))
    events.record(entry=entry(kettle_bench), events=[sale])
    assert statuses(push(phone, weighing({"animal": str(cow)}))) == ["review"]
    assert Finding.objects.get().kind == FindingKind.NOT_ON_HAND
    assert not Event.objects.filter(kind="weight").exists()


def test_what_waits_shows_in_the_review_of_a_day_of_the_device(phone, cow):
    push(phone, weighing({"eid": NEW_EID}), weighing({"eid": "840270000000888"}))
    day = ProcessingDay.objects.get()
    assert (day.device_id, day.state, day.worked_on) == (phone.device.pk, "review", DAY)
    assert StagedRow.objects.filter(day=day, state="waiting").count() == 2


def test_two_devices_weigh_one_animal_differently_and_a_person_decides(phone, phone_of, kettle_bench, cow):
    other = phone_of(kettle_bench)
    assert statuses(push(phone, weighing({"eid": EID}, "1180"))) == ["applied"]
    assert statuses(push(other, weighing({"eid": EID}, "1210"))) == ["review"]
    assert Finding.objects.get().kind == FindingKind.DIFFERS


def test_facts_are_merged_field_by_field(phone, cow, kettle_bench):
    animals.correct(entry=entry(kettle_bench), animal=Animal.objects.get(pk=cow), facts={"coat": "red"}, reason="")
    results = push(phone, edit(cow, breed=("AN", "HE"), coat=("", "red")))
    assert statuses(results) == ["merged"]
    assert Animal.objects.get(pk=cow).breed == "HE"


def test_a_field_that_another_has_changed_is_put_to_a_person_with_all_three_sides(phone, cow, kettle_bench):
    animals.correct(entry=entry(kettle_bench), animal=Animal.objects.get(pk=cow), facts={"breed": "CH"}, reason="")
    [answer] = push(phone, edit(cow, breed=("AN", "HE"), origin=("", "Dry Fork")))
    assert answer["status"] == "review"
    assert answer["conflicts"] == {"breed": {"from": "AN", "to": "HE", "now": "CH"}}
    now = Animal.objects.get(pk=cow)
    assert (now.breed, now.origin) == ("CH", "Dry Fork")
    finding = Finding.objects.get()
    assert finding.kind == FindingKind.DIFFERS
    assert any("AN" in reason for reason in finding.reasons)


def test_a_birth_date_and_its_precision_are_taken_together(phone, cow, kettle_bench):
    facts = {"born_on": DAY.replace(year=2020), "born_precision": "day"}
    animals.correct(entry=entry(kettle_bench), animal=Animal.objects.get(pk=cow), facts=facts, reason="")
    [answer] = push(phone, edit(cow, born_on=(None, "2021-03-01"), born_precision=("day", "month")))
    assert answer["status"] == "review"
    assert Animal.objects.get(pk=cow).born_precision == "day"


def test_an_animal_made_on_a_device_keeps_its_id_there(phone, kettle_bench):
    made = new_id()
    sent = registration(made, {"kind": "eid", "number": NEW_EID})
    results = push(phone, sent, weighing({"animal": str(made)}))
    assert statuses(results) == ["applied", "applied"]
    assert Event.objects.get().animal_id == made


def test_one_animal_registered_on_two_devices_is_one_animal(phone, phone_of, kettle_bench):
    mine, its = new_id(), new_id()
    tag = {"kind": "eid", "number": NEW_EID}
    push(phone, registration(mine, tag, breed="AN"))
    other = phone_of(kettle_bench)
    results = push(other, registration(its, tag, breed="AN"), weighing({"animal": str(its)}))
    assert [one["animal"] for one in results] == [str(mine), str(mine)]
    assert Animal.objects.count() == 1
    assert Event.objects.get().animal_id == mine


def test_what_names_an_animal_that_has_not_come_is_held_until_it_does(phone, phone_of, kettle_bench):
    made = new_id()
    assert statuses(push(phone, weighing({"animal": str(made)}))) == ["held"]
    push(phone_of(kettle_bench), registration(made, {"kind": "eid", "number": NEW_EID}))
    assert Event.objects.get().animal_id == made
    assert set(Operation.objects.values_list("status", flat=True)) == {"applied"}


def test_a_lost_tag_is_replaced(phone, cow):
    data = {"kind": "eid", "number": EID, "ended": "lost", "new_number": NEW_EID}
    assert statuses(push(phone, operation("tag.off", {"animal": str(cow)}, data=data))) == ["applied"]
    worn = TagWearing.objects.filter(animal=cow, kind="eid").order_by("worn_from")
    assert {(one.tag.number, one.ended) for one in worn} == {(EID, "lost"), (NEW_EID, "")}


def test_a_tag_that_another_animal_wears_is_put_to_a_person(phone, cow, kettle_bench):
    other = register(kettle_bench, vid_tag("113"), on=None)
    data = {"kind": "eid", "number": EID}
    assert statuses(push(phone, operation("tag.on", {"animal": str(other)}, data=data))) == ["review"]
    assert TagWearing.objects.filter(tag__number=EID, ended="").get().animal_id == cow


def test_a_move_is_made_and_a_stale_one_is_put_to_a_person(phone, cow, kettle_bench):
    bench = groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    move = operation("move", {"animal": str(cow)}, data={"group": str(bench)})
    assert statuses(push(phone, move)) == ["applied"]
    groups.move(entry=entry(kettle_bench), animal_ids=[cow], group_id=trap, on=DAY.replace(day=20))
    again = operation("move", {"animal": str(cow)}, data={"group": str(bench)}, minute=60)
    assert statuses(push(phone, again)) == ["review"]
    assert Animal.objects.get(pk=cow).group_id == trap


def test_an_event_is_voided_by_the_id_it_was_sent_with(phone, cow):
    sent = weighing({"eid": EID})
    push(phone, sent)
    void = operation("event.void", data={"event": sent["op_id"], "reason": "wrong head"})
    assert statuses(push(phone, void)) == ["applied"]
    assert Event.objects.get().is_void


def test_a_group_of_operations_goes_whole_or_not_at_all(phone, cow):
    calf = new_id()
    born = registration(calf, {"kind": "eid", "number": NEW_EID}, entry_class="heifer", dam=str(cow))
    calving = operation("event", {"animal": str(cow)}, data={"kind": "calving", "data": {"calf": str(calf)}})
    bad = operation("event", {"animal": str(cow)}, data={"kind": "calving", "data": {"calf": str(new_id())}})
    whole = [{**born, "group": "a"}, {**calving, "group": "a"}]
    broken = [{**registration(new_id(), {"kind": "vid", "number": "900"}), "group": "b"}, {**bad, "group": "b"}]
    assert statuses(push(phone, *broken, *whole)) == ["held", "held", "applied", "applied"]
    assert Animal.objects.count() == 2
    assert Event.objects.get().data["calf"] == str(calf)


def test_a_device_that_reads_delivers_nothing(reader, cow):
    [answer] = push(reader, weighing({"eid": EID}))
    assert answer["status"] == "quarantined"
    assert not Event.objects.exists()


def test_a_retired_device_still_delivers_but_reads_no_more(phone, cow):
    change_state(phone.device, DeviceState.RETIRED)
    assert statuses(push(phone, weighing({"eid": EID}))) == ["applied"]
    assert phone.get("sync/snapshot/").status_code == 403


def test_another_outfits_animal_is_not_touched(stranger, cow):
    assert statuses(push(stranger, weighing({"animal": str(cow)}), weighing({"eid": EID}))) == ["held", "held"]
    assert not Event.objects.exists()


def test_a_compressed_push_is_read_and_a_bomb_is_not(phone, cow):
    body = json.dumps({"ops": [weighing({"eid": EID})]}).encode()
    headers = {"Authorization": f"Bearer {phone.token}", "Content-Encoding": "gzip"}

    def send(content):
        packed = gzip.compress(content)
        return Client().generic(
            "POST", "/api/v1/sync/push/", packed, content_type="application/json", headers=headers
        )

    assert send(body).json()["results"][0]["status"] == "applied"
    assert send(b" " * 50_000_000).status_code == 413


def test_more_operations_than_a_push_holds_are_refused_whole(phone):
    answer = phone.post("sync/push/", {"ops": [{}] * 501})
    assert (answer.status_code, answer.json()["type"]) == (413, "urn:notchbook:problem:too-large")


def test_many_weighings_take_a_bounded_number_of_queries(phone, kettle_bench, django_assert_max_num_queries):
    numbers = [f"84027000{index * 37:07}" for index in range(60)]
    for number in numbers:
        register(kettle_bench, eid_tag(number), on=None)
    with django_assert_max_num_queries(80):
        results = push(phone, *(weighing({"eid": number}) for number in numbers))
    assert set(statuses(results)) == {"applied"}


def test_a_second_registration_tells_more_of_the_animal_or_asks(phone, phone_of, kettle_bench):
    tag = {"kind": "eid", "number": NEW_EID}
    push(phone, registration(new_id(), tag, breed="AN"))
    other = phone_of(kettle_bench)
    told = registration(new_id(), tag, breed="HE", born_on="2024-03-01", born_precision="day")
    assert statuses(push(other, told)) == ["review"]
    assert Finding.objects.get().field == "breed"
    agreeing = registration(new_id(), tag, breed="AN", born_on="2024-03-01", born_precision="day")
    assert statuses(push(other, agreeing)) == ["applied"]
    assert str(Animal.objects.get().born_on) == "2024-03-01"


def test_an_operation_ends_as_its_line_does_in_the_hands_of_a_person(phone, cow):
    sent = weighing({"eid": NEW_EID})
    push(phone, sent)
    finding = Finding.objects.select_related("day").get()
    review.rule(day=finding.day, finding=finding, choice="set_aside")
    push(phone)
    known = phone.post("sync/known/", {"op_ids": [sent["op_id"]]}).json()["known"]
    assert [one["status"] for one in known] == ["quarantined"]
