"""The command line of a scale PC, said and done in plain words."""

import pytest

from herd.client import Client
from herd.client.commands import main
from tests.client.conftest import EID
from tests.client.linking import URL, answer, around, drop_request


@pytest.fixture
def run(tmp_path, link, naps, capsys):
    """Run a command and return its exit code and what it said."""

    def do(*arguments):
        code = main(["--store", str(tmp_path / "pc.db"), *arguments], around(link, naps))
        said = capsys.readouterr()
        return code, (said.out + said.err).strip()

    return do


def test_a_day_at_the_scale(run, code_of, cow):
    assert run("enrol", URL, code_of()) == (0, "Enrolled. Now `sync` brings the herd here.")
    assert run("sync")[1].endswith("delivered 0, unsent 0, to look at 0")
    code, said = run("weigh", "112", "1180", "lb")
    assert code == 0
    assert said.startswith(f"Stored.\n{EID} 112 yellow, cow, on hand, 1180 lb on ")
    assert said.endswith("1 not in the record yet")
    assert run("status") == (0, "Unsent: 1")
    assert run("sync")[1].endswith("delivered 1, unsent 0, to look at 0")
    assert run("find", "0123")[1].startswith(f"{EID} 112 yellow, cow, on hand, 1180 lb on ")
    assert run("status") == (0, "Unsent: 0")


def test_a_number_that_nobody_wears_here_is_stored_and_said(run, code_of, cow):
    run("enrol", URL, code_of())
    code, said = run("weigh", "840270000000888", "900", "lb")
    assert (code, said.splitlines()[0]) == (0, "Stored.")
    assert "the office decides" in said
    run("sync")
    assert "held: event 840270000000888" in run("status")[1]


def test_an_animal_in_withdrawal_is_named_so(run, code_of, cow, tmp_path, link):
    run("enrol", URL, code_of())
    run("sync")
    Client.open(tmp_path / "pc.db", around(link)).record("treatment", EID, {"product": "an oxytetracycline"})
    said = run("find", EID)[1]
    assert "IN WITHDRAWAL for as long as the label and the veterinarian say" in said


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("status",), 1, "enrol this device first"),
        (("enrol", "ranch.example", "X"), 1, "begins with https://"),
        (("enrol", URL, "XXXXX-XXXXX"), 1, "valid ten minutes"),
    ],
)
def test_what_can_t_be_done_is_said_in_a_sentence(run, kettle_bench, arguments, code, words):
    done, said = run(*arguments)
    assert done == code
    assert words in said


def test_mistyped_work_is_not_stored(run, code_of, cow):
    run("enrol", URL, code_of())
    assert run("weigh", "112", "1180", "stone") == (1, "A weight needs its unit: lb or kg.")
    assert run("find", "9999") == (1, "No animal here has 9999.")
    assert run("status") == (0, "Unsent: 0")


def test_without_a_network_the_sync_says_so_and_keeps_the_work(run, code_of, link):
    run("enrol", URL, code_of())
    run("weigh", "112", "1180", "lb")
    link.spoil(*[drop_request] * 6)
    code, said = run("sync")
    assert code == 3
    assert "can't be reached" in said
    assert run("status") == (0, "Unsent: 1")


def test_a_sync_that_goes_on_outlives_every_fault(run, code_of, link, cow, tmp_path, capsys):
    class EnoughError(Exception):
        pass

    run("enrol", URL, code_of())
    pauses = []

    def sleep(seconds):
        pauses.append(seconds)
        if pauses.count(30.0) == 3:
            raise EnoughError

    surroundings = around(link)
    surroundings = type(surroundings)(surroundings.clocks, sleep, surroundings.chance, link)
    problem = '{"type": "urn:notchbook:problem:forbidden", "detail": "Not today."}'
    link.spoil(answer(403, problem), *[drop_request] * 6)
    with pytest.raises(EnoughError):
        main(["--store", str(tmp_path / "pc.db"), "sync", "--every", "30"], surroundings)
    said = capsys.readouterr()
    assert said.err.splitlines()[0] == "Not today."
    assert "can't be reached" in said.err
    assert said.out.endswith("delivered 0, unsent 0, to look at 0\n")


def test_help_names_every_command(run, capsys):
    with pytest.raises(SystemExit):
        run("--help")
    said = capsys.readouterr().out
    assert all(word in said for word in ("enrol", "sync", "weigh", "find", "status"))
