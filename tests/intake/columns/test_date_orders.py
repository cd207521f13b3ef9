"""The order of day and month: proved by the column, or by the day that was worked, or left open."""

from datetime import date

import pytest

from herd.intake.columns.mapping import guess_columns, order_of_dates
from herd.intake.columns.reading import RowReader

TODAY = date(2026, 11, 25)


def test_a_day_over_twelve_proves_the_order():
    found = order_of_dates(["03/04/2026", "25/04/2026"], None, TODAY)
    assert (found["order"], found["proved_by"]) == ("DMY", "25/04/2026")
    assert found["reason"] == 'Dates are day first: "25/04/2026" proves it.'


def test_nothing_is_taken_for_proved_that_is_not():
    found = order_of_dates(["03/04/2026", "05/04/2026"], None, TODAY)
    assert (found["order"], found["mixed"]) == (None, False)
    assert found["reason"] == "No cell proves whether the day or the month comes first."


@pytest.mark.parametrize(
    ("worked_on", "order"), [(date(2026, 10, 5), "MDY"), (date(2026, 5, 10), "DMY"), (date(2026, 7, 1), None)]
)
def test_the_day_that_was_worked_decides_where_cells_do_not(worked_on, order):
    found = order_of_dates(["10/05/2026", "10/05/2026"], worked_on, TODAY)
    assert found["order"] == order


def test_every_date_must_be_near_the_day_worked():
    assert order_of_dates(["10/05/2026", "10/08/2026"], date(2026, 10, 5), TODAY)["order"] == "MDY"
    assert order_of_dates(["10/05/2026", "10/09/2026"], date(2026, 10, 5), TODAY)["order"] is None
    said = order_of_dates(["10/05/2026"], date(2026, 10, 5), TODAY)["reason"]
    assert said == "Only read month first do the dates lie within three days of 2026-10-05."


def test_a_proof_stands_against_the_day_worked():
    assert order_of_dates(["10/05/2026", "25/05/2026"], date(2026, 10, 5), TODAY)["order"] == "DMY"


def test_both_orders_in_one_column_are_named():
    found = order_of_dates(["25/04/2026", "04/25/2026"], date(2026, 4, 25), TODAY)
    assert (found["order"], found["mixed"], found["against"]) == (None, True, "04/25/2026")
    assert found["reason"] == (
        'Both orders stand in this column: "25/04/2026" is day first and "04/25/2026" is month first.'
    )


def test_one_odd_date_among_many_does_not_hide_the_order_of_the_day_worked():
    cells = ["10/05/2026"] * 9 + ["25/10/2026", "10/25/2026"]
    found = order_of_dates([*cells, *["10/05/2026"] * 20], date(2026, 10, 5), TODAY)
    assert (found["order"], found["mixed"]) == ("MDY", False)
    assert found["reason"] == "Only read month first do the dates lie within three days of 2026-10-05."
    assert order_of_dates(cells, date(2026, 10, 5), TODAY)["mixed"]


def test_in_a_mixed_column_only_dates_of_one_meaning_are_read():
    rows = [
        ["840003000000417", "25/04/2026"],
        ["840003000000418", "04/25/2026"],
        ["840003000000419", "04/05/2026"],
    ]
    columns = guess_columns(["EID", "Date"], rows, default_unit="lb", today=TODAY)
    assert columns[1].settings["mixed"]
    reader = RowReader(columns, default_unit="lb", today=TODAY, zone_name="America/Denver")
    days = [reader.read(row).readings.get("day") for row in rows]
    assert days == ["2026-04-25", "2026-04-25", None]
    assert reader.read(rows[2]).problems[0]["code"] == "ambiguous_order"


def test_dates_of_one_meaning_need_no_order():
    assert order_of_dates(["2026-10-05", "14 Oct 2026"], date(2026, 10, 5), TODAY)["order"] == "YMD"
    assert order_of_dates(["05/05/2026"], None, TODAY)["reason"] == ""
