"""Every fault put into the protocol between installations is seen, and a sound protocol walks through."""

import logging
from collections.abc import Iterator

import pytest
from django.db import DatabaseError

from herd.client.faults import ClientError
from tests.sync.siblings.mutants import MUTANTS, SCENARIOS, Mutant, Scenario
from tests.sync.siblings.world import World

# A fault may also show itself by a record that contradicts itself, or by a round that comes to no end.
SEEN = (AssertionError, SystemExit, ClientError, DatabaseError)


@pytest.fixture(autouse=True)
def quiet_log() -> Iterator[None]:
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda one: one.__name__)
def test_a_sound_protocol_walks_through(scenario: Scenario, world: World):
    scenario(world)


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda one: one.name)
def test_a_history_by_hand_shows(mutant: Mutant, world: World):
    with mutant.put_in(), pytest.raises(SEEN):
        mutant.shows_in(world)
