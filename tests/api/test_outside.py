"""A stranger's generated calls against a live server find nothing; the long form is in tests/api/outside."""

import pytest

from api.throttles import PerCaller
from tests.api.outside.seed import seed
from tests.api.outside.site import Site, attack

# Seconds, not minutes: the examples of the document, one more for each call, and the walks along the links.
PHASES = "examples,fuzzing,stateful"


@pytest.mark.django_db(transaction=True)
def test_generated_calls_find_nothing(live_server, tmp_path, monkeypatch, caplog):
    monkeypatch.setattr(PerCaller, "THROTTLE_RATES", {"caller": "1000000/min", "enrolment": "20/min"})
    told = seed()
    here = Site(live_server.url, told["tokens"], told["ids"], tmp_path / "log")
    found = attack(here, 1, "--phases", PHASES, "--seed", "1")
    assert found.status == 0, found.said
    assert [one.getMessage() for one in caplog.records if one.exc_info] == []
