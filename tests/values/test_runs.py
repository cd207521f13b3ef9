"""Runs of numbers: read from their ends, counted, cut, and compared by arithmetic alone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.problems import Unreadable
from herd.values.runs import Run, read_run, series_of


@pytest.mark.parametrize(
    ("first", "last", "count"),
    [
        ("840270000000500", "840270000000599", 100),
        ("1", "300", 300),
        ("0", "12", 13),
        ("001", "120", 120),
        ("35ABC1001", "35ABC1100", 100),
        ("101H", "199H", 99),
        ("KB7", "KB12", 6),
    ],
)
def test_a_run_counts_its_numbers_and_knows_its_ends(first, last, count):
    run = read_run(first, last)
    assert (len(run), run.first, run.last) == (count, first, last)


@pytest.mark.parametrize(
    ("first", "last"), [("9", "8"), ("KB1", "KC9"), ("01", "300"), ("1A", "9B"), ("", ""), ("A", "B")]
)
def test_what_belongs_to_no_run_is_refused(first, last):
    with pytest.raises(Unreadable, match="can't run from"):
        read_run(first, last)


def test_a_run_of_more_than_a_million_is_taken_for_a_slip():
    with pytest.raises(Unreadable, match="more than any box holds"):
        read_run("840270000000000", "840279000000000")


@pytest.mark.parametrize("number", ["099", "07", "301", "1A", "", "١٢"])
def test_a_number_of_another_shape_is_not_in_the_run(number):
    assert read_run("1", "300").value_of(number) is None


@given(st.integers(0, 99_999), st.integers(0, 2_000), st.integers(1, 6), st.sampled_from(["", "KB", "35ABC"]))
def test_pieces_hold_each_number_once_and_sort_as_text_as_they_do_as_numbers(low, more, width, stem):
    run = Run(stem, low, low + more, "", width)
    pieces = [[piece.number(value) for value in range(piece.low, piece.high + 1)] for piece in run.even_pieces()]
    together = [number for piece in pieces for number in piece]
    assert together == [run.number(value) for value in range(low, low + more + 1)]
    for piece in pieces:
        assert piece == sorted(piece)
        assert len({len(number) for number in piece}) == 1


@given(*[st.tuples(st.integers(0, 1_200), st.integers(0, 300), st.integers(1, 4))] * 2)
def test_two_runs_overlap_just_where_they_share_a_number(one, other):
    first, second = (Run("", low, low + more, "", width) for low, more, width in (one, other))
    shared = {first.number(v) for v in range(first.low, first.high + 1)} & {
        second.number(v) for v in range(second.low, second.high + 1)
    }
    assert first.overlaps(second) == second.overlaps(first) == bool(shared)


def test_a_run_is_cut_into_boxes_of_one_size():
    boxes = list(read_run("1", "120").boxes_of(50))
    assert [(box.first, box.last) for box in boxes] == [("1", "50"), ("51", "100"), ("101", "120")]


def test_last_digits_name_a_number_only_where_one_ends_in_them():
    run = read_run("840270000000500", "840270000000599")
    assert run.ending_in("510") == "840270000000510"
    assert run.ending_in("10") == "840270000000510"
    assert run.ending_in("0") == ""
    assert run.ending_in("610") == ""


@given(st.integers(0, 3_000), st.integers(0, 500), st.text("0123456789", min_size=1, max_size=4))
def test_a_number_found_by_its_last_digits_is_the_only_one(low, more, digits):
    run = Run("", low, low + more, "", 4)
    ending = [n for n in (run.number(v) for v in range(low, low + more + 1)) if n.endswith(digits)]
    assert run.ending_in(digits) == (ending[0] if len(ending) == 1 else "")


def test_numbers_of_a_series_share_what_stands_around_their_last_digits():
    assert series_of("35ABC1001") == series_of("35ABC9") == ("35ABC", "")
    assert series_of("101H") == ("", "H")
    assert series_of("BULL") == ("BULL", "")
