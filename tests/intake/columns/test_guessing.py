"""Columns with headings: words and cells together decide, for the whole file at once."""

from datetime import date

import pytest

from herd.intake.columns.mapping import guess_columns

TODAY = date(2026, 11, 25)


def eid(number):
    return f"8400030{number:08d}"


def guess(header, rows):
    return guess_columns(header, rows, default_unit="lb", today=TODAY)


def kinds(header, rows):
    return [one.kind for one in guess(header, rows)]


def rows_of(count, *cells):
    """Rows of the same cells; a function gives a cell of its own to each row."""
    return [[cell(place) if callable(cell) else cell for cell in cells] for place in range(count)]


# One file for each group of kinds: heading, a cell, what it is.
FILES = {
    "numbers": [
        ("EID", eid, "eid"),
        ("VID", lambda i: str(100 + 3 * i), "vid"),
        ("Tag color", "yellow", "vid_colour"),
        ("NUES", lambda i: f"81ABC{i:04d}", "metal"),
        ("Tattoo", "A12", "tattoo"),
        ("Brand", "Bar X", "brand"),
        ("Back tag", "12AB0001", "back_tag"),
        ("Tube", lambda i: f"T{i:06d}", "tube"),
        ("New EID", lambda i: eid(500 + i), "new_eid"),
        ("New tag", lambda i: str(900 + 7 * i), "new_vid"),
        ("Dam", "12", "dam"),
        ("Sire", "B7", "sire"),
    ],
    "when": [("EID", eid, "eid"),
        ("Date", "10/25/2026", "date"),
        ("Time", "07:05", "time")],
    "instant": [("EID", eid, "eid"),
        ("Timestamp", "2026-10-14 07:05:33", "date_time")],
    "calving": [("EID", eid, "eid"),
        ("Calf", lambda i: str(3 * i), "calf")],
    "herd list": [
        ("VID", lambda i: str(100 + 3 * i), "vid"),
        ("Class", "cow", "animal_class"),
        ("Born", "3/25/2021", "born"),
        ("Breed", "AN", "breed"),
        ("Hide color", "blk", "coat"),
        ("Origin", "home", "origin"),
        ("Group", "A", "group"),
        ("Pasture", "north", "location"),
        ("Status", "active", "status"),
        ("Date entered", "3/25/2022", "entered"),
        ("Year letter", "K", "issuer_year"),
        ("Notes", "quiet", "note"),
    ],
    "weights": [
        ("EID", eid, "eid"),
        ("Birth wt", "82", "weight"),
        ("Weaning weight", "512", "weight"),
        ("Yearling weight", "812", "weight"),
        ("Unit", "lb", "weight_unit"),
        ("BCS", "5.5", "body_condition"),
        ("Hip Height (in)", "49.5", "hip_height"),
        ("SC cm", "34.5", "scrotal"),
    ],
    "preg check": [("EID", eid, "eid"),
        ("Preg", "bred", "pregnancy"),
        ("Days bred", "90", "days_bred")],
    "treatments": [
        ("EID", eid, "eid"),
        ("Product", "oxytetracycline", "product"),
        ("Vaccine", "clostridial", "vaccine"),
        ("Dose", "5 ml", "dose"),
        ("Lot", "A12", "lot"),
        ("Route", "SC", "route"),
        ("Withdrawal", "28", "withdrawal_days"),
        ("Given by", "crew", "given_by"),
        ("Diagnosis", "foot rot", "condition"),
    ],
    "laboratory": [("EID", eid, "eid"),
        ("Test", "ELISA", "test"),
        ("Result", "negative", "result")],
    "leaving": [
        ("EID", eid, "eid"),
        ("Sold", "10/25/2026", "sale"),
        ("Buyer", "sale barn", "buyer"),
        ("Price", "1450", "price"),
        ("Died", "bloat", "death"),
    ],
    "calf work": [("EID", eid, "eid"),
        ("Castrated", "banded", "castration"),
        ("Weaned", "x", "weaning")],
    "rest": [("Row", lambda i: str(i + 1), "row_number"),
        ("EID", eid, "eid"),
        ("ADG", "2.1", "unused")],
}  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_each_kind_is_known_by_its_heading(name):
    headers, cells, expected = zip(*FILES[name], strict=True)
    assert tuple(kinds(list(headers), rows_of(12, *cells))) == expected


