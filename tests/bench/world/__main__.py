"""Reads hard files with every reader and prints how near each comes to what a careful person reads.

    python -m tests.bench.world                  our own two halves: one mended against, one set apart
    python -m tests.bench.world FOLDER           a folder of files with their truth beside (see truth.py)
    python -m tests.bench.world --write FOLDER   writes our own files and their truth into FOLDER/seen and FOLDER/apart
    python -m tests.bench.world --wrong          names the files of the first half that our reader reads wrong

Needs requirements/bench.txt.
"""

import signal
import sys
import time
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import mean

from tests.bench.world.apart import apart_files
from tests.bench.world.peers import READERS
from tests.bench.world.scoring import Found, Score, score
from tests.bench.world.seen import seen_files
from tests.bench.world.truth import HardFile, folder_files, write_folder

PATIENCE_SECONDS = 20
COLUMNS = ("whole", "header", "rows", "cells", "delimiter", "encoding")


class OutOfPatience(Exception):  # noqa: N818
    """A reader took too long over one file."""


def _give_up(*_: object) -> None:
    raise OutOfPatience


def read(reader: Callable[[bytes], Found], file: HardFile) -> Found:
    """What the reader finds; any failure of it counts as a refusal."""
    signal.signal(signal.SIGALRM, _give_up)
    signal.alarm(PATIENCE_SECONDS)
    try:
        return reader(file.content)
    except Exception:
        return Found([], refused=True)
    finally:
        signal.alarm(0)


def table(title: str, files: list[HardFile]) -> None:
    """Print a line for each reader: share of files read wholly right, then means over the files."""
    print(f"{title}: {len(files)} files")  # noqa: T201
    print(f"{'':<18}" + "".join(f"{name:>11}" for name in COLUMNS) + f"{'refused':>9}{'seconds':>9}")  # noqa: T201
    for name, reader in READERS.items():
        began = time.perf_counter()
        found = [read(reader, file) for file in files]
        seconds = time.perf_counter() - began
        scores = [score(each, file.truth) for each, file in zip(found, files, strict=True)]
        refused = sum(each.refused for each, file in zip(found, files, strict=True) if not file.truth.unreadable)
        told = "".join(f"{_mean(scores, column):>11}" for column in COLUMNS)
        print(f"{name:<18}{told}{refused:>9}{seconds:>9.1f}")  # noqa: T201


def _mean(scores: list[Score], column: str) -> str:
    values = [value for each in scores if (value := getattr(each, column)) is not None]
    return f"{mean(values):.4f}" if any(values) else "-"


def wrong(files: list[HardFile]) -> Iterator[str]:
    """The files that our reader doesn't read wholly right, with their kind."""
    for file in files:
        judged = score(READERS["read_field_file"](file.content), file.truth)
        if judged.whole < 1:
            yield f"{file.name:<44} {file.truth.kind:<60} header {judged.header} rows {judged.rows:.3f}"


def main(arguments: list[str]) -> None:
    """Do what the arguments say."""
    warnings.simplefilter("ignore")
    match arguments:
        case ["--write", folder]:
            write_folder(seen_files(), Path(folder) / "seen")
            write_folder(apart_files(), Path(folder) / "apart")
        case ["--wrong"]:
            print(*wrong(seen_files()), sep="\n")  # noqa: T201
        case [folder]:
            table(folder, list(folder_files(Path(folder))))
        case _:
            table("the half that the reader is mended against", seen_files())
            table("the half set apart", apart_files())


if __name__ == "__main__":
    main(sys.argv[1:])
