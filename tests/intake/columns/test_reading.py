"""Cells that are read by themselves: numbers, dates, weights, facts."""

from datetime import date

import pytest

from herd.intake.columns.reading import RowReader

TODAY = date(2026, 11, 25)


def reader(*columns, default_unit="lb", zone_name="America/Denver"):
    """A reader of columns given as kinds, or as (kind, settings)."""
    stored = []
    for index, column in enumerate(columns):
        kind, settings = (column, {}) if isinstance(column, str) else column
        stored.append({"index": index, "header": kind.title(), "kind": kind, "settings": settings})
    return RowReader(stored, default_unit=default_unit, today=TODAY, zone_name=zone_name)


def read(kind, cell, **settings):
    return reader((kind, settings)).read([cell])


# The electronic number is made of the United States prefix 840 (ISO 3166) and a national number.
@pytest.mark.parametrize(
    ("kind", "cell", "readings"),
    [
        ("eid", "840270000000417", {"eid": "840270000000417"}),
        ("eid", "840 2700 0000 0417", {"eid": "840270000000417"}),
        ("vid", "417", {"vid": "417"}),
        ("vid", "417-YEL", {"vid": "417", "vid_colour": "yellow"}),
        ("vid_colour", "amarillo", {"vid_colour": "yellow"}),
        ("metal", "81-abc-1234", {"metal": "81ABC1234"}),
        ("tattoo", "a 12", {"tattoo": "A 12"}),
        ("brand", "bar x", {"brand": "BAR X"}),
        ("back_tag", "12ab0001", {"back_tag": "12AB0001"}),
        ("tube", "T000417", {"tube": "T000417"}),
        ("new_eid", "840270000000418", {"new_eid": "840270000000418"}),
        ("new_vid", "red 9", {"new_vid": "9", "new_vid_colour": "red"}),
        ("dam", "840270000000418", {"dam": {"kind": "eid", "number": "840270000000418", "colour": ""}}),
        ("sire", "B7", {"sire": {"kind": "vid", "number": "B7", "colour": ""}}),
        ("calf", "12 white", {"calf": {"kind": "vid", "number": "12", "colour": "white"}}),
        ("date", "2026-10-14", {"day": "2026-10-14", "day_precision": "day"}),
        ("date", "Oct 2026", {"day": "2026-10-01", "day_precision": "month"}),
        ("date", "2026", {"day": "2026-01-01", "day_precision": "year"}),
        ("time", "7:05:33", {"time": "07:05:33"}),
        ("time", "7:05 PM", {"time": "19:05:00"}),
        (
            "date_time",
            "2026-10-14 07:05",
            {"day": "2026-10-14", "day_precision": "instant", "time": "07:05:00"},
        ),
        ("animal_class", "hfr", {"animal_class": {"class": "heifer", "sex": "female", "calf": False}}),
        ("animal_class", "m", {"animal_class": {"class": None, "sex": "male", "calf": False}}),
        ("born", "1 Apr 2025", {"born": {"on": "2025-04-01", "precision": "day"}}),
        ("born", "2025", {"born": {"on": "2025-01-01", "precision": "year"}}),
        ("entered", "2024-03-01", {"entered": "2024-03-01"}),
        ("breed", " AN  x HH ", {"breed": "AN x HH"}),
        ("coat", "BWF", {"coat": "black white face"}),
        ("origin", "home", {"origin": "home"}),
        ("group", "Pen 4", {"group": "Pen 4"}),
        ("location", "north", {"location": "north"}),
        ("status", "Vendida", {"status": {"word": "Vendida", "status": "sold"}}),
        ("issuer_year", "2024", {"issuer_year": 2024}),
        ("issuer_year", "K", {"issuer_year": 2022}),  # K is 2022 (Beef Improvement Federation year letters)
        ("body_condition", "5,5", {"body_condition": "5.5"}),
        ("hip_height", "49,5", {"hip_height": "49.5 in"}),
        ("hip_height", "126 cm", {"hip_height": "126 cm"}),
        ("scrotal", "34.5", {"scrotal": "34.5 cm"}),
    ],
)
def test_a_cell_becomes_plain_json(kind, cell, readings):
    row = read(kind, cell)
    assert (row.readings, row.problems) == (readings, [])


