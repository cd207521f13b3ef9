"""The command line in processes of its own, on a database of its own: five files of different shapes in one day."""

import io
import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from openpyxl import Workbook

from herd.accounts.models import Outfit
from herd.intake.models import ProcessingDay
from herd.registry.services.groups import open_group
from tests.cast import entry

ROOT = Path(__file__).resolve().parents[2]
DAY = "2025-10-20"
# One more beside those that the JSON of a day promises would be no harm; one less would be.
KEYS = {
    "": {"day", "files", "findings", "unusable_lines"},
    "files": {"name", "lines", "applied", "known", "set_aside", "unusable", "waiting", "dialect"},
    "findings": {"id", "kind", "animal", "lines", "reasons", "choices"},
    "unusable_lines": {"file", "line", "column", "value", "reason"},
}


def eid(vid: int) -> str:
    """Seventeen apart, so that no two are one slip apart."""
    return f"840270{vid * 17:09d}"


VIDS = (417, 530, 688, 701, 824)
HERD = "EID,VID,Tag colour,Class,Group\n" + "".join(f"{eid(vid)},{vid},yellow,cow,Upper Bench\n" for vid in VIDS)
READER = "".join(f"{eid(vid)}\n" for vid in VIDS)
PHONE = "VID;Tag colour;Preg\n417;yellow;bred 60\n530;yellow;open\n999;white;open\n"
VET = (
    f'Work of the vet\nMill Trap, {DAY}\n\nVID,Preg,Note\n'
    '688,bred 120,"quiet\nbut lame"\n'
    "\n"
    "701,???,none\n"
)
TUBES = f"EID\tSample tube\n{eid(417)}\tT00417\n8.4027E+14\tT00530\n"


def scale() -> bytes:
    book = Workbook()
    for row in (["EID", "Weight (lb)"], [eid(417), 1180], [eid(530), 535], [eid(990), 1200]):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@dataclass(frozen=True, slots=True)
class Desk:
    """A folder with files, and an installation of its own."""

    folder: Path

    def manage(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Run a management command among the files."""
        env = {**os.environ, "NOTCHBOOK_VAR": str(self.folder / "var")}
        # The servers that the suite may run on are not this installation's: its record is a file in its folder.
        for name in ("DJANGO_SETTINGS_MODULE", "NOTCHBOOK_DATABASE_URL", "NOTCHBOOK_BROKER_URL"):
            env.pop(name, None)
        command = [sys.executable, str(ROOT / "manage.py"), *arguments]
        return subprocess.run(command, env=env, cwd=self.folder, capture_output=True, text=True, check=False)

    def intake(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Stage files for the outfit."""
        return self.manage("intake", *arguments, "--outfit", "kettle-bench")

    def record(self) -> list[dict[str, Any]]:
        """The animals as `export` prints them."""
        return json.loads(self.manage("export", "--outfit", "kettle-bench", "--json").stdout)["animals"]


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory, upgraded: Path) -> Desk:
    """Kettle Bench with its herd list applied, and the files of the day beside it."""
    folder = tmp_path_factory.mktemp("desk")
    shutil.copytree(upgraded, folder / "var")
    files = {"herd.csv": HERD, "reader.txt": READER, "phone.csv": PHONE, "vet.csv": VET, "tubes.tsv": TUBES}
    for name, text in files.items():
        (folder / name).write_bytes(text.encode())
    (folder / "scale.xlsx").write_bytes(scale())
    made = Desk(folder)
    assert made.manage("outfit", "kettle-bench", "--name", "Kettle Bench").returncode == 0
    listed = made.intake("herd.csv", "--herd-list", "--day", "2025-09-01", "--apply-clear", "--json")
    assert (listed.returncode, listed.stderr) == (0, "")
    assert json.loads(listed.stdout)["files"][0]["applied"] == len(VIDS)
    return made


def of_day(desk: Desk) -> dict[str, Any]:
    names = ["reader.txt", "phone.csv", "scale.xlsx", "vet.csv", "tubes.tsv"]
    done = desk.intake(*names, "--group", "upper bench", "--day", DAY, "--apply-clear", "--json")
    assert done.returncode == 3, done.stderr
    return json.loads(done.stdout)


