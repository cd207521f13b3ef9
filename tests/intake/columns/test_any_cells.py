"""Whatever stands in a file, guessing and reading come to an end and lose nothing."""

import json
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from herd.intake.columns.kinds import COLUMN_KINDS
from herd.intake.columns.mapping import guess_columns
from herd.intake.columns.reading import RowReader

TODAY = date(2026, 11, 25)
ALL_KINDS = sorted(COLUMN_KINDS)
COLUMNS = [{"index": place, "header": kind, "kind": kind, "settings": {}} for place, kind in enumerate(ALL_KINDS)]
READER = RowReader(COLUMNS, default_unit="lb", today=TODAY, zone_name="America/Denver")
WRITINGS = st.one_of(
    st.text(max_size=24),
    st.from_regex(r"[0-9OIl .,\-/:eE+x]{1,20}", fullmatch=True),
    st.from_regex(
        r"[0-9]{1,2}[/.\-][0-9]{1,2}[/.\-][0-9]{2,4}( [0-9]{1,2}:[0-9]{2}(Z|[+\-][0-9]{2}))?", fullmatch=True
    ),
    st.sampled_from(
        [
            "840270000000417",
            "417",
            "512 lb",
            "5 cwt",
            "open",
            "cow",
            "x",
            "no",
            "#REF!",
            "²",
            "٣",
            "8.4E+14",
            "1" * 5000,
        ]
    ),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(WRITINGS, max_size=len(ALL_KINDS)))
def test_reading_never_stops_at_any_cells(cells):
    row = READER.read(cells)
    json.dumps([row.readings, row.problems, row.cautions])
    assert all(one["value"] in cells for one in row.problems)


@settings(max_examples=150, deadline=None)
@given(WRITINGS, st.sampled_from(ALL_KINDS))
def test_a_cell_gives_a_reading_a_problem_or_stands_for_nothing(cell, kind):
    column = {"index": 0, "header": "", "kind": kind, "settings": {"order": "MDY"}}
    row = RowReader([column], default_unit="kg", today=TODAY, zone_name="UTC").read([cell])
    assert not (row.readings and [one for one in row.problems if one["kind"] != kind])
    json.dumps([row.readings, row.problems, row.cautions])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text(max_size=12), max_size=4), st.lists(st.lists(WRITINGS, max_size=5), max_size=6))
def test_guessing_covers_every_column_of_any_file(header, rows):
    guesses = guess_columns(header, rows, default_unit="lb", today=TODAY)
    assert [one.index for one in guesses] == list(range(max([len(header), *map(len, rows)], default=0)))
    assert all(one.kind in COLUMN_KINDS and one.reasons and 0 <= one.confidence <= 1 for one in guesses)
    RowReader(guesses, default_unit="lb", today=TODAY, zone_name="UTC")
