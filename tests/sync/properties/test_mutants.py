"""Every fault put into the protocol is seen: by a history written by hand, many by histories at random as well."""

import logging
from collections.abc import Iterator

import pytest

from tests.sync.properties.machine import rolled_back
from tests.sync.properties.mutants import MUTANTS, Mutant
from tests.sync.properties.running import walk
from tests.sync.properties.scenarios import ALL, Scenario
from tests.sync.properties.world import make_world

HISTORIES = 12
AT_RANDOM = [one for one in MUTANTS if one.at_random]


@pytest.fixture(autouse=True)
def quiet_log(db: None) -> Iterator[None]:
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


@pytest.mark.parametrize("scenario", ALL, ids=lambda one: one.__name__)
def test_a_sound_protocol_walks_through(scenario: Scenario):
    with rolled_back():
        scenario(make_world())


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda one: one.name)
def test_a_history_by_hand_shows(mutant: Mutant):
    with rolled_back():
        world = make_world()
        with mutant.put_in(), pytest.raises(AssertionError):
            mutant.shows_in(world)


@pytest.mark.parametrize("mutant", AT_RANDOM, ids=lambda one: one.name)
def test_histories_at_random_find(mutant: Mutant):
    with mutant.put_in(), pytest.raises(AssertionError):
        walk(HISTORIES, start=0)
