"""Layouts of files, and recipes kept for them."""

from datetime import date

from herd.intake.columns.mapping import apply_recipe, guess_columns, layout_of

TODAY = date(2026, 11, 25)


def guesses(header, *rows):
    return guess_columns(header, [list(row) for row in rows], default_unit="lb", today=TODAY)


def kept(*columns):
    return [{"index": place, "header": "", **column} for place, column in enumerate(columns)]


def test_a_layout_is_the_words_and_the_width():
    layout = layout_of(["EID", "Weight (lb)"], 2, "csv")
    assert layout == layout_of([" eid ", "WEIGHT [lb]"], 2, "xlsx")
    assert layout != layout_of(["EID", "Weight (kg)"], 2, "csv")
    assert layout != layout_of(["EID", "Weight (lb)"], 3, "csv")
    assert len(layout) == 64


def test_a_bare_list_has_no_layout_but_a_bare_table_has():
    assert layout_of([], 1, "list") == ""
    assert layout_of([""], 1, "csv") == ""
    assert layout_of([], 2, "csv") == layout_of(["", ""], 2, "csv") != layout_of([], 3, "csv")


def test_words_at_other_places_are_another_layout():
    assert layout_of(["a", "b c"], 2, "csv") != layout_of(["a b", "c"], 2, "csv")


def test_a_recipe_settles_kinds_and_settings_and_says_so():
    found = apply_recipe(
        guesses(["A", "B"], ["417", "512"], ["418", "530"]),
        kept({"kind": "vid"}, {"kind": "weight", "settings": {"unit": "kg", "purpose": "sale"}}),
    )
    assert [(one.kind, one.confidence) for one in found] == [("vid", 1.0), ("weight", 1.0)]
    assert found[1].settings == {"unit": "kg", "purpose": "sale"}
    assert found[0].reasons == ["Taken from the recipe kept for files of this layout."]


def test_a_proof_in_the_cells_wins_over_the_order_of_a_recipe():
    recipe = kept({"kind": "vid"}, {"kind": "date", "settings": {"order": "DMY", "mixed": False}})
    found = apply_recipe(guesses(["Tag", "Date"], ["417", "10/25/2026"]), recipe)[1]
    assert found.settings["order"] == "MDY"
    assert found.reasons[-1] == 'The recipe reads dates day first, but "10/25/2026" proves month first.'


def test_the_order_of_a_recipe_stands_where_the_cells_prove_none():
    recipe = kept({"kind": "vid"}, {"kind": "date", "settings": {"order": "DMY", "mixed": False}})
    found = apply_recipe(guesses(["Tag", "Date"], ["417", "10/05/2026"]), recipe)[1]
    assert found.settings["order"] == "DMY"


def test_a_recipe_does_not_settle_a_column_that_mixes_orders():
    recipe = kept({"kind": "vid"}, {"kind": "born", "settings": {"order": "DMY"}})
    found = apply_recipe(guesses(["Tag", "Zork"], ["417", "10/25/2026"], ["418", "25/10/2026"]), recipe)[1]
    assert (found.kind, found.settings["order"], found.settings["mixed"]) == ("born", None, True)


def test_the_decimal_mark_comes_from_the_file_at_hand():
    recipe = kept({"kind": "vid"}, {"kind": "weight", "settings": {"unit": "kg", "decimal_mark": "."}})
    found = apply_recipe(guesses(["Tag", "Weight"], ["417", "231,5"]), recipe)[1]
    assert found.settings == {"unit": "kg", "decimal_mark": ","}


def test_columns_and_kinds_unknown_to_either_side_are_passed_over():
    found = apply_recipe(guesses(["Tag", "Note"], ["417", "lame"]), kept({"kind": "zork"})[:1])
    assert [one.kind for one in found] == ["vid", "note"]
