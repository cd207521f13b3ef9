"""What the office tests share: browsers signed in as someone of the cast, and a small herd on Kettle Bench."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest
from django.core.cache import cache
from django.test import Client

from herd.accounts.models import Outfit, Person
from herd.registry.models import Event
from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from herd.values.mass import Weight, WeightUnit
from tests.cast import Cast, eid_tag, entry, register, vid_tag

EID = "840270000000417"


@pytest.fixture(autouse=True)
def _forget_failed_sign_ins():
    cache.clear()


@pytest.fixture
def as_person() -> Callable[[Person], Client]:
    """Return a browser signed in as someone."""

    def sign_in(person: Person) -> Client:
        client = Client()
        client.force_login(person)
        return client

    return sign_in


@pytest.fixture
def ada_in(cast: Cast, as_person: Callable[[Person], Client]) -> Client:
    return as_person(cast.ada)


@dataclass(frozen=True, slots=True)
class Herd:
    """Cow 417 yellow with EID, her steer calf 88 and heifer 12 in Upper Bench, and bull 5 in no group."""

    group: UUID
    cow: UUID
    calf: UUID
    heifer: UUID
    bull: UUID
    weight: Event


def weigh(outfit: Outfit, animal: UUID, on: date, figure: str, unit: WeightUnit = WeightUnit.LB) -> None:
    """Record a weight as the office does."""
    weight = Weight(Decimal(figure), unit)
    data = {"weight": figure, "unit": unit.value}
    one = NewEvent(animal, "weight", on, data, weight_ng=weight.nanograms)
    events.record(entry=entry(outfit, title="weighed"), events=[one])


@pytest.fixture
def herd(cast: Cast) -> Herd:
    bench = cast.kettle_bench
    group = groups.open_group(entry=entry(bench), name="Upper Bench")
    cow = register(bench, eid_tag(EID), vid_tag("417"), group_id=group, born_on=date(2019, 4, 2), born_precision="day")
    bull = register(bench, vid_tag("5", "orange"), animal_class="bull")
    calf = register(
        bench,
        vid_tag("88", "green"),
        animal_class="steer",
        on=date(2026, 4, 1),
        born_on=date(2026, 4, 1),
        born_precision="day",
        dam_id=cow,
        sire_id=bull,
    )
    heifer = register(bench, eid_tag("840270000000012"), vid_tag("12"), animal_class="heifer", group_id=group)
    weigh(bench, cow, date(2024, 10, 1), "1200")
    return Herd(group, cow, calf, heifer, bull, Event.objects.get(animal=cow))
