"""Noisy days with known truth: whose each line is, as the product's matcher finds it and as splink does.

Both are given the same: the readings that the product read and cleaned from the files, and the herd as registered. A
line counts that says an EID or a visual number. What the product uses besides, because a day has it, is who is in the
group that was worked, who was on hand, and what the other files of the day say of the same head.
"""

import time
from collections.abc import Iterator
from typing import Any

import pandas
import splink.comparison_library as comparisons
from splink import DuckDBAPI, Linker, SettingsCreator, block_on

Given = tuple[str, set[Any], set[Any], float]
THRESHOLDS = (0.5, 0.99)


def walk_days(days: int, head: int) -> Iterator[Given]:
    """For each way its name, the pairs of line and animal found, the true ones, and seconds."""
    from herd.accounts.services import open_outfit  # noqa: PLC0415 (settings come from the scratch installation)
    from tests.noisy.days import make_day  # noqa: PLC0415
    from tests.noisy.test_noisy_days import stage  # noqa: PLC0415

    found, true, rows, herds, seconds = set(), set(), [], [], 0.0
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
            if one.animal_id and not one.state:
                found.add((key, one.animal_id))
        herds += [_row(seed, one.id, one.eid, one.vid, one.colour) for one in noisy.herd]
    yield "the product's matcher", found, true, seconds
    yield from _by_splink(rows, herds, true)


def _settled(day: Any) -> list[Any]:
    from herd.intake.deciding.who import settle_whose  # noqa: PLC0415
    from herd.intake.queries.view import load_view  # noqa: PLC0415
    from herd.intake.steps.settle import load_answers, load_rows  # noqa: PLC0415

    rows = load_rows(day)
    return settle_whose(rows, load_view(day, rows), load_answers(day), day.worked_on)


def _row(day: int, key: Any, eid: str | None, vid: str | None, colour: str | None) -> dict[str, Any]:
    return {"day": day, "key": key, "eid": eid or None, "vid": vid or None, "colour": colour or None}


def _by_splink(rows: list[dict[str, Any]], herds: list[dict[str, Any]], true: set[Any]) -> Iterator[Given]:
    began = time.perf_counter()
    tables = [_frame(rows), _frame(herds)]
    settings = SettingsCreator(
        link_type="link_only",
        comparisons=[
            comparisons.DamerauLevenshteinAtThresholds("eid", [1, 2]),
            comparisons.DamerauLevenshteinAtThresholds("vid", [1]),
            comparisons.ExactMatch("colour"),
        ],
        blocking_rules_to_generate_predictions=[
            block_on("day", "eid"),
            block_on("day", "vid"),
            block_on("day", "substr(eid, 10, 6)"),
            block_on("day", "substr(eid, 1, 12)"),
        ],
        retain_matching_columns=False,
    )
    base = DuckDBAPI()
    linker = Linker([base.register(table.drop(columns="key")) for table in tables], settings, log_level="ERROR")
    linker.training.estimate_probability_two_random_records_match([block_on("day", "eid")], recall=0.8)
    linker.training.estimate_u_using_random_sampling(max_pairs=1e6, seed=1)
    for columns in (("day", "eid"), ("day", "vid")):
        linker.training.estimate_parameters_using_expectation_maximisation(block_on(*columns))
    pairs = linker.inference.predict(threshold_match_probability=THRESHOLDS[0]).as_pandas_dataframe()
    seconds = time.perf_counter() - began
    best = pairs.sort_values("match_probability", ascending=False).drop_duplicates("unique_id_l")
    for threshold in THRESHOLDS:
        kept = best[best["match_probability"] >= threshold]
        found = {
            (rows[int(line[1:])]["key"], herds[int(animal[1:])]["key"])
            for line, animal in map(sorted, zip(kept["unique_id_l"], kept["unique_id_r"], strict=True))
        }
        yield f"splink, best of each line, p >= {threshold}", found, true, seconds


def _frame(records: list[dict[str, Any]]) -> pandas.DataFrame:
    frame = pandas.DataFrame(records)
    mark = "a" if isinstance(records[0]["key"], tuple) else "b"
    return frame.assign(unique_id=[f"{mark}{place}" for place in range(len(records))])
