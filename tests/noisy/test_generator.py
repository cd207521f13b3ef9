"""The generator of noisy days: the same for the same seed, every fault at least once, a truth that agrees."""

from collections import Counter
from pathlib import Path

from tests.noisy.days import make_day
from tests.noisy.judge import faults_of, judge, wrong_facts
from tests.noisy.kinds import HARMLESS, Fault

# These spoil a file, not a line.
OF_FILES = {Fault.BLANK_LINES, Fault.FOOTER}


def test_the_same_seed_makes_the_same_day() -> None:
    one, other = make_day(7, head=60), make_day(7, head=60)
    texts = [file.content for file in one.files if not file.name.endswith("xlsx")]
    assert texts == [file.content for file in other.files if not file.name.endswith("xlsx")]
    assert one.lines == other.lines
    assert make_day(8, head=60).lines != one.lines


def test_twenty_days_hold_every_fault() -> None:
    found: Counter[Fault] = Counter()
    for seed in range(20):
        found.update(faults_of(make_day(seed)))
    assert set(Fault) - set(found) == OF_FILES


def test_faults_come_at_the_rate_asked_for() -> None:
    spoiled = [line for line in make_day(2, head=400).lines if line.faults]
    assert 0.03 < len(spoiled) / len(make_day(2, head=400).lines) < 0.12
    assert not faults_of(make_day(2, faults=0.0))


def test_each_line_of_the_truth_is_a_line_of_its_file() -> None:
    day = make_day(3)
    for file in day.files:
        numbers = [line.line for line in day.lines if line.file == file.name]
        assert len(set(numbers)) == len(numbers)
        if not file.name.endswith("xlsx"):
            text = file.content.decode("utf-16" if file.content[:2] in (b"\xff\xfe", b"\xfe\xff") else "latin-1")
            assert max(numbers) <= len(text.splitlines())


def test_visual_numbers_on_hand_are_worn_once() -> None:
    for seed in range(5):
        on_hand = [one.vid for one in make_day(seed).herd if one.sold_on is None]
        assert len(set(on_hand)) == len(on_hand)


def test_a_plain_line_says_only_what_is_true() -> None:
    for seed in range(5):
        day = make_day(seed)
        for line in day.lines:
            if line.is_plain:
                assert line.values.items() <= day.world[line.animal_id].items()


def test_the_judge_sees_a_value_on_the_wrong_animal() -> None:
    day = make_day(1, head=30)
    line = next(line for line in day.lines if "weight" in line.values and line.is_plain)
    wrong = next(key for key in day.world if key != line.animal_id)
    empty = {"group": None, "memberships": [], "tags": []}
    weight = {
        "id": "1",
        "kind": "weight",
        "on": day.worked_on.isoformat(),
        "data": {},
        "weight_ng": line.values["weight"],
        "source": None,
    }
    before = [{"id": str(key), "events": [], **empty} for key in (line.animal_id, wrong)]
    right, bad = [{**item, "events": [weight]} for item in before]
    assert list(wrong_facts(day, before, [right, before[1]])) == []
    assert len(list(wrong_facts(day, before, [before[0], bad]))) == 1
    judged = judge(day, before, [right, bad], [])
    assert (judged.matched, judged.share, len(judged.lost_lines)) == (0, 0.0, len(day.lines))


def test_the_document_tells_every_fault() -> None:
    rows = [row.split("|") for row in Path(__file__).with_name("FAULTS.md").read_text().splitlines()]
    told = {row[1].strip(): row[3].strip() for row in rows if len(row) == 5}
    assert {Fault(kind) for kind in list(told)[2:]} == set(Fault)
    assert {Fault(kind) for kind, word in told.items() if word == "yes"} == HARMLESS
