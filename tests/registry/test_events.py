"""Events: every declared kind is recorded, corrected, voided, and refused where it makes no sense."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event, Group, GroupMembership
from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from herd.registry.services.refused import Refused
from herd.values.eventkinds import EVENT_KINDS
from herd.values.mass import Weight, WeightUnit
from tests.cast import entry, register

DAY = date(2025, 10, 14)

SAMPLES: dict[str, dict[str, Any]] = {
    "weight": {"weight": "512", "unit": "lb", "purpose": "weaning"},
    "pregnancy_check": {"result": "pregnant", "days": 120},
    "service": {"method": "AI"},
    "calving": {"outcome": "live"},
    "weaning": {},
    "treatment": {"product": "penicillin", "withdrawal_days": 10},
    "vaccination": {"product": "clostridial 7-way"},
    "sample": {"tube": "KB-000417"},
    "sample_result": {"tube": "KB-000417", "test": "BVD", "result": "negative"},
    "body_condition": {"score": "5.5"},
    "hip_height": {"height": "51 in"},
    "scrotal": {"circumference": "34 cm"},
    "movement": {"to": "Mill Trap"},
    "sale": {"buyer": "sale barn"},
    "purchase": {"seller": "neighbor"},
    "transfer": {"to": "Far Rim"},
    "death": {"cause": "lightning"},
    "missing": {},
    "found": {},
    "castration": {"method": "banded"},
    "note": {"note": "walks over fences"},
}
STATUS_AFTER = {"sale": "sold", "death": "dead", "missing": "missing", "transfer": "transferred"}


def happen(animal_id: UUID, kind: str, day: date | None = DAY, **data: Any) -> NewEvent:
    data = data or SAMPLES[kind]
    heavy = nanograms_of(data) if kind == "weight" else None
    return NewEvent(animal_id, kind, day, data, weight_ng=heavy)


def nanograms_of(data: dict[str, Any]) -> int:
    return Weight(Decimal(data["weight"]), WeightUnit(data["unit"])).nanograms


def test_every_declared_kind_has_a_sample_here() -> None:
    assert set(SAMPLES) == set(EVENT_KINDS)


@pytest.mark.parametrize("kind", sorted(EVENT_KINDS))
def test_each_kind_is_recorded_with_its_data(kettle_bench: Outfit, kind: str) -> None:
    animal = register(kettle_bench, animal_class="bull" if kind in {"castration", "scrotal"} else "cow")
    events.record(entry=entry(kettle_bench), events=[happen(animal, kind)])
    event = Event.objects.get(animal=animal)
    assert (event.kind, event.happened_on, event.data) == (kind, DAY, SAMPLES[kind])
    assert Animal.objects.get(pk=animal).status == STATUS_AFTER.get(kind, "on_hand")


@pytest.mark.parametrize(
    ("animal_class", "kind", "says"),
    [
        ("cow", "scrotal", "a cow has no scrotal circumference"),
        ("heifer", "scrotal", "a heifer has no scrotal circumference"),
        ("bull", "calving", "a bull has no calving"),
        ("steer", "calving", "a steer has no calving"),
    ],
)
def test_what_can_not_happen_to_a_class_is_refused(
    kettle_bench: Outfit, animal_class: str, kind: str, says: str
) -> None:
    animal = register(kettle_bench, animal_class=animal_class)
    with pytest.raises(Refused, match=says):
        events.record(entry=entry(kettle_bench), events=[happen(animal, kind)])
    # What is not known of it rules nothing out; a steer was a bull when he was measured.
    others = [register(kettle_bench, animal_class=one) for one in ("", "steer" if kind == "scrotal" else "heifer")]
    events.record(entry=entry(kettle_bench), events=[happen(one, kind) for one in others])


# The pound is 0.45359237 kg exactly: international yard and pound agreement of 1959.
def test_a_weight_is_kept_exactly_beside_the_entered_figure(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    events.record(entry=entry(kettle_bench), events=[happen(cow, "weight")])
    event = Event.objects.get(animal=cow)
    assert event.weight_ng == 512 * 453_592_370_000
    assert event.data["weight"] == "512"


@pytest.mark.parametrize(
    ("kind", "data", "says"),
    [
        ("branding", {}, "no kind of event called 'branding'"),
        ("pregnancy_check", {}, "needs: result"),
        ("pregnancy_check", {"result": "maybe"}, "must be one of pregnant, open, recheck"),
        ("pregnancy_check", {"result": "pregnant", "days": -3}, "whole number of days"),
        ("treatment", {"product": "penicillin", "colour": "red"}, "no field 'colour'"),
        ("weight", {"weight": "512", "unit": "lb"}, "more than nothing"),
        ("note", {"note": ""}, "needs: note"),
    ],
)
def test_an_event_that_contradicts_its_kind_is_refused(
    kettle_bench: Outfit, kind: str, data: dict[str, Any], says: str
) -> None:
    cow = register(kettle_bench)
    with pytest.raises(Refused, match=says):
        events.record(entry=entry(kettle_bench), events=[NewEvent(cow, kind, DAY, data)])
    assert not Event.objects.exists()


def test_an_event_in_the_future_is_refused(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    with pytest.raises(Refused, match="lies in the future"):
        events.record(
            entry=entry(kettle_bench), events=[happen(cow, "note", timezone.now().date() + timedelta(days=3))]
        )


def test_an_event_before_the_birth_is_refused(kettle_bench: Outfit) -> None:
    calf = register(kettle_bench, animal_class="heifer", born_on=date(2025, 3, 1), born_precision="day")
    with pytest.raises(Refused, match="born on 2025-03-01"):
        events.record(entry=entry(kettle_bench), events=[happen(calf, "weight", date(2025, 2, 28))])
    with pytest.raises(Refused, match="not in this outfit's record"):
        events.record(entry=entry(kettle_bench), events=[happen(uuid4(), "weight")])


def test_the_database_refuses_a_weight_of_nothing(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    events.record(entry=entry(kettle_bench), events=[happen(cow, "weight")])
    with pytest.raises(IntegrityError), transaction.atomic():
        Event.objects.update(weight_ng=0)


def test_a_sample_tube_is_of_one_animal(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench), register(kettle_bench)
    events.record(entry=entry(kettle_bench), events=[happen(first, "sample")])
    with pytest.raises(Refused, match="Tube KB-000417 was used on 2025-10-14"):
        events.record(entry=entry(kettle_bench), events=[happen(second, "sample")])
    fresh = [happen(first, "sample", tube="KB-9"), happen(second, "sample", tube="KB-9")]
    with pytest.raises(Refused, match="would be used twice"):
        events.record(entry=entry(kettle_bench), events=fresh)


def test_the_database_refuses_a_sample_tube_twice(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench), register(kettle_bench)
    events.record(entry=entry(kettle_bench), events=[happen(first, "sample"), happen(second, "note")])
    with pytest.raises(IntegrityError), transaction.atomic():
        Event.objects.filter(animal=second).update(kind="sample", tube="KB-000417")


def test_a_result_names_the_tube_of_its_sample(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    events.record(entry=entry(kettle_bench), events=[happen(cow, "sample"), happen(cow, "sample_result")])
    assert set(Event.objects.values_list("tube", flat=True)) == {"KB-000417"}


def test_a_voided_event_stays_in_the_table_and_answers_nothing(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    event = happen(cow, "sample")
    events.record(entry=entry(kettle_bench), events=[event])
    events.void(entry=entry(kettle_bench), event_id=event.id, reason="tube broke")
    assert Event.objects.get(pk=event.id).is_void
    assert not Event.objects.of(kettle_bench).exists()
    with pytest.raises(Refused, match="void already"):
        events.void(entry=entry(kettle_bench), event_id=event.id, reason="again")


def test_a_voided_sample_gives_its_tube_back(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench), register(kettle_bench)
    event = happen(first, "sample")
    events.record(entry=entry(kettle_bench), events=[event])
    events.correct(
        entry=entry(kettle_bench), event_id=event.id, new=happen(second, "sample"), reason="wrong cow"
    )
    standing = Event.objects.of(kettle_bench).get()
    assert (standing.animal_id, standing.supersedes_id) == (second, event.id)


def in_mill_trap(outfit: Outfit) -> tuple[UUID, UUID]:
    trap = groups.open_group(entry=entry(outfit), name="Mill Trap")
    return trap, register(outfit, group_id=trap, on=date(2024, 3, 1))


def test_a_sale_closes_status_and_membership(kettle_bench: Outfit) -> None:
    _, cow = in_mill_trap(kettle_bench)
    events.record(entry=entry(kettle_bench), events=[happen(cow, "sale")])
    animal = Animal.objects.get(pk=cow)
    assert (animal.status, animal.status_since, animal.group_id) == ("sold", DAY, None)
    assert GroupMembership.objects.get(animal=cow).left_on == DAY


def test_a_voided_sale_brings_the_animal_back_into_its_group(kettle_bench: Outfit) -> None:
    trap, cow = in_mill_trap(kettle_bench)
    sale = happen(cow, "sale")
    events.record(entry=entry(kettle_bench), events=[sale])
    events.void(entry=entry(kettle_bench), event_id=sale.id, reason="it was her sister")
    animal = Animal.objects.get(pk=cow)
    assert (animal.status, animal.group_id) == ("on_hand", trap)
    assert GroupMembership.objects.get(animal=cow).left_on is None


def test_a_sale_moved_to_another_day_moves_the_end_of_the_membership(kettle_bench: Outfit) -> None:
    _, cow = in_mill_trap(kettle_bench)
    sale = happen(cow, "sale")
    events.record(entry=entry(kettle_bench), events=[sale])
    new = happen(cow, "sale", date(2025, 10, 21))
    events.correct(entry=entry(kettle_bench), event_id=sale.id, new=new, reason="a week later")
    assert GroupMembership.objects.get(animal=cow).left_on == date(2025, 10, 21)
    assert Animal.objects.get(pk=cow).status_since == date(2025, 10, 21)


def test_one_of_two_sales_voided_leaves_the_animal_sold(kettle_bench: Outfit) -> None:
    _, cow = in_mill_trap(kettle_bench)
    first, second = happen(cow, "sale"), happen(cow, "sale")
    events.record(entry=entry(kettle_bench), events=[first])
    events.record(entry=entry(kettle_bench), events=[second])
    events.void(entry=entry(kettle_bench), event_id=second.id, reason="written twice")
    assert Animal.objects.get(pk=cow).status == "sold"
    assert GroupMembership.objects.get(animal=cow).left_on == DAY


def test_a_sale_before_the_last_move_still_takes_the_animal_out(kettle_bench: Outfit) -> None:
    trap, cow = in_mill_trap(kettle_bench)
    bench = groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    groups.move(entry=entry(kettle_bench), animal_ids=[cow], group_id=bench, on=date(2025, 11, 1))
    events.record(entry=entry(kettle_bench), events=[happen(cow, "sale")])
    assert not GroupMembership.objects.of(kettle_bench).filter(left_on=None).exists()
    assert Animal.objects.get(pk=cow).group_id is None
    assert Group.objects.get(pk=trap).name == "Mill Trap"
