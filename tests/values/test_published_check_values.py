"""Published check values, each with its id and source; "computed" is own arithmetic on a published rule.

The rows R01 to R11 of the same table are rules of movement and record keeping, not values, so they do not fit
here; S01 (one tube, one animal) is a rule of the registry.
"""

from decimal import Decimal

import pytest

from herd.values.chipcode import MAX_NATIONAL, ElectronicNumber
from herd.values.electronic import WrittenForm, read_electronic
from herd.values.hexwords import dotted_hex, reversed_word
from herd.values.metal import read_metal
from herd.values.national import gb_check_digit, hr_check_digit, lu_check_digit, read_national
from herd.values.nationalchecks import fi_check_digit, pl_check_digit
from herd.values.prefixes import PrefixKind, meaning_of
from herd.values.premises import check_character, read_premises
from herd.values.problems import Unreadable
from herd.values.states import state_name
from herd.values.telegram import crc16, decode_telegram, encode_telegram
from herd.values.tubes import read_tube
from herd.values.visual import read_visual
from herd.values.yearletters import letter_for, years_for


def refusal(read, *written):
    """The code with which a reading is refused."""
    with pytest.raises(Unreadable) as refused:
        read(*written)
    return refused.value.code


def codes(reading):
    return [caution.code for caution in reading.cautions]


# id, digits, animal, retag, word, transmit order, checksum, telegram, source
CODES = [
    ("E05", "999000000001337", True, 0, "8000F9C000000539", "9CA00000039F0001", 0x1ED3,
     "00339A080402079F8040797788040201", "public firmware bench telegram"),
    ("E06", "528140000795552", True, 0, "8000842098B29BA0", "05D94D1904210001", 0xF283,
     "0020BD9A6C66092180407834F8040201", "security blog of 2022-11-30, telegram computed"),
    ("E07", "985113007399202", True, 0, "8000F65A4FC41122", "448823F25A6F0001", 0xFCDF,
     "002898891FCAB56F80407F73F8040201", "unit test of a general radio device firmware"),
    ("E08", "999001500030037", False, 0, "0000F9C05968A455", "AA25169A039F0000", 0x8A1C,
     "00355258B66A079F8040271518040201", "public Go test vector, telegram computed"),
    ("E09", "999012345678901", True, 0, "8000F9C2DFDC1C35", "AC383BFB439F0001", 0x09CB,
     "00359389DFEE879F80407A7908040201", "CRAN ISO11784Tools tests, telegram computed"),
    ("E10", "999123456789012", True, 0, "8000F9DCBE991A14", "2858997D3B9F0001", 0xB70B,
     "0025158CCDF6779F80407A1ED8040201", "CRAN ISO11784Tools vignette, telegram computed"),
    ("E11", "840003123456789", True, 0, "8000D200BA2C2B15", "A8D4345D004B0001", 0xC11F,
     "00351D49A576014B80407F1838040201", "computed"),
    ("E12", "840003123456789", True, 1, "9000D200BA2C2B15", "A8D4345D004B0009", 0xD19E,
     "00351D49A576014B80426F38B8040201", "computed"),
    ("E02", "840274877906943", True, 0, "8000D23FFFFFFFFF", "FFFFFFFFFC4B0001", 0x3448,
     "003FFFFFFFFFF94B80406252C8040201", "computed"),
    ("E20", "036000123456789", True, 0, "80000900075BCD15", "A8B3DAE000900001", 0xE6C3,
     "00351B3ED78201908040787678040201", "computed"),
    ("F7", "985100012135445", True, 0, "8000F65749301415", "A8280C92EA6F0001", 0x1DE2,
     "00351288664BD56F804068FB88040201", "proxmark3 source for the transmit order, rest computed"),
]  # fmt: skip


@pytest.mark.parametrize("row", CODES, ids=lambda row: row[0])
def test_code_word_checksum_and_telegram_agree_with_the_published_ones(row):
    _, digits, animal, retag, word, transmitted, checksum, telegram, _ = row
    number = ElectronicNumber(int(digits[:3]), int(digits[3:]), animal, retag)
    assert number.digits == digits
    assert f"{number.word:016X}" == word
    assert f"{reversed_word(number.word):016X}" == transmitted
    assert crc16(number.word.to_bytes(8, "little")) == checksum
    assert encode_telegram(number) == telegram
    assert decode_telegram(telegram).word == number.word