@pytest.mark.parametrize(
    "header",
    [
        ["EID", "Tag", "Weight (kg)", "Date", "Sex"],
        ["Arete electrónico", "Arete", "Peso (kg)", "Fecha", "Sexo"],
        ["Boucle électronique", "N° boucle", "Poids (kg)", "Date de pesée", "Sexe"],
        ["Transpondernummer", "Ohrmarke", "Gewicht kg", "Datum", "Geschlecht"],
        ["Brinco eletrônico", "Brinco", "Peso kg", "Data", "Sexo"],
    ],
)
def test_one_file_reads_alike_in_five_languages(header):
    rows = rows_of(9, eid, lambda i: str(200 + i * 7), "231,5", "25.10.2026", "F")
    guesses = guess(header, rows)
    assert [one.kind for one in guesses] == ["eid", "vid", "weight", "date", "animal_class"]
    assert guesses[2].settings == {"unit": "kg", "purpose": "", "decimal_mark": ","}
    assert guesses[3].settings["order"] == "DMY"


@pytest.mark.parametrize("header", ["Tag", "ID", "Animal", "No", "Number", "Caravana"])
@pytest.mark.parametrize(
    ("cell", "kind"),
    [(eid, "eid"), (lambda i: f"81ABC{i:04d}", "metal"), (lambda i: str(417 + 5 * i), "vid")],
)
def test_the_cells_decide_what_a_heading_for_any_number_means(header, cell, kind):
    assert kinds([header, "Weight"], rows_of(20, cell, "512")) == [kind, "weight"]


def test_swapped_headings_are_put_right_by_the_cells():
    assert kinds(["VID", "EID"], rows_of(10, eid, lambda i: str(40 + 9 * i))) == ["eid", "vid"]


def test_short_numbers_under_eid_alone_stay_there_to_be_refused():
    assert kinds(["EID", "Weight"], rows_of(10, lambda i: str(40 + 9 * i), "512")) == ["eid", "weight"]


def test_numbers_damaged_by_a_spreadsheet_are_still_the_eid():
    guesses = guess(["EID", "Weight"], rows_of(10, "8.40003E+14", "512"))
    assert guesses[0].kind == "eid"
    assert guesses[0].reasons[0] == 'The header says "EID".'


def test_reasons_count_the_cells_that_agree():
    rows = [*rows_of(8, eid, "512"), ["?? no tag", "500"], ["x", "510"]]
    assert "8 of 10 cells are electronic numbers." in guess(["RFID", "Weight"], rows)[0].reasons


def test_a_second_column_of_electronic_numbers_is_new_only_if_its_heading_says_so():
    rows = rows_of(10, eid, lambda i: eid(500 + i))
    assert kinds(["EID", "Replacement tag"], rows) == ["eid", "new_eid"]
    second = guess(["EID", "RFID"], rows)[1]
    assert (second.kind, second.reasons) == (
        "unused", ["Column 1 is taken as the EID (electronic number), and there can be only one."]
    )  # fmt: skip


def test_a_retag_column_is_told_apart_from_the_tag_worn():
    rows = rows_of(10, lambda i: str(100 + 3 * i), lambda i: str(700 + i) if i % 3 == 0 else "", "512")
    assert kinds(["Old tag", "Retagged to", "Weight"], rows) == ["vid", "new_vid", "weight"]


@pytest.mark.parametrize("header", ["No.", "#", "ID", "Animal", "Record", "Nr", "Número"])
def test_numbers_counting_the_rows_are_not_tags(header):
    rows = rows_of(30, lambda i: str(i + 1), eid, "512")
    assert kinds([header, "EID", "Weight"], rows) == ["row_number", "eid", "weight"]
    assert kinds([header, "Weight"], rows_of(30, lambda i: str(i + 1), "512")) == ["row_number", "weight"]


def test_tags_in_order_under_a_heading_for_tags_stay_tags_and_the_doubt_is_said():
    found = guess(["Tag", "Weight"], rows_of(30, lambda i: str(i + 1), "512"))[0]
    assert found.kind == "vid"
    assert any("check that they are tags" in reason for reason in found.reasons)


def test_weights_for_different_purposes_stand_side_by_side_and_a_second_of_one_does_not():
    guesses = guess(
        ["Tag", "BW", "WW", "Weight", "Wt"], rows_of(9, lambda i: str(40 + 9 * i), "82", "540", "900", "910")
    )
    assert [(one.kind, one.settings.get("purpose")) for one in guesses[1:4]] == [
        ("weight", "birth"), ("weight", "weaning"), ("weight", ""),
    ]  # fmt: skip
    assert guesses[4].kind == "unused"


def test_bw_of_grown_cattle_is_a_body_weight():
    found = guess(["EID", "BW"], rows_of(9, eid, "1210"))[1]
    assert (found.kind, found.settings["purpose"]) == ("weight", "")


