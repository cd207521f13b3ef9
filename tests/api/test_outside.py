"""A stranger's generated calls against a server process find nothing; the long form is in tests/api/outside."""

from tests.api.outside.site import attack, site

# Seconds, not minutes: one example for each call, and the walks along the links. The long form has every phase.
PHASES = "fuzzing,stateful"


def test_generated_calls_find_nothing(tmp_path):
    with site(tmp_path) as here:
        found = attack(here, 1, "--phases", PHASES, "--seed", "1")
    assert found.status == 0, found.said
    assert "Traceback" not in here.log.read_text()
