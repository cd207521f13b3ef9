"""Cells that are read together with others of their row: checks, treatments, sales, notes."""

from datetime import date

import pytest

from herd.intake.columns.reading import RowReader

TODAY = date(2026, 11, 25)
NO_DETAILS = {"dose": "", "lot": "", "route": "", "given_by": "", "condition": "", "withdrawal_days": None}


def read(**cells):
    """The reading of a row with one column for each kind; a column is headed by its kind."""
    columns = [
        {"index": place, "header": kind.replace("_", " "), "kind": kind, "settings": {}}
        for place, kind in enumerate(cells)
    ]
    return RowReader(columns, default_unit="lb", today=TODAY, zone_name="UTC").read(list(cells.values()))


def codes(row):
    return [one["code"] for one in row.problems]


@pytest.mark.parametrize(
    ("called", "days", "expected"),
    [
        ("open", "", {"result": "open", "days": None, "note": ""}),
        ("bred", "90", {"result": "pregnant", "days": 90, "note": ""}),
        ("", "90", {"result": "pregnant", "days": 90, "note": ""}),
        ("60 days", "", {"result": "pregnant", "days": 60, "note": ""}),
        ("open", "0", {"result": "open", "days": None, "note": ""}),
        ("60-90 d", "", {"result": "pregnant", "days": None, "note": "60 to 90 days"}),
        ("late", "", {"result": "pregnant", "days": None, "note": "late"}),
        ("vide", "", {"result": "open", "days": None, "note": ""}),
    ],
)
def test_result_and_days_make_one_pregnancy_check(called, days, expected):
    row = read(pregnancy=called, days_bred=days)
    assert (row.readings, row.problems) == ({"pregnancy": expected}, [])


def test_open_with_days_contradicts_itself_and_neither_is_kept():
    row = read(pregnancy="open", days_bred="90")
    assert (row.readings, codes(row)) == ({}, ["open_with_days"])


def test_days_that_cannot_be_are_refused_and_the_result_stays():
    row = read(pregnancy="bred", days_bred="400")
    assert (row.readings["pregnancy"]["days"], codes(row)) == (None, ["impossible"])
    assert codes(read(days_bred="0")) == ["zero_days"]
    assert codes(read(pregnancy="60 days", days_bred="90")) == ["days_disagree"]


def test_days_beside_a_result_that_cannot_be_read_are_kept_as_a_note():
    row = read(pregnancy="maybe", days_bred="90")
    assert (row.readings, codes(row)) == ({"note": "days bred: 90"}, ["unknown_result"])


def test_a_dash_is_open_only_where_plus_is_pregnant():
    column = {"index": 0, "header": "Preg", "kind": "pregnancy", "settings": {"signs": True}}
    signs = RowReader([column], default_unit="lb", today=TODAY, zone_name="UTC")
    assert signs.read(["-"]).readings["pregnancy"]["result"] == "open"
    assert signs.read(["+"]).readings["pregnancy"]["result"] == "pregnant"
    assert read(pregnancy="-").readings == {}


def test_a_treatment_takes_its_details():
    row = read(product="oxytetracycline", dose="5 ml", lot="A12", route="SC", withdrawal_days="28 d", given_by="crew")
    assert row.readings["treatment"] == {
        "product": "oxytetracycline",
        "dose": "5 ml",
        "lot": "A12",
        "route": "SC",
        "given_by": "crew",
        "condition": "",
        "withdrawal_days": 28,
    }


def test_a_vaccination_takes_its_details_unless_a_treatment_does():
    row = read(vaccine="clostridial", dose="2 ml")
    assert row.readings["vaccination"]["dose"] == "2 ml"
    both = read(vaccine="clostridial", product="pour-on", dose="2 ml")
    assert both.readings["treatment"] == NO_DETAILS | {"product": "pour-on", "dose": "2 ml"}
    assert both.readings["vaccination"]["dose"] == ""


def test_a_mark_under_a_vaccine_names_the_column():
    assert read(vaccine="x").readings["vaccination"]["product"] == "vaccine"
    assert read(vaccine="no").readings == {}


