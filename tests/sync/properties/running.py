"""Runs histories: a few in the tests, many by hand."""

import logging
from typing import Any

from hypothesis import HealthCheck, Phase, Verbosity, seed, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.sync.properties.machine import History, rolled_back
from tests.sync.properties.world import make_world

STEPS = 25


def walk(examples: int, *, start: int | None = None, shrinks: bool = False, machine: Any = History) -> None:
    """Run so many histories, the same ones each time unless another start is given; raises what a promise broke on."""
    phases = [Phase.generate, Phase.shrink] if shrinks else [Phase.generate]
    chosen = machine if start is None else seed(start)(machine)
    logging.disable(logging.CRITICAL)
    try:
        with rolled_back():
            History.beginning = make_world()
            run_state_machine_as_test(chosen, settings=_settings(examples, phases, repeats=start is None))
    finally:
        logging.disable(logging.NOTSET)


def _settings(examples: int, phases: list[Phase], *, repeats: bool) -> settings:
    return settings(
        max_examples=examples,
        stateful_step_count=STEPS,
        deadline=None,
        derandomize=repeats,
        database=None,
        report_multiple_bugs=False,
        suppress_health_check=list(HealthCheck),
        phases=phases,
        verbosity=Verbosity.normal,
    )