@pytest.mark.parametrize("cell", ["", " ", "-", "n/a", "none", "?"])
@pytest.mark.parametrize("kind", ["eid", "vid", "date", "weight", "pregnancy", "born", "tube", "sale", "note", "dam"])
def test_missing_cells_give_nothing(kind, cell):
    row = read(kind, cell)
    assert (row.readings, row.problems, row.cautions) == ({}, [], [])


@pytest.mark.parametrize(
    ("kind", "cell", "code"),
    [
        ("eid", "8.40003E+14", "digits_lost"),
        ("eid", "417", "wrong_length"),
        ("eid", "84027000000041", "leading_zero_lost"),
        ("vid", "1.70E+06", "spreadsheet_number"),
        ("vid", "15-Mar", "spreadsheet_date"),
        ("vid_colour", "bl", "ambiguous_colour"),
        ("date", "04/05/2026", "ambiguous_order"),
        ("date", "soon", "not_date"),
        ("time", "25:00", "impossible"),
        ("weight", "OL", "scale_error"),
        ("weight", "--0--", "not_weight"),
        ("pregnancy", "maybe", "unknown_result"),
        ("tube", "840270000000417", "electronic_number_here"),
        ("metal", "81ABC12", "not_metal"),
        ("animal_class", "goat", "unknown_class"),
        ("status", "culled", "unknown_status"),
        ("body_condition", "12", "out_of_range"),
        ("hip_height", "126", "out_of_range"),
        ("scrotal", "large", "not_a_length"),
        ("issuer_year", "O", "never_a_year_letter"),
        ("group", "#REF!", "spreadsheet_error"),
        ("tattoo", "3/15/2026", "spreadsheet_damaged"),
    ],
)
def test_a_cell_that_cannot_be_read_is_kept_with_a_reason(kind, cell, code):
    row = read(kind, cell)
    assert row.readings == {}
    assert [(one["kind"], one["value"], one["code"]) for one in row.problems] == [(kind, cell, code)]
    assert row.problems[0]["reason"].endswith(".")


def test_a_problem_names_its_column():
    stored = [{"index": 2, "header": "", "kind": "eid", "settings": {}}]
    nameless = RowReader(stored, default_unit="lb", today=TODAY, zone_name="UTC")
    assert nameless.read(["", "", "417"]).problems[0]["column"] == "column 3"
    assert read("eid", "417").problems[0]["column"] == "Eid"


def test_a_bad_cell_never_stops_its_row():
    row = reader("eid", "vid", "weight", "date").read(["junk", "417", "512", "2026-10-14"])
    assert row.readings["vid"] == "417"
    assert row.readings["weights"][0]["entered"] == "512"
    assert [one["kind"] for one in row.problems] == ["eid"]


def test_an_electronic_number_in_the_place_of_a_visual_tag_is_used_where_the_row_has_no_other():
    row = reader("eid", "vid").read(["", "840270000000417"])
    assert (row.readings, row.problems) == ({"eid": "840270000000417"}, [])
    assert row.cautions[0]["code"] == "electronic_number_moved"
    alone = reader("vid").read(["840270000000417"])
    assert alone.readings == {"eid": "840270000000417"}


@pytest.mark.parametrize("first", ["840270000000418", "8.40003E+14"])
def test_it_is_not_used_beside_another_electronic_number_whole_or_damaged(first):
    row = reader("eid", "vid").read([first, "840270000000417"])
    assert row.readings.get("eid") != "840270000000417"
    assert row.problems[-1]["code"] == "electronic_number_here"


def test_a_short_tag_under_eid_is_refused_and_not_guessed_to_be_a_visual_tag():
    row = reader("eid", "vid").read(["417", ""])
    assert row.readings == {}
    assert row.problems[0]["reason"] == '"417" has 3 digits; an electronic number has 15.'


# 1 lb is 453,592,370,000 ng exactly (international yard and pound agreement, 1959).
@pytest.mark.parametrize(
    ("cell", "settings", "entered", "unit", "nanograms"),
    [
        ("512", {}, "512", "lb", 512 * 453_592_370_000),
        ("231,5", {"unit": "kg", "decimal_mark": ","}, "231.5", "kg", 231_500_000_000_000),
        ("231.5 kg", {}, "231.5", "kg", 231_500_000_000_000),
        ("1,024", {}, "1024", "lb", 1024 * 453_592_370_000),
        ("5.12 cwt", {}, "512", "lb", 512 * 453_592_370_000),
        ("12 cwt", {}, "1200", "lb", 1200 * 453_592_370_000),
    ],
)
def test_weights_take_their_unit_from_cell_heading_or_outfit(cell, settings, entered, unit, nanograms):
    row = read("weight", cell, **settings)
    assert row.readings["weights"] == [{"entered": entered, "unit": unit, "ng": nanograms, "purpose": ""}]


