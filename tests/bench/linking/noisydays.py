"""Noisy days with known truth: whose each line is, as the product's matcher finds it and as splink does.

Both are given the same: the readings that the product read and cleaned from the files, and the herd as registered. A
line counts that says an EID or a visual number. What the product uses besides, because a day has it, is who is in the
group that was worked, who was on hand, and what the other files of the day say of the same head. What splink is given
besides: how often lines agree with animals that they are not about, counted with the truth, because in a herd this
small a random pair is too often a true one for splink to estimate that itself. What is accepted here is not written
yet: deciding still holds lines of one animal that contradict each other.
"""

import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from random import Random
from typing import Any

import pandas
import splink.comparison_library as comparisons
from splink import DuckDBAPI, Linker, SettingsCreator, block_on

from herd.intake.matching.weights import COLOUR_SAME as COLOUR_SAME_EVIDENCE
from herd.values.nearness import is_near

Given = tuple[str, set[Any], set[Any], float]
THRESHOLDS = (0.5, 0.99)
# Lines that say a colour are too few to learn from, so splink is given the product's own estimate.
COLOUR_SAME = COLOUR_SAME_EVIDENCE.m
SAMPLED = 30_000


def walk_days(days: int, head: int) -> Iterator[Given]:
    """For each way its name, the pairs of line and animal found, the true ones, and seconds."""
    from herd.accounts.services import open_outfit  # noqa: PLC0415 (settings come from the scratch installation)
    from tests.noisy.days import make_day  # noqa: PLC0415
    from tests.noisy.test_noisy_days import stage  # noqa: PLC0415

    found, named, true, rows, herds, seconds = set(), set(), set(), [], [], 0.0
    for seed in range(3_000, 3_000 + days):
        noisy = make_day(seed, head=head)
        day = stage(open_outfit(code=f"linking-{seed}", name=f"Linking {seed}"), None, noisy)
        began = time.perf_counter()
        whose = _settled(day)
        seconds += time.perf_counter() - began
        truth = {(line.file, line.line): line.animal_id for line in noisy.lines}
        for one in whose:
            key = (seed, one.row.file_name, one.row.line)
            numbers = one.row.readings
            if not (numbers.get("eid") or numbers.get("vid")):
                continue
            rows.append(_row(seed, key, numbers.get("eid"), numbers.get("vid"), numbers.get("vid_colour")))
            if truth.get(key[1:]):
                true.add((key, truth[key[1:]]))
            best = one.animal_id or (one.verdict.best.animal_id if one.verdict.best else None)
            if one.animal_id and not one.state:
                found.add((key, one.animal_id))
            if best:
                named.add((key, best))
        herds += [_row(seed, one.id, one.eid, one.vid, one.colour) for one in noisy.herd]
    yield "the product's matcher, accepted alone", found, true, seconds
    yield "accepted, or named first when it asks", named, true, seconds
    yield from _by_splink(rows, herds, true)


def _settled(day: Any) -> list[Any]:
    from herd.intake.deciding.who import settle_whose  # noqa: PLC0415
    from herd.intake.queries.view import load_view  # noqa: PLC0415
    from herd.intake.steps.settle import load_answers, load_rows  # noqa: PLC0415

    rows = load_rows(day)
    return settle_whose(rows, load_view(day, rows), load_answers(day), day.worked_on)


def _row(day: int, key: Any, eid: str | None, vid: str | None, colour: str | None) -> dict[str, Any]:
    tail = eid[-6:] if eid else None
    return {"day": day, "key": key, "eid": eid or None, "vid": vid or None, "colour": colour or None, "tail": tail}


def _by_splink(rows: list[dict[str, Any]], herds: list[dict[str, Any]], true: set[Any]) -> Iterator[Given]:
    began = time.perf_counter()
    strangers = _strangers(rows, herds, dict(true))
    settings = SettingsCreator(
        link_type="link_only",
        comparisons=[
            comparisons.DamerauLevenshteinAtThresholds("eid", [1]).configure(u_probabilities=_u(strangers, "eid")),
            comparisons.DamerauLevenshteinAtThresholds("vid", [1]).configure(u_probabilities=_u(strangers, "vid")),
            comparisons.ExactMatch("colour").configure(
                m_probabilities=[COLOUR_SAME, 1 - COLOUR_SAME], u_probabilities=_u(strangers, "colour", has_near=False)
            ),
        ],
        blocking_rules_to_generate_predictions=[block_on("day", column) for column in ("eid", "vid", "tail")],
        probability_two_random_records_match=len(rows) / _pairs_of_a_day(rows, herds),
        retain_matching_columns=False,
    )
    base = DuckDBAPI()
    tables = [_frame(rows), _frame(herds)]
    linker = Linker([base.register(table.drop(columns="key")) for table in tables], settings, log_level="ERROR")
    for columns in (("day", "eid"), ("day", "vid")):
        linker.training.estimate_parameters_using_expectation_maximisation(
            block_on(*columns), fix_probability_two_random_records_match=True
        )
    pairs = linker.inference.predict(threshold_match_probability=THRESHOLDS[0]).as_pandas_dataframe()
    seconds = time.perf_counter() - began
    best: dict[str, tuple[float, str]] = {}
    for probability, *ends in zip(pairs["match_probability"], pairs["unique_id_l"], pairs["unique_id_r"], strict=True):
        line, animal = sorted(ends)
        best[line] = max(best.get(line, (0.0, "")), (probability, animal))
    for threshold in THRESHOLDS:
        found = {
            (rows[int(line[1:])]["key"], herds[int(animal[1:])]["key"])
            for line, (probability, animal) in best.items()
            if probability >= threshold
        }
        yield f"splink, best of each line, p >= {threshold}", found, true, seconds


def _strangers(rows: list[Any], herds: list[Any], true: dict[Any, Any]) -> list[tuple[Any, Any]]:
    """Lines beside animals of their day that they are not about."""
    chance = Random(1)
    by_day: dict[int, list[Any]] = defaultdict(list)
    for one in herds:
        by_day[one["day"]].append(one)
    pairs = ((row, chance.choice(by_day[row["day"]])) for row in chance.choices(rows, k=SAMPLED))
    return [(row, animal) for row, animal in pairs if true.get(row["key"]) != animal["key"]]


def _u(strangers: list[tuple[Any, Any]], column: str, *, has_near: bool = True) -> list[float]:
    """How often lines agree with strangers, are one slip apart from them, and differ."""
    counts = [0.5, 0.5, 0.5] if has_near else [0.5, 0.5]
    for row, animal in strangers:
        one, other = row[column], animal[column]
        if one and other:
            counts[0 if one == other else 1 if has_near and is_near(one, other) else -1] += 1
    return [count / sum(counts) for count in counts]


def _pairs_of_a_day(rows: list[Any], herds: list[Any]) -> int:
    """Pairs of a line and an animal of its own day."""
    animals = Counter(one["day"] for one in herds)
    return sum(animals[row["day"]] for row in rows)


def _frame(records: list[dict[str, Any]]) -> pandas.DataFrame:
    frame = pandas.DataFrame(records)
    mark = "a" if isinstance(records[0]["key"], tuple) else "b"
    return frame.assign(unique_id=[f"{mark}{place}" for place in range(len(records))])
