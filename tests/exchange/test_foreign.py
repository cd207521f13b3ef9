"""Documents of other systems, without our extension: what comes in, what is asked, what can't be used and why."""

import json
from datetime import date
from typing import Any

import pytest

from herd.accounts.models import Outfit
from herd.exchange.inward.staging import take_in
from herd.intake.days import GivenFile
from herd.intake.models import Finding, FindingKind, ProcessingDay, RowState, StagedRow
from herd.intake.pipeline import apply_day
from herd.registry.models import Animal, Event, GroupMembership, TagWearing
from tests.cast import eid_tag, register
from tests.exchange.schemas import faults_of, needs_schemas

DAY = date(2026, 11, 25)
EID = "840270000000901"


def named(key: str) -> dict[str, str]:
    return {"scheme": "org.example.herd", "id": key}


def meta(key: str) -> dict[str, str]:
    return {"source": "org.example.herd", "sourceId": key, "modified": "2026-05-01T10:00:00Z"}


def animal(key: str, eid: str = "", gender: str = "Female", **more: Any) -> dict[str, Any]:
    numbers = [{"scheme": "std.iso.11785", "id": eid}] if eid else []
    own = {"resourceType": "icarAnimalCoreResource", "meta": meta(key), "identifier": named(key), "specie": "Cattle"}
    return {**own, "gender": gender, "alternativeIdentifiers": numbers, **more}


def event(name: str, key: str, of: dict[str, str], **more: Any) -> dict[str, Any]:
    own = {"resourceType": f"icar{name}EventResource", "meta": meta(key), "animal": of}
    return {**own, "eventDateTime": "2026-04-02T15:30:00Z", **more}


FOREIGN = [
    {"resourceType": "icarAnimalSetResource", "id": "pen-4", "name": "Pen 4", "purpose": "Enclosure", "member": []},
    animal("17", EID, birthDate="2020-03-01T00:00:00Z", managementTag="417", coatColor="red"),
    animal("18", "840270000000902", "MaleNeuter", parentage=[
        {"parentOf": named("18"), "gender": "Female", "identifier": named("17")}], birthDate="2025-02-01T00:00:00Z"),
    animal("19", gender="Unknown", status="OffFarm"),
    event("AnimalSetJoin", "j1", named("17"), animalSetId="pen-4"),
    event("Weight", "w1", named("17"), weight={"measurement": 540.5, "units": "KGM"}),
    event("Weight", "w2", named("18"), weight={"measurement": 0.25, "units": "TNE"}),
    event("ReproPregnancyCheck", "p1", named("17"), result="Multiple", method="Echography", foetalAge=70),
    event("Treatment", "t1", named("18"), medicine={"name": "Oxy 200"}, dose={"doseQuantity": 5, "doseUnits": "MLT"},
          withdrawals=[{"productType": "Meat", "endDate": "2026-04-30T00:00:00Z"}]),
    event("MovementDeparture", "d1", named("18"), departureKind="Sale", departureReason="Sale"),
]


def bring(outfit: Outfit, members: Any, name: str = "foreign.json") -> ProcessingDay:
    content = members if isinstance(members, bytes) else json.dumps({"member": members}).encode()
    return take_in(outfit=outfit, person=None, files=[GivenFile(name, content)], worked_on=DAY)


def only_row(outfit: Outfit, *members: Any) -> StagedRow:
    day = bring(outfit, list(members))
    return StagedRow.objects.filter(day=day).order_by("-number").first()


@needs_schemas
def test_the_foreign_document_is_well_formed():
    assert [fault for one in FOREIGN for fault in faults_of(one)] == []


def test_a_foreign_document_comes_in_without_our_extension(kettle_bench):
    day = bring(kettle_bench, FOREIGN)
    assert list(Finding.objects.filter(day=day)) == []
    apply_day(day, None)
    cow = Animal.objects.of(kettle_bench).get(wearings__tag__number=EID)
    assert (cow.animal_class, cow.born_on, cow.coat, cow.group.name) == ("cow", date(2020, 3, 1), "red", "Pen 4")
    steer = Animal.objects.of(kettle_bench).get(dam=cow)
    assert (steer.animal_class, steer.status) == ("steer", "sold")
    assert Animal.objects.of(kettle_bench).filter(status="transferred").count() == 1
    check = Event.objects.of(kettle_bench).get(kind="pregnancy_check")
    assert (check.data["result"], check.data["days"], check.happened_on) == ("pregnant", 70, date(2026, 4, 2))
    weights = Event.objects.of(kettle_bench).filter(kind="weight").values_list("weight_ng", flat=True)
    assert sorted(weights) == [250 * 10**12, 5405 * 10**11]
    given = Event.objects.of(kettle_bench).get(kind="treatment").data
    assert (given["product"], given["dose"], given["withdrawal_days"]) == ("Oxy 200", "5 mL", 28)
    assert GroupMembership.objects.of(kettle_bench).get().joined_on == date(2026, 4, 2)


def test_the_same_foreign_document_again_changes_nothing(kettle_bench):
    apply_day(bring(kettle_bench, FOREIGN), None)
    day = bring(kettle_bench, FOREIGN, "again.json")
    assert set(StagedRow.objects.filter(day=day).values_list("state", flat=True)) <= {RowState.KNOWN}
    assert apply_day(day, None).changeset_id is None