def test_earlier_and_computed_weights_are_not_taken_for_the_weighing():
    header = ["EID", "Previous weight", "Adj 205 wt", "Gain", "Weight"]
    assert kinds(header, rows_of(9, eid, "500", "560", "12", "512"))[1:] == [
        "unused",
        "unused",
        "unused",
        "weight",
    ]


def test_facts_of_a_dam_are_not_given_to_the_animal():
    guesses = guess(["Tag", "Dam", "Dam breed", "Breed"], rows_of(9, lambda i: str(40 + 9 * i), "12", "AN", "HH"))
    assert [one.kind for one in guesses] == ["vid", "dam", "unused", "breed"]
    assert guesses[2].reasons == ['The header "Dam breed" tells of another animal, the dam.']


def test_rows_of_a_calving_book_are_about_the_calf():
    header = ["Cow", "Calf tag", "Calf sex", "Birth date", "Birth wt", "BCS"]
    rows = rows_of(9, lambda i: str(40 + 9 * i), lambda i: str(600 + i), "H", "3/14/2026", "78", "5")
    assert kinds(header, rows) == ["dam", "vid", "animal_class", "born", "weight", "unused"]


def test_where_calf_and_cow_could_both_be_meant_nothing_is_taken():
    guesses = guess(["EID", "Calf", "Sex"], rows_of(9, eid, lambda i: str(600 + i), "H"))
    assert [one.kind for one in guesses] == ["eid", "calf", "unused"]
    assert "could be the calf's or the cow's" in guesses[2].reasons[0]


def test_a_calf_list_without_cows_is_about_its_calves():
    assert kinds(["Calf ID", "Dam", "Sex"], rows_of(9, lambda i: str(600 + i), "12", "H")) == [
        "vid", "dam", "animal_class",
    ]  # fmt: skip


def test_lot_is_a_group_unless_products_are_given():
    assert kinds(["EID", "Lot"], rows_of(9, eid, "North")) == ["eid", "group"]
    assert kinds(["EID", "Lot", "Vaccine"], rows_of(9, eid, "A12", "clostridial")) == [
        "eid",
        "lot",
        "vaccine",
    ]


@pytest.mark.parametrize(("cells", "kind"), [(["yellow", "white"], "vid_colour"), (["black", "bwf"], "coat")])
def test_colour_alone_is_of_the_tag_only_when_tags_have_it(cells, kind):
    rows = rows_of(10, eid, lambda i: cells[i % 2])
    assert kinds(["EID", "Color"], rows) == ["eid", kind]


def test_class_and_sex_may_both_be_there():
    assert kinds(["EID", "Class", "Sex"], rows_of(9, eid, "calf", "M")) == [
        "eid",
        "animal_class",
        "animal_class",
    ]


def test_a_second_product_is_kept_as_a_note_under_its_heading():
    found = guess(["EID", "Vaccine 1", "Vaccine 2"], rows_of(9, eid, "clostridial", "respiratory"))
    assert [one.kind for one in found] == ["eid", "vaccine", "note"]
    assert found[2].settings == {"label": "Vaccine 2"}


def test_a_column_of_empty_cells_is_unused():
    found = guess(["EID", "Weight"], rows_of(9, eid, ""))[1]
    assert (found.kind, found.reasons) == ("unused", ["All its cells are empty."])


def test_unknown_headings_are_unused_with_a_reason():
    found = guess(["EID", "Zork"], rows_of(9, eid, lambda i: str(300 + 17 * i)))[1]
    assert found.kind == "unused"
    assert found.reasons == ['The header "Zork" is not known, and the cells alone do not tell.']


def test_a_date_of_pregnancy_is_not_a_result():
    assert kinds(["EID", "Bred"], rows_of(9, eid, "6/14/2026"))[1] == "unused"


def test_ragged_rows_and_extra_columns_are_covered():
    guesses = guess(["EID"], [[eid(1), "512"], [eid(2)], [], [eid(3), "498"]])
    assert [one.index for one in guesses] == [0, 1]


def test_a_guess_is_plain_json():
    stored = guess(["EID", "Wt lb"], rows_of(9, eid, "512"))[1].as_dict()
    assert set(stored) == {"index", "header", "kind", "confidence", "reasons", "settings"}
    assert stored["settings"] == {"unit": "lb", "purpose": "", "decimal_mark": "."}


@pytest.mark.parametrize("rows", [[], [[]], [["", ""]]])
def test_a_file_without_cells_has_nothing_to_use(rows):
    assert all(one.kind == "unused" for one in guess([], rows))
