"""What is installed is exactly what is written down."""

from herd.config.pins import are_installed, is_met, requirement_lines
from tests.architecture.sources import ROOT

DEV = ROOT / "requirements" / "dev.txt"


def test_every_requirement_is_pinned_to_one_version():
    lines = requirement_lines(DEV)
    assert len(lines) > 20
    assert [line for line in lines if line.partition(";")[0].count("==") != 1 or "*" in line] == []


def test_no_requirement_is_named_twice():
    names = [
        line.partition("==")[0].partition("[")[0].lower().replace("_", "-") for line in requirement_lines(DEV)
    ]
    assert sorted(names) == sorted(set(names))


def test_the_tests_run_on_the_pinned_versions():
    assert [line for line in requirement_lines(DEV) if not is_met(line)] == []
    assert are_installed(DEV)
