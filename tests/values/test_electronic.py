"""Electronic numbers in every written form, and the damage that is named."""

import pickle

import pycountry
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from herd.values.chipcode import MAX_NATIONAL, plain_number
from herd.values.electronic import ElectronicNumber, WrittenForm, might_be_electronic, read_electronic
from herd.values.hexwords import dotted_hex, oddities, reversed_word
from herd.values.prefixes import PrefixKind, meaning_of, prefix_of_letters
from herd.values.problems import Unreadable
from herd.values.telegram import decode_telegram, encode_telegram

PREFIXES = st.one_of(st.integers(1, 999), st.sampled_from([36, 124, 826, 840, 982, 999]))
NATIONALS = st.integers(0, MAX_NATIONAL)
PLAIN = st.builds(ElectronicNumber, PREFIXES, NATIONALS)
ANY_NUMBER = st.builds(
    ElectronicNumber,
    PREFIXES,
    NATIONALS,
    st.booleans(),
    st.integers(0, 7),
    st.integers(0, 31),
    st.integers(0, 7),
    st.booleans(),
    st.booleans(),
)
NEARLY_PLAIN = st.one_of(
    PLAIN,
    st.builds(ElectronicNumber, PREFIXES, NATIONALS, retag=st.integers(0, 7)),
    st.builds(ElectronicNumber, PREFIXES, NATIONALS, user_information=st.integers(0, 31)),
    st.builds(ElectronicNumber, PREFIXES, NATIONALS, animal=st.just(False)),
)
NUMBER = "840003123456789"


def refusal(text):
    with pytest.raises(Unreadable) as refused:
        read_electronic(text)
    return refused.value


def outcome(text):
    """The word that was read, or the code of the refusal."""
    try:
        return read_electronic(text).number.word
    except Unreadable as refused:
        return refused.code


@given(number=ANY_NUMBER)
def test_word_and_digits_come_back_as_the_same_number(number):
    again = ElectronicNumber.from_word(number.word)
    assert again.word == number.word
    assert ElectronicNumber.from_digits(number.digits) == number
    assert (again.retag, again.user_information, again.animal) == (
        number.retag,
        number.user_information,
        number.animal,
    )


@given(number=PLAIN)
def test_plain_number_is_built_the_same_both_ways(number):
    built = plain_number(number.prefix, number.national)
    assert (built, built.word, hash(built), repr(built)) == (number, number.word, hash(number), repr(number))


@given(number=PLAIN)
def test_fifteen_digits_are_read(number):
    reading = read_electronic(number.digits)
    assert (reading.number.word, reading.form) == (number.word, WrittenForm.DIGITS)


@given(number=NEARLY_PLAIN, transmitted=st.booleans())
def test_hex_word_with_few_oddities_is_read_rightly_or_called_ambiguous(number, transmitted):
    assume(oddities(number) <= 1)  # an unassigned prefix counts as well
    written = f"{reversed_word(number.word) if transmitted else number.word:016X}"
    assume(not written.isdigit())
    assert outcome(written) in (number.word, "ambiguous_word")


def test_hex_word_lawful_in_both_orders_is_refused():
    number = ElectronicNumber(840, 1 << 27 | 75 << 16 | 1)
    mirrored = ElectronicNumber.from_word(reversed_word(number.word))
    assert (mirrored.prefix, oddities(mirrored)) == (840, 0)
    assert refusal(f"{number.word:016X}").code == "ambiguous_word"


@given(number=ANY_NUMBER, trailer=st.integers(0, 2**24 - 1))
def test_telegram_comes_back_as_the_same_word(number, trailer):
    assert decode_telegram(encode_telegram(number, trailer)).word == number.word


@given(number=ANY_NUMBER, bit=st.integers(0, 100))
def test_telegram_with_one_flipped_bit_is_refused(number, bit):
    # Bits 0 to 100 hold the header, the code and the checksum with their control bits.
    damaged = f"{int(encode_telegram(number), 16) ^ 1 << 127 - bit:032X}"
    assert refusal(damaged).code in {"bad_telegram", "bad_checksum"}


@given(number=PLAIN)
def test_dotted_hex_comes_back_as_the_same_number(number):
    reading = read_electronic(dotted_hex(number))
    assert (reading.number, reading.form) == (number, WrittenForm.DOT_HEX)


@given(
    number=PLAIN,
    separators=st.lists(st.sampled_from(["", *" .-\u00a0\t_/\u2013"]), min_size=14, max_size=14),
)
def test_separators_make_no_difference(number, separators):
    # A dot before zeros alone, or one after three digits, is another way of writing and has its own tests.
    assume(separators.count(".") != 1)
    written = "".join(digit + mark for digit, mark in zip(number.digits, [*separators, ""], strict=True))
    assert read_electronic(written).number == number
    assert might_be_electronic(written)


