"""Visual tags, tubes, metal tags, premises, and the words of colours, classes, pregnancy and condition."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from herd.values.bodycondition import read_body_condition
from herd.values.cells import is_missing, strip_guards
from herd.values.classes import AnimalClass, ClassReading, Sex, read_class
from herd.values.colours import read_coat, read_colour
from herd.values.metal import might_be_metal, read_metal
from herd.values.national import pl_old_check_digit, read_national
from herd.values.pregnancy import PregnancyReading, PregnancyResult, read_pregnancy
from herd.values.premises import check_character, read_premises
from herd.values.problems import Unreadable
from herd.values.tubes import read_tube
from herd.values.visual import VisualTag, read_visual

PREGNANT, OPEN, RECHECK = PregnancyResult.PREGNANT, PregnancyResult.OPEN, PregnancyResult.RECHECK
COW, BULL, HEIFER, STEER = AnimalClass
FEMALE, MALE = Sex


def refusal(read, *written):
    with pytest.raises(Unreadable) as refused:
        read(*written)
    return refused.value.code


@pytest.mark.parametrize(
    ("written", "number", "colour"),
    [
        ("417", "417", ""),
        (" 017 ", "017", ""),
        ("'017", "017", ""),
        ('="017"', "017", ""),
        ("417.0", "417", ""),
        ("#417", "417", ""),
        ("No. 417", "417", ""),
        ("Tag 417", "417", ""),
        ("tag # 417", "417", ""),
        ("y417", "Y417", ""),
        ("A#5", "A#5", ""),
        ("NO417", "NO417", ""),
        ("417 R", "417 R", ""),
        ("417  -  12", "417 - 12", ""),
        ("17E05", "17E05", ""),
        ("101h", "101H", ""),
        ("Bessie", "BESSIE", ""),
        ("yellow 417", "417", "yellow"),
        ("417 yellow", "417", "yellow"),
        ("417 (Y)", "417", "yellow"),
        ("(yel) 417", "417", "yellow"),
        ("417-YEL", "417", "yellow"),
        ("azul 12", "12", "blue"),
    ],
)
def test_visual_tag_is_read(written, number, colour):
    assert read_visual(written) == VisualTag(number, colour)


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("", "empty"),
        ("n/a", "empty"),
        ("15-Mar", "spreadsheet_date"),
        ("Mar-15", "spreadsheet_date"),
        ("15-Mär", "spreadsheet_date"),
        ("2026-03-15", "spreadsheet_date"),
        ("2026-03-15 00:00:00", "spreadsheet_date"),
        ("3/15/2026", "spreadsheet_date"),
        ("1.70E+06", "spreadsheet_number"),
        ("#N/A", "spreadsheet_error"),
        ("####", "column_too_narrow"),
        ("840003123456789", "electronic_number_here"),
        ("840 003 123 456 789", "electronic_number_here"),
        ("1" * 21, "too_long"),
        ("#", "not_a_tag"),
    ],
)
def test_visual_tag_is_refused_with_a_reason(written, code):
    assert refusal(read_visual, written) == code


@given(number=st.from_regex(r"\A[0-9]{1,6}[A-Z]?\Z"))
def test_plain_tag_numbers_stay_as_they_are(number):
    assert read_visual(number) == VisualTag(number)
    assert read_visual(f"yellow {number}") == VisualTag(number, "yellow")


@given(code=st.from_regex(r"\A[A-Za-z0-9]{4,14}\Z"))
def test_tube_codes_keep_case_and_zeros(code):
    if is_missing(code):
        assert refusal(read_tube, code) == "empty"
    else:
        assert read_tube(f"]d2{code}\r\n") == code


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("", "empty"),
        ("12", "too_short"),
        ("9" * 21, "too_long"),
        ("840003123456789", "electronic_number_here"),
        ("]C1840003123456789\t", "electronic_number_here"),
        ("1.23457E+11", "spreadsheet_number"),
        ("123456789.0", "spreadsheet_number"),
    ],
)
def test_tube_code_is_refused_with_a_reason(written, code):
    assert refusal(read_tube, written) == code


def test_fifteen_digits_no_tag_can_hold_may_be_a_tube():
    assert read_tube("840999999999999") == "840999999999999"


@given(six=st.text(alphabet="0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=6, max_size=6))
def test_check_character_agrees_with_an_independent_library(six):
    assert check_character(six) == mod_37_36.calc_check_digit(six)  # python-stdnum
    number = six + check_character(six)
    assert read_premises(f" {number.lower()} ").number == number


@given(number=st.text(alphabet="0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=7, max_size=7))
def test_premises_numbers_pass_exactly_when_the_independent_library_says_so(number):
    if mod_37_36.is_valid(number):
        assert read_premises(number).kind == "PIN"
    else:
        assert refusal(read_premises, number) in {"check_character", "empty"}


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("34DMH04O2", "mistyped_character"),
        ("C34DMH0402", "extra_letter"),
        ("ZZABC1234", "unknown_state"),
        ("840003123456789", "electronic_number_here"),
        ("", "empty"),
        ("#REF!", "spreadsheet_error"),
    ],
)
def test_metal_tag_is_refused_with_a_reason(written, code):
    assert refusal(read_metal, written) == code


def test_metal_tags_are_recognised_in_a_column():
    assert might_be_metal("35 ABC 1234")
    assert not might_be_metal("417")


def test_old_polish_series_is_named():
    # German cattle database: series PL 00 50136 9726, second formula; computed.
    assert pl_old_check_digit("50136", "9726") == "7"
    assert [caution.code for caution in read_national("PL", "PL 00 50136 9726 7").cautions] == ["old_series"]


@pytest.mark.parametrize("country", ["IE", "RO"])
def test_countries_without_a_published_formula_say_so(country):
    number = read_national(country, f"{country} 123456789012")
    assert (number.checked, number.electronic) == (False, "")
    assert [caution.code for caution in number.cautions] == ["not_checked"]


def test_british_number_too_large_for_a_tag_has_no_electronic_form():
    number = read_national("GB", "UK 284205 600015")  # 284205600015 is over 274877906943
    assert (number.electronic, [caution.code for caution in number.cautions]) == ("", ["no_electronic_form"])


@pytest.mark.parametrize(
    ("written", "colour"),
    [
        ("Yellow", "yellow"), ("YEL", "yellow"), ("y", "yellow"), ("amarillo", "yellow"), ("jaune", "yellow"),
        ("gelb", "yellow"), ("weiß", "white"), ("grün", "green"), ("vermelho", "red"), ("Gray", "grey"),
        ("marrón", "brown"), ("noir", "black"), ("rosa", "pink"), ("roxo", "purple"), ("or", "orange"),
    ],
)  # fmt: skip
def test_tag_colour_is_one_english_word(written, colour):
    assert read_colour(written) == colour


@pytest.mark.parametrize(
    ("written", "code"),
    [("p", "ambiguous_colour"), ("gr", "ambiguous_colour"), ("plaid", "unknown_colour"), ("", "empty")],
)
def test_tag_colour_is_refused_with_a_reason(written, code):
    assert refusal(read_colour, written) == code


@pytest.mark.parametrize(
    ("written", "coat"),
    [
        ("BLK", "black"),
        ("BWF", "black white face"),
        ("Black Baldy", "black white face"),
        ("RWF", "red white face"),
        ("Bldy", "baldy"),
        ("RED", "red"),
        ("Red with star", "red with star"),
    ],
)
def test_coat_is_written_out_or_kept(written, coat):
    assert read_coat(written) == coat


@pytest.mark.parametrize(
    ("written", "reading"),
    [
        ("Cow", ClassReading(COW, FEMALE)),
        ("hfr", ClassReading(HEIFER, FEMALE)),
        ("H", ClassReading(HEIFER, FEMALE)),
        ("b", ClassReading(BULL, MALE)),
        ("Str.", ClassReading(STEER, MALE)),
        ("ox", ClassReading(STEER, MALE)),
        ("calf", ClassReading(None, None, is_calf=True)),
        ("BC", ClassReading(BULL, MALE, is_calf=True)),
        ("heifer calf", ClassReading(HEIFER, FEMALE, is_calf=True)),
        ("steer calf", ClassReading(STEER, MALE, is_calf=True)),
        ("M", ClassReading(None, MALE)),
        ("female", ClassReading(None, FEMALE)),
        ("vaquillona", ClassReading(HEIFER, FEMALE)),
        ("novillo", ClassReading(STEER, MALE)),
        ("génisse", ClassReading(HEIFER, FEMALE)),
        ("Färse", ClassReading(HEIFER, FEMALE)),
        ("touro", ClassReading(BULL, MALE)),
        ("becerra", ClassReading(HEIFER, FEMALE, is_calf=True)),
    ],
)
def test_class_is_read(written, reading):
    assert read_class(written) == reading


@pytest.mark.parametrize("written", ["", "ewe", "c", "#N/A"])
def test_class_is_refused(written):
    assert refusal(read_class, written) in {"empty", "unknown_class", "spreadsheet_error"}


@pytest.mark.parametrize(
    ("written", "reading"),
    [
        ("Open", PregnancyReading(OPEN)),
        ("O", PregnancyReading(OPEN)),
        ("0", PregnancyReading(OPEN, note="0")),
        ("-", PregnancyReading(OPEN, note="-")),
        ("not pregnant", PregnancyReading(OPEN)),
        ("bred", PregnancyReading(PREGNANT)),
        ("P", PregnancyReading(PREGNANT)),
        ("+", PregnancyReading(PREGNANT, note="+")),
        ("yes", PregnancyReading(PREGNANT)),
        ("60 days", PregnancyReading(PREGNANT, days=60)),
        ("60d", PregnancyReading(PREGNANT, days=60)),
        ("60", PregnancyReading(PREGNANT, days=60, note="read as days")),
        ("2 mo", PregnancyReading(PREGNANT, days=61, note="2 mo")),
        ("P 60d", PregnancyReading(PREGNANT, days=60)),
        ("120-150", PregnancyReading(PREGNANT, span=(120, 150), note="read as days")),
        ("late", PregnancyReading(PREGNANT, note="late")),
        ("short bred", PregnancyReading(PREGNANT, note="short bred")),
        ("recheck", PregnancyReading(RECHECK)),
        ("0?", PregnancyReading(RECHECK)),
    ],
)
def test_pregnancy_result_is_read(written, reading):
    assert read_pregnancy(written) == reading


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("", "empty"),
        ("3", "unclear_length"),
        ("320", "impossible"),
        ("11 months", "impossible"),
        ("150-120", "impossible"),
        ("15-Mar", "spreadsheet_damaged"),
        ("exposed", "unknown_result"),
    ],
)
def test_pregnancy_result_is_refused_with_a_reason(written, code):
    assert refusal(read_pregnancy, written) == code


@given(halves=st.integers(2, 18))
def test_body_condition_runs_from_one_to_nine_in_halves(halves):
    score = Decimal(halves) / 2  # scale of the Beef Improvement Federation
    assert read_body_condition(str(score)) == score
    assert read_body_condition(f" {score}".replace(".", ",")) == score


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("", "empty"),
        ("0.5", "out_of_range"),
        ("9.5", "out_of_range"),
        ("5.25", "not_half_step"),
        ("5-May", "spreadsheet_damaged"),
        ("fat", "not_score"),
    ],
)
def test_body_condition_is_refused_with_a_reason(written, code):
    assert refusal(read_body_condition, written) == code


@pytest.mark.parametrize("inner", ["017", "Y 417", "3.5"])
@pytest.mark.parametrize(
    "guard", ["'{}", '="{}"', '"{}"', "\ufeff{}", "\u00a0{}\t", "\x02{}\x03\r\n", "\u201c{}\u201d"]
)
def test_guards_are_taken_away(guard, inner):
    assert strip_guards(guard.format(inner)) == inner


@pytest.mark.parametrize("written", ["", " ", "-", "--", "N/A", "na", "None", "NULL", ".", "?", "nil", "UNK"])
def test_words_for_nothing_are_missing(written):
    assert is_missing(written)
    assert not is_missing("0")