def test_a_day_of_five_shapes_is_staged_applied_and_told_in_full(desk: Desk) -> None:
    answer = of_day(desk)
    assert KEYS[""] <= set(answer)
    for name in ("files", "findings", "unusable_lines"):
        assert answer[name]
        assert all(KEYS[name] <= set(one) for one in answer[name])
    for file in answer["files"]:
        ends = ("applied", "known", "set_aside", "unusable", "waiting")
        assert sum(file[end] for end in ends) == file["lines"], file["name"]
    assert [(file["name"], file["lines"]) for file in answer["files"]] == [
        ("reader.txt", 5),
        ("phone.csv", 3),
        ("scale.xlsx", 3),
        ("vet.csv", 2),
        ("tubes.tsv", 2),
    ]
    assert [file["dialect"]["delimiter"] for file in answer["files"] if file["name"] in ("phone.csv", "tubes.tsv")] == [
        ";",
        "\t",
    ]
    lines = {(one["kind"], line["file"], line["line"]) for one in answer["findings"] for line in one["lines"]}
    # Lines are counted in the file as it is: title lines, blank lines and the second line of a quoted cell count.
    assert {
        ("unknown_tag", "phone.csv", 4),
        ("unknown_tag", "scale.xlsx", 4),
        ("doubtful_value", "scale.xlsx", 3),
        ("damaged_tag", "tubes.tsv", 3),
    } <= lines
    assert ("vet.csv", 8, "Preg", "???") in {
        (one["file"], one["line"], one["column"], one["value"]) for one in answer["unusable_lines"]
    }
    assert [file["unusable"] for file in answer["files"]] == [0, 0, 0, 1, 0]
    herd = {tag["number"]: one for one in desk.record() for tag in one["tags"]}
    events = {vid: sorted(one["kind"] for one in herd[str(vid)]["events"]) for vid in VIDS}
    assert events[417] == ["pregnancy_check", "sample", "weight"]
    assert events[530] == ["pregnancy_check"]
    assert events[688] == ["note", "pregnancy_check"]
    note = next(one for one in herd["688"]["events"] if one["kind"] == "note")
    assert (note["data"]["note"], note["source"]) == ("quiet but lame", {"file": "vet.csv", "line": 5})


def test_the_same_day_again_writes_nothing(desk: Desk) -> None:
    of_day(desk)
    before = desk.record()
    answer = of_day(desk)
    assert sum(file["applied"] for file in answer["files"]) == 0
    assert desk.record() == before


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (("intake", "gone.csv", "--outfit", "kettle-bench"), 1, "gone.csv can't be read"),
        (("intake", "phone.csv", "--outfit", "kettle-bench", "--day", "20 Oct"), 2, "--day"),
        (("intake", "phone.csv"), 2, "--outfit"),
    ],
)
def test_what_is_refused_or_misused_ends_with_its_code_and_a_sentence(
    desk: Desk, arguments: tuple[str, ...], code: int, says: str
) -> None:
    done = desk.manage(*arguments)
    assert done.returncode == code, done.stderr
    assert says in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--outfit", "nobody"), "There is no outfit with the code 'nobody'"),
        (("--outfit", "far-rim", "--group", "Upper Bench"), "no group called 'Upper Bench'"),
        (("{phone}", "--outfit", "far-rim"), "is in this day already"),
    ],
)
def test_what_is_refused_opens_no_day(
    kettle_bench: Outfit, far_rim: Outfit, tmp_path: Path, arguments: tuple[str, ...], says: str
) -> None:
    open_group(entry=entry(kettle_bench), name="Upper Bench")
    phone = tmp_path / "phone.csv"
    phone.write_text(PHONE)
    with pytest.raises(CommandError, match=says) as refused:
        call_command("intake", str(phone), *(one.format(phone=phone) for one in arguments))
    assert refused.value.returncode == 1
    assert not ProcessingDay.objects.exists()