@pytest.mark.parametrize("row", CODES, ids=lambda row: row[0])
def test_words_and_telegrams_of_the_table_are_read(row):
    _, digits, _, _, word, transmitted, _, telegram, _ = row
    for written, form in (
        (word, WrittenForm.WORD),
        (transmitted, WrittenForm.WORD_REVERSED),
        (telegram, WrittenForm.TELEGRAM),
    ):
        reading = read_electronic(written)
        assert (reading.number.digits, reading.form) == (digits, form)


DOTTED = [  # source: CRAN ISO11784Tools tests and vignette
    ("E09", "999012345678901", "3E7.02DFDC1C35"),
    ("E09b", "999012345678902", "3E7.02DFDC1C36"),
    ("E09c", "999012345678910", "3E7.02DFDC1C3E"),
    ("E10", "999123456789012", "3E7.1CBE991A14"),
]


@pytest.mark.parametrize("row", DOTTED, ids=lambda row: row[0])
def test_dotted_hex_agrees_with_the_published_one(row):
    _, digits, dotted = row
    assert dotted_hex(ElectronicNumber.from_digits(digits)) == dotted
    assert read_electronic(dotted).number.digits == digits


def test_e01_largest_national_number():
    assert MAX_NATIONAL == 274_877_906_943  # ICAR slides on ISO 11784


REFUSED = [
    ("E03", "840274877906944", "too_large", "computed: over 38 bits"),
    ("E04", "840999999999999", "too_large", "eCVI pattern for AIN lets it pass; computed"),
    ("E13", "000000000000000", "all_zero", "computed"),
    ("E13", "0000000000000000", "all_zero", "computed, with a flag digit"),
    ("E13", "00201008040201008040201008040201", "all_zero", "computed: the checksum of zeros is valid"),
    ("E14", "00239A080402079F8040797788040201", "bad_checksum", "computed: first code byte 38"),
    ("E18", "000123456789012", "invalid_prefix", "ICAR misuse page"),
    ("E21", "1234567890123", "wrong_length", "CRAN ISO11784Tools tests: format unknown"),
    ("E21", "ABD.4567890123", "invalid_prefix", "CRAN ISO11784Tools tests: format unknown"),
    ("X02", "8.40003E+14", "digits_lost", "Microsoft KB 269370 and SAS note 34242"),
    ("X03", "8.40003E+14", "digits_lost", "computed: expands to 840003000000000"),
    ("X05", "36000123456789", "leading_zero_lost", "computed"),
]


@pytest.mark.parametrize("row", REFUSED, ids=lambda row: f"{row[0]}-{row[1]}")
def test_number_of_the_table_is_refused(row):
    assert refusal(read_electronic, row[1]) == row[2]


def test_e14_flipped_data_bit_changes_the_checksum():
    # Computed: first code byte 39 becomes 38.
    assert crc16(bytes.fromhex("38050000C0F90080")) == 0x9F6C
    assert crc16(bytes.fromhex("39050000C0F90080")) == 0x1ED3


def test_e15_checksum_of_the_catalogue():
    assert crc16(b"123456789") == 0x2189  # catalogue of parametrised checksums, CRC-16/KERMIT


CAUTIONED = [
    ("E16", "900155000101234", ["shared_manufacturer", "misused_number"], "ICAR misuse page"),
    ("E16b", "900215005000123", ["shared_manufacturer", "duplicated_range"], "ICAR misuse page, May 2024"),
    ("E17", "999123456789012", ["test_code"], "ICAR; eCVI pattern leaves 999 out"),
    ("E19", "899123456789012", ["northern_ireland"], "Regulation (EU) 2021/520 Article 12"),
    ("E20", "036000123456789", [], "computed"),
    ("X03", "840003000000000", ["trailing_zeros"], "computed: what 8.40003E+14 expands to"),
    ("X04", "8.40003123456789E+14", ["expanded"], "computed"),
]


