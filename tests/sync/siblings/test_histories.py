"""Random histories of three installations and three phones end in one record, from which nothing is missing."""

import logging
import os
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.sync.siblings.installation import Installation
from tests.sync.siblings.machine import begin_with
from tests.sync.siblings.world import make_world

EXAMPLES = int(os.environ.get("NOTCHBOOK_HISTORIES", "6"))
STEPS = int(os.environ.get("NOTCHBOOK_STEPS", "18"))


def settings_of(examples: int, *, repeats: bool = True, shrinks: bool = False) -> settings:
    """The same histories each time, unless others are wanted."""
    return settings(
        max_examples=examples,
        stateful_step_count=STEPS,
        deadline=None,
        derandomize=repeats,
        database=None,
        report_multiple_bugs=False,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate, Phase.shrink] if shrinks else [Phase.generate],
    )


@pytest.fixture
def quiet_log() -> Iterator[None]:
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


def test_random_histories_end_in_one_record(installations: list[Installation], quiet_log: None):
    machine = begin_with(make_world(installations, with_pen=True))
    shrinks = bool(os.environ.get("NOTCHBOOK_SHRINK"))
    repeats = not os.environ.get("NOTCHBOOK_HISTORIES_ANEW")
    run_state_machine_as_test(machine, settings=settings_of(EXAMPLES, repeats=repeats, shrinks=shrinks))