def test_details_without_a_product_are_kept_as_a_note():
    assert read(dose="5 ml", condition="foot rot").readings == {"note": "dose: 5 ml; condition: foot rot"}
    assert read(product="", withdrawal_days="28").readings == {"note": "withdrawal days: 28"}


def test_withdrawal_days_must_be_days():
    row = read(product="oxytetracycline", withdrawal_days="a month")
    assert (row.readings["treatment"]["withdrawal_days"], codes(row)) == (None, ["not_days"])


def test_a_result_takes_its_test_from_the_row_or_the_heading():
    assert read(test="ELISA", result="negative").readings == {"result": {"test": "ELISA", "result": "negative"}}
    assert read(test="ELISA", result="").readings == {"note": "test: ELISA"}
    column = {"index": 0, "header": "BVD result", "kind": "result", "settings": {"test": "BVD"}}
    headed = RowReader([column], default_unit="lb", today=TODAY, zone_name="UTC")
    assert headed.read(["neg"]).readings == {"result": {"test": "BVD", "result": "neg"}}


@pytest.mark.parametrize(
    ("cells", "sale"),
    [
        ({"sale": "2026-10-15"}, {"on": "2026-10-15", "buyer": "", "price": ""}),
        ({"sale": "yes", "buyer": "barn", "price": "1450"}, {"on": None, "buyer": "barn", "price": "1450"}),
        ({"sale": "vendida"}, {"on": None, "buyer": "", "price": ""}),
        ({"sale": "auction barn"}, {"on": None, "buyer": "auction barn", "price": ""}),
        ({"buyer": "barn", "price": "1450"}, {"on": None, "buyer": "barn", "price": "1450"}),
    ],
)
def test_a_sale_is_a_day_a_yes_or_a_buyer(cells, sale):
    row = read(**cells)
    assert (row.readings, row.problems) == ({"sale": sale}, [])


@pytest.mark.parametrize("cell", ["no", "active", "n"])
def test_an_animal_not_sold_is_not_sold(cell):
    assert read(sale=cell, price="900").readings == {"note": "price: 900"}


def test_a_price_alone_is_no_sale():
    assert read(price="900").readings == {"note": "price: 900"}


@pytest.mark.parametrize("cell", ["04/05/2026", "31/31/2026", "2026", "1450"])
def test_a_sale_without_a_sure_day_is_asked_about(cell):
    row = read(sale=cell, buyer="barn")
    assert row.readings == {"note": "buyer: barn"}
    assert row.problems[0]["kind"] == "sale"


@pytest.mark.parametrize(
    ("cell", "death"),
    [
        ("2026-10-15", {"on": "2026-10-15", "cause": ""}),
        ("bloat", {"on": None, "cause": "bloat"}),
        ("x", {"on": None, "cause": ""}),
        ("muerta", {"on": None, "cause": ""}),
    ],
)
def test_a_death_is_a_day_a_yes_or_a_cause(cell, death):
    assert read(death=cell).readings == {"death": death}


@pytest.mark.parametrize("cell", ["no", "alive", "viva"])
def test_a_live_animal_is_not_dead(cell):
    assert read(death=cell).readings == {}


@pytest.mark.parametrize(
    ("cell", "readings"),
    [
        ("x", {"castration": True}),
        ("Banded", {"castration": True, "castration_method": "banded"}),
        ("2026-05-02", {"castration": True, "castration_on": "2026-05-02"}),
        ("no", {}),
    ],
)
def test_a_castration_is_a_yes_a_way_or_a_day(cell, readings):
    assert read(castration=cell).readings == readings


def test_a_weaning_is_a_yes_or_a_day():
    assert read(weaning="1").readings == {"weaning": True}
    assert read(weaning="2026-10-01").readings == {"weaning": True, "weaning_on": "2026-10-01"}
    assert codes(read(weaning="perhaps")) == ["not_answer"]


def test_notes_are_joined_under_their_headings():
    columns = [
        {"index": 0, "header": "Note", "kind": "note", "settings": {}},
        {"index": 1, "header": "Vaccine 2", "kind": "note", "settings": {"label": "Vaccine 2"}},
    ]
    noted = RowReader(columns, default_unit="lb", today=TODAY, zone_name="UTC")
    assert noted.read(["lame", "respiratory"]).readings == {"note": "lame; Vaccine 2: respiratory"}