def test_a_unit_column_speaks_for_the_weights_of_its_row():
    mixed = reader("weight", "weight_unit")
    units = [mixed.read(["512", unit]).readings["weights"][0]["unit"] for unit in ("kg", "lb", "", "Kilo")]
    assert units == ["kg", "lb", "lb", "kg"]
    assert mixed.read(["512", "stone"]).problems[0]["code"] == "unknown_unit"


def test_several_weights_of_one_row_keep_their_purposes():
    row = reader(("weight", {"purpose": "birth"}), ("weight", {"purpose": "weaning"})).read(["82", "540"])
    assert [(one["entered"], one["purpose"]) for one in row.readings["weights"]] == [
        ("82", "birth"),
        ("540", "weaning"),
    ]


def test_the_order_of_the_column_is_used():
    assert read("date", "04/05/2026", order="DMY").readings["day"] == "2026-05-04"
    assert read("date", "04/05/2026", order="MDY").readings["day"] == "2026-04-05"
    assert read("date", "25/05/2026", order="MDY").problems[0]["code"] == "impossible"


def test_a_time_beside_a_day_makes_an_instant():
    row = reader("date", "time").read(["2026-10-14", "07:05"])
    assert row.readings == {"day": "2026-10-14", "day_precision": "instant", "time": "07:05:00"}


def test_a_time_with_an_offset_is_moved_to_the_time_zone_of_the_outfit():
    # Denver is six hours behind universal time in summer (IANA time zone database).
    row = read("date_time", "2026-10-14T03:05:00Z")
    assert row.readings == {"day": "2026-10-13", "day_precision": "instant", "time": "21:05:00"}


def test_class_and_sex_complete_each_other():
    both = reader("animal_class", "animal_class")
    assert both.read(["calf", "m"]).readings["animal_class"] == {"class": None, "sex": "male", "calf": True}
    clash = both.read(["cow", "m"])
    assert clash.readings == {}
    assert clash.problems[0]["code"] == "columns_disagree"


def test_two_colours_that_differ_are_both_left_out():
    row = reader("vid", "vid_colour").read(["417-YEL", "white"])
    assert row.readings == {"vid": "417"}
    assert row.problems[0]["code"] == "columns_disagree"


def test_two_days_that_differ_keep_the_first_and_say_so():
    row = reader("date", "date_time").read(["2026-10-14", "2026-10-15 07:05"])
    assert (row.readings["day"], row.problems[0]["code"]) == ("2026-10-14", "columns_disagree")
    same = reader("date", "date_time").read(["2026-10-14", "2026-10-14 07:05"])
    assert (same.readings["time"], same.problems) == ("07:05:00", [])


def test_cautions_come_with_their_column():
    row = read("eid", "999000000000001")  # prefix 999 is for tests (ISO 11784)
    assert [(one["column"], one["code"]) for one in row.cautions] == [("Eid", "test_code")]


def test_changing_one_row_does_not_change_the_next():
    again = reader("animal_class", "weight")
    first = again.read(["cow", "512"])
    first.readings["animal_class"]["class"] = "bull"
    first.readings["weights"][0]["entered"] = "1"
    assert again.read(["cow", "512"]).readings["animal_class"]["class"] == "cow"
    assert again.read(["cow", "512"]).readings["weights"][0]["entered"] == "512"


def test_unused_columns_and_running_numbers_are_not_read():
    assert reader("unused", "row_number").read(["840270000000417", "1"]).readings == {}


def test_settings_that_are_none_are_refused_at_once():
    with pytest.raises(ValueError, match="stone"):
        reader(("weight", {"unit": "stone"}))
    with pytest.raises(ValueError, match="YDM"):
        reader(("date", {"order": "YDM"}))


@pytest.mark.parametrize("kind", ["vid", "date", "weight", "pregnancy", "sale", "dam", "group"])
def test_a_cell_far_too_long_is_refused_without_being_searched(kind):
    cell = "1 " * 200_000
    row = read(kind, cell)
    assert (row.readings, [one["code"] for one in row.problems]) == ({}, ["too_long"])
    assert row.problems[0]["value"] == cell
