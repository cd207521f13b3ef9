"""A herd out and into an empty outfit gives the same export; a second time changes nothing."""

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from random import Random
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herd.accounts.models import Outfit
from herd.exchange.inward.staging import take_in
from herd.exchange.outward.documents import say_all
from herd.exchange.outward.scope import Scope
from herd.intake import review
from herd.intake.days import GivenFile, undo_day
from herd.intake.models import Finding, MergedLine, ProcessingDay, RowState, StagedRow
from herd.intake.pipeline import apply_day
from herd.registry.models import Animal, Event, Location
from herd.registry.queries.export import export_outfit
from herd.registry.services import groups
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent, PutOn, TakeOff, VoidEvent
from herd.registry.services.refused import Refused
from herd.registry.services.standing import folded
from herd.registry.services.writer import write
from tests.cast import eid_tag, entry, register, vid_tag
from tests.exchange.schemas import faults_of, needs_schemas
from tests.registry.test_export import START, random_batch

DAY = date(2026, 11, 25)
LB = 453_592_370_000
# What a person says of a value that looks wrong and that the other record has all the same.
AS_TOLD = ("as_written", "take", "both")


def document(outfit: Outfit) -> bytes:
    return json.dumps({"member": list(say_all(Scope(outfit)))}).encode()


def bring(outfit: Outfit, content: bytes, name: str = "herd.json") -> ProcessingDay:
    return take_in(outfit=outfit, person=None, files=[GivenFile(name, content)], worked_on=DAY)


def take_as_told(day: ProcessingDay) -> list[Finding]:
    """Answer every finding as one who trusts the other record; returns what was asked."""
    asked = []
    while finding := Finding.objects.filter(day=day, is_open=True).first():
        choices = [one["choice"] for one in finding.choices]
        choice = next(one for verb in AS_TOLD for one in choices if one.partition(":")[0] == verb)
        review.rule(day=day, finding=finding, choice=choice)
        asked.append(finding)
    return asked


def carry(source: Outfit, target: Outfit) -> ProcessingDay:
    day = bring(target, document(source))
    take_as_told(day)
    apply_day(day, None)
    return day


def comparable(outfit: Outfit) -> list[Any]:
    """The export without the outfit's own name and the sources, and with animals by their place in it."""
    head, *animals = export_outfit(outfit)
    places = {str(key): name for key, name in Location.objects.of(outfit).values_list("pk", "name")}
    names = {item["id"]: f"animal {place}" for place, item in enumerate(animals)} | places
    return [{**head, "outfit": "", "name": ""}, *(_renamed(item, names) for item in animals)]


def _renamed(value: Any, names: dict[str, str]) -> Any:
    if isinstance(value, dict):
        kept = {key: one for key, one in value.items() if key not in ("source", "sources")}
        if kept.get("id") not in names:
            kept.pop("id", None)
        return {key: _renamed(one, names) for key, one in kept.items()}
    if isinstance(value, list):
        return [_renamed(one, names) for one in value]
    return names.get(value, value) if isinstance(value, str) else value


def differences(one: list[Any], other: list[Any]) -> Iterator[tuple[Any, Any]]:
    """Where two exports differ."""
    for left, right in zip(one, other, strict=True):
        for key in left if left != right else ():
            if left[key] != right[key]:
                yield {key: left[key]}, {key: right[key]}


def assert_same(one: Outfit, other: Outfit) -> None:
    assert list(differences(comparable(one), comparable(other)))[:2] == []


