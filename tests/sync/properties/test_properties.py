"""The protocol keeps its promises in histories at random."""

import pytest

from tests.sync.properties.running import walk

HISTORIES = 30


@pytest.mark.django_db
def test_the_promises_hold_in_histories_at_random():
    walk(HISTORIES)
