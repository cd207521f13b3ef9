"""Clean tables with one thing made wrong come back as they were, nearly always.

`python -m tests.intake.reading.test_pollution` prints the share read right over several seeds.
"""

import sys

import pytest

from herd.intake.reading import UnreadableFile, open_field_file
from tests.intake.reading.pollution import Polluted, polluted
from tests.intake.reading.tables import MAKERS, CleanTable, clean_tables


def reads_right(file: Polluted) -> bool:
    """True when header and every cell of every row come back."""
    try:
        source = open_field_file(file.content)
        rows = [cells for _, cells in source.rows()]
    except UnreadableFile:
        return False
    return source.header == file.header and rows == file.rows


def wrong_cases(table: CleanTable, step: int) -> tuple[int, list[str]]:
    """How many cases were tried (every `step`-th), and the names of those read wrong."""
    tried = [file for place, file in enumerate(polluted(table)) if place % step == 0]
    return len(tried), [file.case for file in tried if not reads_right(file)]


@pytest.mark.parametrize("table", clean_tables(), ids=lambda table: table.name)
def test_polluted_tables_are_read_right(table):
    tried, wrong = wrong_cases(table, step=4)
    assert tried > 50
    assert len(wrong) <= tried * 0.03, wrong


def test_there_are_tables_of_different_character():
    assert len({table.name for table in clean_tables()}) == len(MAKERS) >= 8


if __name__ == "__main__":
    for seed in range(3):
        for clean in clean_tables(seed):
            count, wrong = wrong_cases(clean, step=1)
            sys.stdout.write(f"seed {seed} {clean.name}: {count - len(wrong)} of {count} right {wrong}\n")