EVENTS: list[tuple[str, date | None, dict[str, Any], dict[str, Any]]] = [
    ("weight", START, {"weight": "1180.50", "unit": "lb"}, {"weight_ng": LB * 11805 // 10}),
    ("weight", START, {"weight": "540", "unit": "kg", "purpose": "other", "note": "full"}, {"weight_ng": 54 * 10**13}),
    ("pregnancy_check", START, {"result": "pregnant", "days": 60, "method": "rectal palpation, Dr"}, {}),
    ("pregnancy_check", date(2025, 4, 1), {"result": "recheck"}, {}),
    ("service", START, {"method": "AI", "note": "second straw"}, {}),
    ("service", date(2025, 3, 2), {"method": "", "sire": "a neighbour's bull"}, {}),
    ("treatment", START, {"product": "Oxy 200", "dose": "5 mL", "route": "SC", "lot": "A1", "withdrawal_days": 28,
     "body_weight": "1180 lb", "expiry": "2026-08"}, {}),
    ("treatment", START, {"product": "Oxy 200", "dose": "2 boluses", "last_on": "2025-03-03", "condition": "foot"}, {}),
    ("vaccination", START, {"product": "Seven way", "given_by": "Cal", "withdrawal_days": 21}, {}),
    ("sample", START, {"tube": "KB-1001", "tissue": "ear notch"}, {}),
    ("sample_result", START, {"tube": "KB-1001", "test": "BVD", "result": "negative"}, {}),
    ("body_condition", START, {"score": "5.5"}, {}),
    ("hip_height", START, {"height": "51.5 in"}, {}),
    ("scrotal", START, {"circumference": "34.5 cm"}, {}),
    ("weaning", START, {}, {}),
    ("castration", START, {"method": "band"}, {}),
    ("note", None, {"note": "came with the lot"}, {"precision": "unknown"}),
    ("note", date(2025, 1, 1), {"note": "that year"}, {"precision": "year"}),
    ("note", START, {"note": "at the gate"}, {"happened_at": datetime(2025, 3, 1, 19, 5, 7, 123456, UTC)}),
    ("missing", date(2025, 5, 1), {"note": "not at the gather"}, {}),
    ("found", date(2025, 5, 1), {}, {}),
    ("transfer", date(2025, 6, 1), {"to": "Far Rim"}, {}),
    ("purchase", date(2025, 6, 2), {"seller": "Far Rim", "price": "2100"}, {}),
    ("sale", date(2025, 7, 1), {"buyer": "Mill Creek", "despite_withdrawal": "vet agreed"}, {}),
]


@pytest.fixture
def herd(kettle_bench: Outfit) -> Outfit:
    """A herd with each kind of event, retags, a second EID, closed and empty groups, twins and a death."""
    home = groups.open_location(entry=entry(kettle_bench), name="Home", premises_number="001ABCD")
    bench = groups.open_group(entry=entry(kettle_bench), name="Upper Bench", location_id=home, kind="pasture")
    groups.open_group(entry=entry(kettle_bench), name="Empty Lot", kind="lot")
    tags = eid_tag("840270000000701"), vid_tag("1", year=2024)
    cow = register(kettle_bench, *tags, group_id=bench, breed="AN", coat="red")
    bull = register(kettle_bench, eid_tag("840270000000702"), animal_class="bull", origin="bought in")
    steer = register(kettle_bench, vid_tag("1", "blue"), animal_class="bull", group_id=bench)
    born = {"born_on": START, "born_precision": "day"}
    calf = NewAnimal({"entry_class": "heifer", "dam_id": cow, "sire_id": bull, **born})
    loose = NewAnimal({"entry_class": "cow", "born_on": date(2020, 1, 1), "born_precision": "year"})
    tagged = PutOn(bull, "eid", "840270000000703", worn_from=START, second_reason="the first reads badly")
    move = NewEvent(bull, "movement", START, {"to": "Home", "location": str(home)})
    calvings = [NewEvent(cow, "calving", START, {"calf": str(calf.id), "outcome": "live", "ease": "2"}),
                NewEvent(cow, "calving", START, {"outcome": "dead"})]
    serviced = NewEvent(cow, "service", date(2024, 5, 25), {"method": "pasture", "sire": str(bull)})
    died = NewEvent(bull, "death", date(2025, 8, 1), {"cause": "lightning"})
    write(entry(kettle_bench), Batch(animals=[calf, loose], put_on=[tagged], events=[move, *calvings, serviced, died]))
    events = [NewEvent(steer, kind, on, data, **more) for kind, on, data, more in EVENTS]
    write(entry(kettle_bench), Batch(events=events, joins=[Join(cow, bench, START)]))
    worn = Animal.objects.get(pk=cow).wearings.get(kind="vid")
    off = TakeOff(worn.pk, START, "lost", reason="in the brush", removed_at="Home")
    on = PutOn(cow, "vid", "9", "green", 2025, START, began="retagged", replaces=worn.pk)
    write(entry(kettle_bench), Batch(take_off=[off], put_on=[on]))
    return kettle_bench


@needs_schemas
def test_every_resource_keeps_to_the_schemas(herd):
    said = list(say_all(Scope(herd)))
    assert {one["resourceType"] for one in said} >= {"icarAnimalCoreResource", "icarTreatmentEventResource"}
    assert [fault for one in said for fault in faults_of(one)] == []


@needs_schemas
def test_a_member_that_the_schemas_do_not_name_is_found_at_any_depth(herd):
    resource = next(one for one in say_all(Scope(herd)) if one["resourceType"] == "icarWeightEventResource")
    assert list(faults_of({**resource, "wieght": 1})) != []
    assert list(faults_of({**resource, "weight": {**resource["weight"], "unit": "LBR"}})) != []
    assert list(faults_of({**resource, "eventDateTime": "yesterday"})) != []


def test_a_herd_comes_into_an_empty_outfit_as_it_was(herd, far_rim):
    day = bring(far_rim, document(herd))
    assert not StagedRow.objects.filter(day=day, state=RowState.UNUSABLE).exists()
    take_as_told(day)
    apply_day(day, None)
    assert not Finding.objects.filter(day=day, is_open=True).exists()
    assert_same(herd, far_rim)


def test_a_second_time_changes_nothing(herd, far_rim):
    carry(herd, far_rim)
    before = list(export_outfit(far_rim))
    day = bring(far_rim, document(herd), "again.json")
    assert set(StagedRow.objects.filter(day=day).values_list("state", flat=True)) == {RowState.KNOWN}
    assert not MergedLine.objects.filter(day=day).exclude(state="known").exists()
    assert apply_day(day, None).changeset_id is None
    assert list(export_outfit(far_rim)) == before


def test_its_own_record_is_known_to_an_outfit(herd):
    day = bring(herd, document(herd))
    assert set(StagedRow.objects.filter(day=day).values_list("state", flat=True)) == {RowState.KNOWN}


def test_what_came_in_can_be_taken_back_and_brought_again(herd, far_rim):
    empty = list(export_outfit(far_rim))
    day = carry(herd, far_rim)
    assert undo_day(day=day, person=None).is_possible
    assert list(export_outfit(far_rim)) == empty
    apply_day(ProcessingDay.objects.get(pk=day.pk), None)
    assert_same(herd, far_rim)


def test_each_fact_names_its_file_and_the_place_in_it(herd, far_rim):
    carry(herd, far_rim)
    said = list(say_all(Scope(herd)))
    animals = list(export_outfit(far_rim))[1:]
    place = animals[0]["sources"]["breed"]
    assert place["file"] == "herd.json"
    assert said[place["line"] - 1]["primaryBreed"]["id"] == animals[0]["breed"]


def test_changes_since_a_moment_hold_what_changed_and_what_was_taken_back(herd):
    moment = datetime.now(UTC)
    wrong = Event.objects.of(herd).filter(kind="weaning").get()
    from_now = Scope(herd, since=moment)
    assert list(say_all(from_now)) == []
    groups.open_location(entry=entry(herd), name="Creek")
    write(entry(herd), Batch(voids=[VoidEvent(wrong.pk, "did not happen")]))
    said = list(say_all(Scope(herd, since=moment)))
    assert [one.get("name") for one in said if one["resourceType"] == "icarLocationResource"] == ["Creek"]
    [gone] = [one for one in said if one["resourceType"] == "icarAnimalEventCoreResource"]
    assert gone["meta"]["isDeleted"] is True
    assert gone["id"] == str(wrong.pk)


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 10**6))
def test_any_herd_comes_through_as_it_was(kettle_bench, far_rim, seed):
    with transaction.atomic():
        trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
        groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
        for number in range(4):
            tags = eid_tag(f"84027000000070{number}"), vid_tag(str(number))
            register(kettle_bench, *tags, group_id=trap, on=START)
        chance = Random(seed)
        for _ in range(12):
            try:
                with transaction.atomic():
                    write(entry(kettle_bench), random_batch(kettle_bench, chance))
            except (Refused, IndexError):
                continue
        carry(kettle_bench, far_rim)
        assert_same(kettle_bench, far_rim)
        ids = Animal.objects.of(far_rim).values_list("pk", flat=True)
        assert all(animal.status == standing.status for animal, standing in folded(far_rim, ids))
        transaction.set_rollback(True)
