"""An installation of its own for each test that kills: on the engine and broker that this run names."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.config.conftest import named_database as named_database
from tests.faults.ranch import Ranch


@pytest.fixture
def ranch(tmp_path: Path, named_database: dict[str, str], upgraded: Path) -> Iterator[Ranch]:
    """An outfit with a herd, and a worker that is started by the test."""
    broker = os.environ.get("NOTCHBOOK_BROKER_URL")
    made = Ranch(tmp_path, {**named_database, **({"NOTCHBOOK_BROKER_URL": broker} if broker else {})})
    made.set_up(upgraded)
    yield made
    made.tear_down()