def test_an_animal_of_the_record_is_matched_by_its_number(kettle_bench):
    cow = register(kettle_bench, eid_tag(EID))
    apply_day(bring(kettle_bench, [animal("17", EID), FOREIGN[5]]), None)
    assert Event.objects.of(kettle_bench).get(kind="weight").animal_id == cow
    assert TagWearing.objects.of(kettle_bench).count() == 1


def test_an_animal_that_nobody_knows_is_asked_about_once_there_is_a_herd(kettle_bench):
    register(kettle_bench, eid_tag("840270000000111"))
    day = bring(kettle_bench, [animal("17", EID), FOREIGN[5]])
    assert [one.kind for one in Finding.objects.filter(day=day)] == [FindingKind.UNKNOWN_TAG]
    apply_day(day, None)
    assert Animal.objects.of(kettle_bench).count() == 1


def test_a_doubtful_weight_is_asked_about(kettle_bench):
    heavy = event("Weight", "w9", named("18"), weight={"measurement": 1900, "units": "KGM"})
    day = bring(kettle_bench, [FOREIGN[2], heavy])
    assert [one.kind for one in Finding.objects.filter(day=day)] == [FindingKind.DOUBTFUL]


BAD = [
    ({"weight": {"measurement": 500, "units": "kg"}}, "/member/1/weight/units", "kg"),
    ({"weight": {"measurement": -3}}, "/member/1/weight/measurement", "-3"),
    ({"weight": {"measurement": "heavy"}}, "/member/1/weight/measurement", "heavy"),
    ({"weight": [1]}, "/member/1/weight", "[1]"),
    ({"eventDateTime": "2026-04-02T15:30:00"}, "/member/1/eventDateTime", "2026-04-02T15:30:00"),
    ({"eventDateTime": "2199-04-02T15:30:00Z"}, "/member/1/eventDateTime", "2199-04-02T15:30:00Z"),
    ({"eventDateTime": 7}, "/member/1/eventDateTime", "7"),
    ({"animal": {"scheme": "org.example.herd"}}, "/member/1/animal/id", "None"),
    ({"animal": named("404")}, "/member/1/animal", str(named("404"))),
    ({"meta": {**meta("w1"), "isDeleted": True}}, "/member/1/meta/isDeleted", "True"),
    ({"notchbook": {"kind": "shearing"}}, "/member/1/notchbook/kind", "shearing"),
    ({"notchbook": {"without": 3}}, "/member/1/notchbook/without", "3"),
    ({"resourceType": "icarDiagnosisEventResource"}, "/member/1/resourceType", "icarDiagnosisEventResource"),
    ({"resourceType": 5}, "/member/1/resourceType", "5"),
]


@pytest.mark.parametrize(("change", "pointer", "value"), BAD, ids=[one[1] + one[2][:12] for one in BAD])
def test_what_cannot_be_used_stays_with_its_place_value_and_reason(kettle_bench, change, pointer, value):
    row = only_row(kettle_bench, FOREIGN[1], {**FOREIGN[5], **change})
    assert row.state == RowState.UNUSABLE
    assert (row.problems[0]["column"], row.problems[0]["value"]) == (pointer, value)
    assert row.reason == row.problems[0]["reason"] != ""


def test_a_condition_of_an_unnamed_scale_is_not_guessed(kettle_bench):
    scored = event("ConformationScore", "c1", named("17"), traitScored="BodyConditionScore", score=4)
    assert only_row(kettle_bench, FOREIGN[1], scored).state == RowState.UNUSABLE
    assert only_row(kettle_bench, FOREIGN[1], {**scored, "score": 6}).state == RowState.WAITING


def deep(levels: int) -> bytes:
    return b'{"member": [' + b'{"a":' * levels + b"1" + b"}" * levels + b"]}"


HOSTILE = [
    (deep(2_000), "nested"),
    (b'{"member": [{"a": 1, "a": 2}]}', "twice"),
    (b'{"member": [{"resourceType": "a\\u0000b"}]}', "null character"),
    (b'{"member": [7]}', "object"),
    (b'{"member": [{"resourceType": "icarWeightEventResource", "animal": 1e400}]}', "object"),
    (b'{"member": [{}]}', "does not say what it is"),
    (b'{"member": [{"resourceType": "icarAnimalCoreResource"}]}', "names no animal"),
]


@pytest.mark.parametrize(("content", "word"), HOSTILE, ids=[one[1] for one in HOSTILE])
def test_hostile_resources_stay_with_a_reason(kettle_bench, content, word):
    day = bring(kettle_bench, content)
    [row] = StagedRow.objects.filter(day=day)
    assert row.state == RowState.UNUSABLE
    assert word in row.reason


BROKEN = [
    *(b"", b"{", b"[", b"7", b"not json", b"\xff\xfe"),
    *(b'{"member": 3}', b'{"member": [{"a": 1}', b'{"member": [NaN]}'),
]


@pytest.mark.parametrize("content", BROKEN)
def test_what_is_no_document_says_so_and_brings_nothing(kettle_bench, content):
    day = bring(kettle_bench, content)
    assert day.files.get().problem != ""
    assert not StagedRow.objects.filter(day=day).exists()


def test_more_resources_than_allowed_are_refused(kettle_bench, monkeypatch):
    monkeypatch.setattr("herd.exchange.inward.stream.MOST_MEMBERS", 3)
    assert "at most 3" in bring(kettle_bench, [{}] * 4).files.get().problem
