"""The protocol keeps its promises in histories at random."""

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.sync.properties.machine import History

STEPS = 25
HISTORIES = 40


@pytest.mark.django_db
def test_the_promises_hold_in_histories_at_random():
    run_state_machine_as_test(
        History,
        settings=settings(
            max_examples=HISTORIES,
            stateful_step_count=STEPS,
            deadline=None,
            derandomize=True,
            database=None,
            suppress_health_check=list(HealthCheck),
            phases=[Phase.explicit, Phase.generate, Phase.shrink],
        ),
    )