@pytest.mark.parametrize(
    "written",
    [
        "'840003123456789",
        '="840003123456789"',
        '"840003123456789"',
        "\x02840003123456789\x03\r\n",
        "\ufeff840003123456789",
        "840003123456789\u200b",
        " 840 003 123 456 789 ",
        "840\u00a0003\u00a0123456789",
        "]C1840003123456789",
        "840003123456789.0",
        "840003123456789,00",
        "840,003,123,456,789",
        "8.40003123456789E+14",
        "8,40003123456789E+14",
        "0840003123456789",
        "1840003123456789",
        "USA003123456789",
        "us 003 123 456 789",
        "8000D200BA2C2B15",
        "0x8000d200ba2c2b15",
        "A8 D4 34 5D 00 4B 00 01",
        "348.00BA2C2B15",
        "00351D49A576014B80407F1838040201",
    ],
)
def test_every_written_form_gives_the_same_number(written):
    assert read_electronic(written).number.digits == NUMBER
    assert might_be_electronic(written)


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("", "empty"),
        ("8.40003E+14", "digits_lost"),
        ("8,40003E+14", "digits_lost"),
        ("8E+14", "digits_lost"),
        ("8.4000312345678E+14", "digits_lost"),
        ("3.60001E+13", "digits_lost"),
        ("3.6000123456789E+13", "leading_zero_lost"),
        ("36000123456789", "leading_zero_lost"),
        ("36000123456789.0", "leading_zero_lost"),
        ("840003123456789.5", "not_whole"),
        ("84OOO3123456789", "letters_in_number"),
        ("840003l23456789", "letters_in_number"),
        ("840003123456", "wrong_length"),
        ("8400031234567", "wrong_length"),
        ("8400031234567890", "last_digit_lost"),
        ("8400031234567891", "wrong_length"),
        ("###############", "column_too_narrow"),
        ("#N/A", "spreadsheet_error"),
        ("#REF!", "spreadsheet_error"),
        ("840274877906944", "too_large"),
        ("000000000000000", "all_zero"),
        ("000123456789012", "invalid_prefix"),
        ("ZZZ003123456789", "unknown_country"),
        ("Y417", "not_electronic"),
        ("FFFFFFFFFFFFFFFF", "not_a_code"),
    ],
)
def test_damage_is_named_and_never_guessed(written, code):
    refused = refusal(written)
    assert refused.code == code
    assert refused.value or code == "empty"


def test_suggestions_are_in_the_sentence_only():
    assert "036000123456789" in refusal("36000123456789").reason
    assert NUMBER in refusal("84OOO3I23456789").reason


def test_cautions_name_what_a_person_should_know():
    def codes(text):
        return [caution.code for caution in read_electronic(text).cautions]

    assert codes(NUMBER) == []
    assert codes("USA003123456789") == ["letters_replaced"]
    assert codes("0840003123456789") == ["flag_digit"]
    assert codes("1840003123456780") == ["flag_digit", "last_digit_zero"]
    assert codes("985113007399202") == ["manufacturer_code"]
    assert codes("736003123456789") == ["unassigned_country"]
    assert codes("276.0123456789") == ["hex_without_letters"]


def test_numbers_compare_and_sort_by_their_digits():
    first, again = ElectronicNumber(840, 5), ElectronicNumber(840, 5, retag=1)
    assert first == again
    assert first.word != again.word
    assert sorted([ElectronicNumber(840, 7), first, ElectronicNumber(124, 9)])[1] == first


@pytest.mark.parametrize("field", ["retag", "user_information", "visual_start"])
@pytest.mark.parametrize("value", [-1, 32])
def test_fields_beyond_their_bits_are_refused(field, value):
    with pytest.raises(Unreadable) as refused:
        ElectronicNumber(840, 5, **{field: value})
    assert refused.value.code == "field_too_large"


def test_refusal_survives_being_stored_and_loaded():
    again = pickle.loads(pickle.dumps(refusal("36000123456789")))
    assert (again.value, again.code) == ("36000123456789", "leading_zero_lost")


def test_prefixes_are_the_countries_of_iso_3166():
    numbers = {int(country.numeric) for country in pycountry.countries}
    named = {PrefixKind.COUNTRY, PrefixKind.TERRITORY}
    assert {prefix for prefix in range(1000) if meaning_of(prefix).kind in named} == numbers
    for country in pycountry.countries:
        assert (
            prefix_of_letters(country.alpha_2) == prefix_of_letters(country.alpha_3) == int(country.numeric)
        )


def test_letters_of_european_rules_have_prefixes():
    # Regulation (EU) 2021/520 Article 12(a): XI for Northern Ireland, EL for Greece.
    assert (prefix_of_letters("XI"), prefix_of_letters("EL")) == (899, 300)
    assert prefix_of_letters("QQ") is None
