"""Both installations sync, phones deliver and people write, all at the same moment, each with sessions of their own."""

import logging
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from herd.client.faults import ClientError
from herd.registry.models import Animal
from tests.sync.properties.fieldphone import Broken
from tests.sync.properties.test_at_once import at_once
from tests.sync.siblings import promises
from tests.sync.siblings.deeds import Done
from tests.sync.siblings.installation import Installation, Line
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.walk import come_to_rest
from tests.sync.siblings.world import Place, World, make_world

TURNS = 4
# What a busy database, or a call that came at a bad moment, may end in; all of it is done again.
TRIED_AGAIN = (ClientError, DatabaseError, Broken)


@pytest.fixture
def world(databases: list[Installation], transactional_db: None) -> Iterator[World]:
    """A world that others see as it is written, in three databases that are empty again afterwards."""
    for one in databases:
        one.line = None
    logging.disable(logging.CRITICAL)
    yield make_world(databases, with_pen=True)
    logging.disable(logging.NOTSET)
    for one in databases[1:]:
        with one.here():
            call_command("flush", verbosity=0, interactive=False, inhibit_post_migrate=True)


def in_own_session(place: Place, work: Callable[[Place, int], None], office: Place) -> None:
    """Work at a place some turns with connections of this thread's own."""
    here = Installation(place.at.name, place.at.connection.copy("default"))
    there = Installation(office.at.name, office.at.connection.copy("default"))
    here.line = Line(there)
    try:
        for turn in range(TURNS):
            with suppress(*TRIED_AGAIN):
                work(Place(here), turn)
    finally:
        for one in (here, there):
            one.connection.close()


def syncs(here: Place, turn: int) -> None:
    here.at.sync()


def delivers(phone: PocketPhone, world: World, here: Place, turn: int) -> None:
    data = {"kind": "weight", "data": {"weight": str(1000 + int(phone.device[-3:], 16) + turn), "unit": "lb"}}
    phone.capture("event", {"animal": str(world.herd[turn % 4])}, data=data, hours=-24 * turn)
    with here.at.here():
        phone.delivers()


def writes(done: Done, world: World, number: int, here: Place, turn: int) -> None:
    key, to = world.herd[turn % 4], f"{'ABC'[number]}{turn}"
    # Held from the look to the write, so that the value seen is the one that goes.
    with here.at.here(), transaction.atomic():
        seen = Animal.objects.select_for_update().get(pk=key).coat
        here.edits(key, coat=to)
    done.note(number, "edit", key, "coat", seen, to)


@pytest.mark.parametrize("engine", [f"on {connection.vendor}"])
def test_all_that_is_done_at_once_comes_to_one_record(world: World, engine: str):
    done, office = Done(), world.office
    phones = [place.phone(f"phone at the {place.at.name}") for place in world.places]
    works = [(place, partial(delivers, phone, world)) for place, phone in zip(world.places, phones, strict=True)]
    works += [(place, partial(writes, done, world, number)) for number, place in enumerate(world.places)]
    works += [(place, syncs) for place in world.places[1:]]
    at_once(*(partial(in_own_session, place, work, office) for place, work in works))
    come_to_rest(world, phones)
    promises.all_hold(world, phones, done)