@pytest.mark.parametrize("row", CAUTIONED, ids=lambda row: row[0])
def test_number_of_the_table_is_read_with_its_cautions(row):
    assert codes(read_electronic(row[1])) == row[2]


def test_e22_country_and_national_number_joined_by_a_dash():
    assert read_electronic("528-140000795552").number.digits == "528140000795552"  # blog of 2022-11-30


def test_x01_sixteenth_digit_lost_in_a_spreadsheet_is_named():
    # Microsoft KB 269370: 1111222233334444 becomes 1111222233334440.
    assert "last_digit_zero" in codes(read_electronic("1111222233334440"))
    assert refusal(read_electronic, "8400031234567890") == "last_digit_lost"


def test_x04_all_digits_in_scientific_notation_are_exact():
    reading = read_electronic("8.40003123456789E+14")
    assert (reading.number.digits, reading.form) == ("840003123456789", WrittenForm.SCIENTIFIC)
    assert int(Decimal("8.40003123456789E+14")) == 840_003_123_456_789


def test_x06_tag_with_the_year_letter_e_is_lost_as_a_number():
    # Computed: 17E05 is 1.70E+06 to a spreadsheet.
    assert read_visual("17E05").number == "17E05"
    assert refusal(read_visual, "1.70E+06") == "spreadsheet_number"


def test_x07_every_electronic_number_fits_a_double():
    # Computed from IEEE 754: whole numbers are exact to 2 to the power 53.
    assert int("999274877906943") < 2**53 == 9_007_199_254_740_992


def test_s02_electronic_number_in_the_tube_field_is_refused():
    assert refusal(read_tube, "840003123456789") == "electronic_number_here"  # rule of the field, no source


def test_p01_check_character_of_the_guide():
    assert check_character("A12425") == "J"  # guide to the eCVI standard, appendix A


PREMISES = [
    ("P02", "0049Z4J", "PIN", [], "sample file of the eCVI standard"),
    ("P03", "00QN5FP", "PIN", [], "sample file of the eCVI standard"),
    ("P04", "OO49Z4J", "PIN", ["leading_letter_o"], "guide to the eCVI standard; computed"),
    ("P08", "A1B2C3", "LID", [], "eCVI schema: 6 to 8 characters"),
    ("P08", "A1B2C3D4", "LID", [], "eCVI schema: 6 to 8 characters"),
]


@pytest.mark.parametrize("row", PREMISES, ids=lambda row: f"{row[0]}-{row[1]}")
def test_premises_number_of_the_table_is_read(row):
    reading = read_premises(row[1])
    assert (reading.number, reading.kind, codes(reading)) == (row[1], row[2], row[3])


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (("P05", "0049Z4K"), "J"),  # computed
        (("P06", "A12452J"), "D"),  # computed
        (("P07", "AB23456"), "0"),  # format example of Virginia Cooperative Extension; computed
    ],
)
def test_mistyped_premises_number_is_refused_with_the_right_character(row, expected):
    with pytest.raises(Unreadable) as refused:
        read_premises(row[1])
    assert refused.value.code == "check_character"
    assert refused.value.reason.endswith(f"should be {expected}.")


@pytest.mark.parametrize(
    ("herd_mark", "animal", "written"),
    [
        ("123450", "00001", "600001"),  # U01, encyclopaedia text on the British movement service
        ("123450", "00002", "700002"),
        ("123450", "00003", "100003"),
        ("284205", "00015", "600015"),  # U02, farm page collingridge.net
        ("284205", "00016", "700016"),
        ("284205", "00017", "100017"),
    ],
)
def test_u01_u02_british_check_digit(herd_mark, animal, written):
    assert gb_check_digit(herd_mark, animal) + animal == written
    assert read_national("GB", f"UK {herd_mark} {written}").checked


def test_u03_wrong_british_check_digit_is_refused():
    assert refusal(read_national, "GB", "UK 123456 600001") == "check_digit"  # computed
    assert read_national("GB", "UK 123456 100001").checked


