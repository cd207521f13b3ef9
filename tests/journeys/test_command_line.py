"""The main way by the command line: a herd list, a day's files, JSON, exit codes, the record printed."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from herd.accounts.models import Outfit

HERD = """EID,Tag,Color,Class,Born,Dam,Group
840270000000101,101,yellow,cow,2019-03-04,,Upper Bench
840270000000202,202,yellow,cow,2019-03-10,,Upper Bench
840270000000303,303,yellow,cow,2018-04-01,,Upper Bench
840270000000404,404,orange,heifer,2025-03-09,101,Upper Bench
"""
SCALE = """Ranch scale
Printed 14 Oct 2026

EID,Weight (lb)
840270000000101,1180
840270000000202,ERR

840270000000303,560
840270000000999,1130
Total,4
"""
VET = "Tag;Color;Preg;Note\n101;yellow;120 days;\"quiet\ncow\"\n202;yellow;open;\n"


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """The field files in a folder."""
    for name, text in (("herd.csv", HERD), ("scale.csv", SCALE), ("vet.csv", VET)):
        (tmp_path / name).write_text(text)
    return tmp_path


def intake(*arguments: str) -> tuple[int, dict[str, Any]]:
    """Run the command with --json; its exit code and what it printed."""
    out, code = io.StringIO(), 0
    try:
        call_command("intake", *arguments, "--json", stdout=out)
    except SystemExit as ending:
        code = int(str(ending.code))
    return code, json.loads(out.getvalue())


def record(outfit: Outfit) -> dict[str, Any]:
    """What `export` prints."""
    out = io.StringIO()
    call_command("export", "--outfit", outfit.code, "--json", stdout=out)
    return json.loads(out.getvalue())


def bring_herd(outfit: Outfit, files: Path) -> tuple[int, dict[str, Any]]:
    return intake(
        str(files / "herd.csv"), "--outfit", outfit.code, "--herd-list", "--day", "2026-10-01", "--apply-clear"
    )


def work_day(outfit: Outfit, files: Path, *more: str) -> tuple[int, dict[str, Any]]:
    names = [str(files / "scale.csv"), str(files / "vet.csv")]
    return intake(*names, "--outfit", outfit.code, "--group", "upper bench", "--day", "2026-10-14", *more)


def test_the_first_herd_list_brings_all_animals_in(kettle_bench: Outfit, files: Path) -> None:
    code, answer = bring_herd(kettle_bench, files)
    assert code == 0
    assert (answer["files"][0]["lines"], answer["files"][0]["applied"], answer["findings"]) == (4, 4, [])
    animals = record(kettle_bench)["animals"]
    assert sorted(one["class"] for one in animals) == ["cow", "cow", "cow", "heifer"]
    heifer = next(one for one in animals if one["class"] == "heifer")
    dam = next(one for one in animals if one["id"] == heifer["dam"])
    assert {tag["number"] for tag in dam["tags"]} == {"840270000000101", "101"}
    assert heifer["sources"]["born_on"] == {"file": "herd.csv", "line": 5}
    assert heifer["group"] == "Upper Bench"


def test_a_day_says_what_waits_and_why_with_lines_of_the_file_as_it_is(kettle_bench: Outfit, files: Path) -> None:
    bring_herd(kettle_bench, files)
    code, answer = work_day(kettle_bench, files, "--apply-clear")
    assert code == 3
    scale, vet = answer["files"]
    for file in (scale, vet):
        ends = [file[end] for end in ("applied", "known", "set_aside", "unusable", "waiting")]
        assert sum(ends) == file["lines"]
    assert (scale["lines"], scale["applied"], scale["unusable"], scale["waiting"]) == (4, 1, 1, 2)
    assert (vet["lines"], vet["applied"]) == (2, 2)
    assert scale["dialect"]["header_line"] == 4
    assert {one["kind"] for one in answer["findings"]} == {"doubtful_value", "unknown_tag", "not_seen"}
    doubtful = next(one for one in answer["findings"] if one["kind"] == "doubtful_value")
    assert doubtful["lines"] == [{"file": "scale.csv", "line": 8}]
    assert doubtful["animal"]
    assert doubtful["reasons"]
    assert {"choice", "label", "effect"} <= set(doubtful["choices"][0])
    error = answer["unusable_lines"][0]
    assert (error["file"], error["line"], error["column"], error["value"]) == ("scale.csv", 6, "Weight (lb)", "ERR")
    assert error["reason"]


def test_the_weight_stands_with_its_file_and_line(kettle_bench: Outfit, files: Path) -> None:
    bring_herd(kettle_bench, files)
    work_day(kettle_bench, files, "--apply-clear")
    events = [event for animal in record(kettle_bench)["animals"] for event in animal["events"]]
    weight = next(one for one in events if one["kind"] == "weight")
    assert weight["data"] == {"unit": "lb", "weight": "1180"}
    assert weight["weight_ng"] == 1180 * 453_592_370_000
    assert weight["source"] == {"file": "scale.csv", "line": 5}
    checks = {one["data"]["result"]: one["source"]["line"] for one in events if one["kind"] == "pregnancy_check"}
    assert checks == {"pregnant": 2, "open": 4}


def test_the_same_files_again_are_known_already(kettle_bench: Outfit, files: Path) -> None:
    bring_herd(kettle_bench, files)
    work_day(kettle_bench, files, "--apply-clear")
    before = record(kettle_bench)
    _, again = work_day(kettle_bench, files, "--apply-clear")
    assert [file["applied"] for file in again["files"]] == [0, 0]
    assert again["files"][1]["known"] == 2
    assert record(kettle_bench) == before


def test_nothing_is_written_without_being_told_to(kettle_bench: Outfit, files: Path) -> None:
    bring_herd(kettle_bench, files)
    before = record(kettle_bench)
    code, answer = work_day(kettle_bench, files)
    assert (code, answer["written"]) == (3, {})
    assert answer["ready"]["weights"] == 1
    assert record(kettle_bench) == before


@pytest.mark.parametrize(
    ("arguments", "code", "sentence"),
    [
        (["scale.csv", "--outfit", "nowhere"], 1, "no outfit with the code 'nowhere'"),
        (["scale.csv", "--outfit", "kettle-bench", "--group", "Far Side"], 1, "no group called 'Far Side'"),
        (["absent.csv", "--outfit", "kettle-bench"], 1, "absent.csv can't be read"),
        (["scale.csv", "scale.csv", "--outfit", "kettle-bench"], 1, "in this day already"),
    ],
)
def test_what_is_refused_says_why(
    kettle_bench: Outfit, files: Path, arguments: list[str], code: int, sentence: str
) -> None:
    paths = [str(files / one) if one.endswith(".csv") else one for one in arguments]
    with pytest.raises(CommandError, match=sentence) as refused:
        call_command("intake", *paths)
    assert refused.value.returncode == code


def test_a_file_that_cannot_be_read_is_refused_with_its_sentence(kettle_bench: Outfit, tmp_path: Path) -> None:
    (tmp_path / "picture.csv").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40)
    code, answer = intake(str(tmp_path / "picture.csv"), "--outfit", kettle_bench.code)
    assert code == 1
    assert answer["files"][0]["problem"].endswith(".")