def test_u04_british_check_digit_misses_digits_seven_apart():
    assert read_national("GB", "UK 284205 700086").number == "284205700086"  # computed


def test_c01_croatian_check_digit():
    assert hr_check_digit("234567890") == "6"  # German cattle database: sum 656
    assert read_national("HR", "HR 6 23456 7890").electronic == "191006234567890"  # computed


def test_c02_polish_check_digit():
    assert pl_check_digit("00512345678") == "9"  # computed from the official formula
    assert read_national("PL", "PL 005123456789").electronic == "616005123456789"


def test_c03_finnish_check_digit():
    assert fi_check_digit("234567890") == "4"  # computed from the official formula


def test_c04_luxembourg_and_belgian_check_digit():
    assert lu_check_digit("23456789") == "4"  # computed from the official formula
    assert read_national("BE", "BE 423456789").electronic == "056000423456789"


def test_c05_danish_number_without_check_digit():
    number = read_national("DK", "DK 12345 6789")  # German cattle database
    assert (number.electronic, number.checked) == ("208000123456789", False)


def test_c06_german_number_without_check_digit():
    number = read_national("DE", "DE 09 12345678")  # computed from the official German scheme
    assert (number.electronic, number.checked) == ("276000912345678", False)


METAL = [
    ("N01", "35ABC1234", "35ABC1234", "NUES9", "Wisconsin", "Wisconsin state veterinarian"),
    ("N02", "34DMH0402", "34DMH0402", "NUES9", "Michigan", "Michigan laboratory form"),
    ("N03", "35AB1234", "35AB1234", "NUES8", "Wisconsin", "eCVI schema"),
    ("N04", "WI ABC 1234", "WIABC1234", "NUES9", "Wisconsin", "eCVI schema"),
]


@pytest.mark.parametrize("row", METAL, ids=lambda row: row[0])
def test_metal_tag_of_the_table_is_read(row):
    tag = read_metal(row[1])
    assert (tag.number, tag.pattern, tag.state_hint) == row[2:5]
    assert codes(tag) == (["may_be_back_tag"] if row[0] == "N03" else [])


def test_n05_metal_tag_one_digit_short_is_refused():
    assert refusal(read_metal, "35ABC123") == "not_metal"  # eCVI schema: neither pattern


@pytest.mark.parametrize(
    ("digits", "state"),
    [
        ("35", "Wisconsin"),  # N06, Wisconsin state veterinarian
        ("48", "Kansas"),  # N07, from memory
        ("57", "Georgia"),  # N08, from memory
        ("58", "Florida"),  # N08, from memory
    ],
)
def test_n06_to_n08_state_digits(digits, state):
    assert state_name(digits) == state


@pytest.mark.parametrize(
    ("year", "letter"),
    [
        (2024, "M"), (2025, "N"), (2026, "P"),  # Y01, Beef Improvement Federation
        (2034, "Z"), (2035, "A"),  # Y02, Beef Improvement Federation
        (1969, "A"), (1991, "A"), (2003, "N"), (2008, "U"),  # Y03, University of Missouri Extension
    ],
)  # fmt: skip
def test_y01_to_y03_year_letter(year, letter):
    assert letter_for(year) == letter
    assert years_for(letter, year, year) == [year]


@pytest.mark.parametrize("letter", ["I", "O", "Q", "V"])
def test_y04_letters_never_used(letter):
    assert refusal(years_for, letter, 1950, 2050) == "never_a_year_letter"  # Beef Improvement Federation


def test_y05_letter_h_is_2020_or_22_years_away():
    assert read_visual("101H").number == "101H"
    assert years_for("H", 1990, 2026) == [1998, 2020]  # Beef Improvement Federation


def test_prefix_table_of_the_registration_authority():
    # ICAR, section 1.3 of its rules: countries, manufacturers, test, invalid.
    assert meaning_of(840).name == "United States"
    assert meaning_of(985).kind is PrefixKind.MANUFACTURER
    assert meaning_of(0).kind is meaning_of(1000).kind is PrefixKind.INVALID
