"""Check values of numbers on tags, premises, metal tags, year letters, damage by spreadsheets, and 9 CFR part 86."""

from collections.abc import Callable, Sequence
from datetime import date

from herd.values.chipcode import MAX_NATIONAL, ElectronicNumber
from herd.values.electronic import read_electronic
from herd.values.hexwords import dotted_hex, reversed_word
from herd.values.metal import read_metal
from herd.values.movementrules import Journey, Traveller, counts_as, need_of
from herd.values.national import gb_check_digit, hr_check_digit, lu_check_digit, read_national
from herd.values.nationalchecks import fi_check_digit, pl_check_digit
from herd.values.premises import check_character, read_premises
from herd.values.problems import Unreadable
from herd.values.states import state_name
from herd.values.telegram import crc16, encode_telegram
from herd.values.tubes import read_tube
from herd.values.visual import read_visual
from herd.values.yearletters import letter_for, years_for
from tests.values.checkvalues.table import Check, LeftOut
from tests.values.test_published_check_values import CODES

COMPUTED = "computed"
INDIANA = "9 CFR 86.4, by the Indiana Board of Animal Health"


def code(read: Callable[..., object], *written: object) -> str:
    """Why a writing is refused; "read" where it isn't."""
    try:
        read(*written)
    except Unreadable as refused:
        return refused.code
    return "read"


def cautions(written: str) -> str:
    reading = read_electronic(written)
    return ", ".join([reading.number.digits, *(one.code for one in reading.cautions)])


def chip(row: Sequence[object]) -> str:
    _, digits, animal, retag, *_ = row
    number = ElectronicNumber(int(str(digits)[:3]), int(str(digits)[3:]), bool(animal), int(str(retag)))
    checksum = crc16(number.word.to_bytes(8, "little"))
    return f"{number.word:016X}, {reversed_word(number.word):016X}, CRC {checksum:04X}, {encode_telegram(number)}"


def dotted(digits: str) -> str:
    return dotted_hex(ElectronicNumber.from_digits(digits))


def words(digits: str) -> str:
    word = ElectronicNumber.from_digits(digits).word
    return f"{dotted(digits)}, {word:016X}, {reversed_word(word):016X}"


def premises(written: str) -> str:
    try:
        reading = read_premises(written)
    except Unreadable as refused:
        return f"{refused.code}, {refused.reason[-2]} expected"
    return ", ".join([reading.kind, *(one.code for one in reading.cautions)])


def british(herd_mark: str, *animals: int) -> str:
    written = [f"{animal:05d}" for animal in animals]
    return ", ".join(gb_check_digit(herd_mark, animal) + animal for animal in written)


def metal(written: str) -> str:
    tag = read_metal(written)
    return ", ".join([tag.number, tag.pattern, tag.state_hint or ""])


def need(animal_class: str, months: int, *, is_dairy: bool = False, journey: Journey = Journey.ORDINARY) -> str:
    years, rest = divmod(5 - months, 12)
    born = date(2026 + years, rest + 1, 1)
    found = need_of(Traveller(animal_class, born, is_dairy=is_dairy), journey, date(2026, 6, 1))
    return "required" if found else "not required"


def counted(kind: str, number: str, put_on: str) -> str:
    return str(counts_as(kind, number, date.fromisoformat(put_on))[0].value).replace("_", " ")


CHECKS = [
    Check(
        "E01",
        "largest number inside a country",
        "ICAR slides on ISO 11784; 2^38 - 1",
        "274877906943",
        lambda: MAX_NATIONAL,
    ),
    *(
        Check(
            str(row[0]),
            str(row[1]),
            str(row[-1]),
            f"{row[4]}, {row[5]}, CRC {row[6]:04X}, {row[7]}",
            lambda row=row: chip(row),
        )
        for row in CODES
    ),
    Check(
        "E03", "840274877906944, over 38 bits", COMPUTED, "too_large", lambda: code(read_electronic, "840274877906944")
    ),
    Check(
        "E04",
        "840999999999999, passes the pattern for an AIN",
        "eCVI pattern; computed",
        "too_large",
        lambda: code(read_electronic, "840999999999999"),
    ),
    Check(
        "E09 dotted", "999012345678901", "CRAN ISO11784Tools tests", "3E7.02DFDC1C35", lambda: dotted("999012345678901")
    ),
    *(
        Check(f"E09 {digits[-3:]}", digits, "CRAN ISO11784Tools tests", expected, lambda digits=digits: words(digits))
        for digits, expected in (
            ("999012345678902", "3E7.02DFDC1C36, 8000F9C2DFDC1C36, 6C383BFB439F0001"),
            ("999012345678910", "3E7.02DFDC1C3E, 8000F9C2DFDC1C3E, 7C383BFB439F0001"),
        )
    ),
    Check(
        "E05 no animal",
        "999000000001337 with the animal bit off",
        COMPUTED,
        "CRC 9ADB",
        lambda: f"CRC {crc16(ElectronicNumber(999, 1337, False, 0).word.to_bytes(8, 'little')):04X}",
    ),
    Check(
        "E10 dotted",
        "999123456789012",
        "CRAN ISO11784Tools vignette",
        "3E7.1CBE991A14",
        lambda: dotted("999123456789012"),
    ),
    Check(
        "E13",
        "64 bits of zero",
        COMPUTED,
        "all_zero",
        lambda: code(read_electronic, "00201008040201008040201008040201"),
    ),
    Check(
        "E14",
        "telegram of E05 with one bit flipped",
        COMPUTED,
        "bad_checksum",
        lambda: code(read_electronic, "00239A080402079F8040797788040201"),
    ),
    Check(
        "E15",
        "checksum of 123456789 in ASCII",
        "catalogue of checksums, CRC-16/KERMIT",
        "2189",
        lambda: f"{crc16(b'123456789'):04X}",
    ),
    Check(
        "E16",
        "900155000101234",
        "ICAR misuse page",
        "900155000101234, shared_manufacturer, misused_number",
        lambda: cautions("900155000101234"),
    ),
    Check(
        "E17",
        "999123456789012",
        "ICAR; eCVI pattern",
        "999123456789012, test_code",
        lambda: cautions("999123456789012"),
    ),
    Check(
        "E18", "000123456789012", "ICAR misuse page", "invalid_prefix", lambda: code(read_electronic, "000123456789012")
    ),
    Check(
        "E19",
        "899123456789012",
        "Regulation (EU) 2021/520 Article 12",
        "899123456789012, northern_ireland",
        lambda: cautions("899123456789012"),
    ),
    Check(
        "E21",
        "1234567890123",
        "CRAN ISO11784Tools tests",
        "wrong_length",
        lambda: code(read_electronic, "1234567890123"),
    ),
    Check(
        "E22",
        "528-140000795552",
        "security blog of 2022-11-30",
        "528140000795552",
        lambda: read_electronic("528-140000795552").number.digits,
    ),
    Check("P01", "A12425", "guide to the eCVI standard, appendix A", "J", lambda: check_character("A12425")),
    *(
        Check(name, written, source, expected, lambda written=written: premises(written))
        for name, written, source, expected in (
            ("P02", "0049Z4J", "sample file of the eCVI standard", "PIN"),
            ("P03", "00QN5FP", "sample file of the eCVI standard", "PIN"),
            ("P04", "OO49Z4J", "guide to the eCVI standard; computed", "PIN, leading_letter_o"),
            ("P05", "0049Z4K", COMPUTED, "check_character, J expected"),
            ("P06", "A12452J", COMPUTED, "check_character, D expected"),
            (
                "P07",
                "AB23456",
                "format example of Virginia Cooperative Extension; computed",
                "check_character, 0 expected",
            ),
            ("P08 of 6", "A1B2C3", "eCVI schema", "LID"),
            ("P08 of 8", "A1B2C3D4", "eCVI schema", "LID"),
        )
    ),
    *(
        Check(
            f"P07 {written}",
            f"{written}, a filler of the guide to the eCVI standard",
            "computed: its last character doesn’t fit",
            "check_character",
            lambda written=written: code(read_premises, written),
        )
        for written in ("16SVG2Y", "T6BO2H9")
    ),
    Check(
        "U01",
        "UK 123450, animals 1, 2, 3",
        "encyclopaedia text on the British movement service",
        "600001, 700002, 100003",
        lambda: british("123450", 1, 2, 3),
    ),
    Check(
        "U02",
        "UK 284205, animals 15, 16, 17",
        "farm page collingridge.net",
        "600015, 700016, 100017",
        lambda: british("284205", 15, 16, 17),
    ),
    Check("U03", "UK 123456 600001", COMPUTED, "check_digit", lambda: code(read_national, "GB", "UK 123456 600001")),
    Check(
        "U04",
        "UK 284205 700086 where 700016 was meant: not caught",
        COMPUTED,
        "284205700086",
        lambda: read_national("GB", "UK 284205 700086").number,
    ),
    Check("C01", "HR 6 23456 7890", "German cattle database", "6", lambda: hr_check_digit("234567890")),
    Check("C02", "PL 00512345678", "official formula; computed", "9", lambda: pl_check_digit("00512345678")),
    Check("C03", "FI 234567890", "official formula; computed", "4", lambda: fi_check_digit("234567890")),
    Check("C04", "LU or BE 23456789", "official formula; computed", "4", lambda: lu_check_digit("23456789")),
    Check(
        "C05",
        "DK 12345 6789",
        "German cattle database",
        "208000123456789",
        lambda: read_national("DK", "DK 12345 6789").electronic,
    ),
    Check(
        "C06",
        "DE 09 12345678",
        "official German scheme; computed",
        "276000912345678",
        lambda: read_national("DE", "DE 09 12345678").electronic,
    ),
    *(
        Check(name, written, source, expected, lambda written=written: metal(written))
        for name, written, source, expected in (
            ("N01", "35ABC1234", "Wisconsin state veterinarian", "35ABC1234, NUES9, Wisconsin"),
            ("N02", "34DMH0402", "Michigan laboratory form", "34DMH0402, NUES9, Michigan"),
            ("N03", "35AB1234", "eCVI schema", "35AB1234, NUES8, Wisconsin"),
            ("N04", "WI ABC 1234", "eCVI schema", "WIABC1234, NUES9, Wisconsin"),
        )
    ),
    Check("N05", "35ABC123", "eCVI schema", "not_metal", lambda: code(read_metal, "35ABC123")),
    *(
        Check(f"{name} {digits}", f"state of {digits}", source, state, lambda digits=digits: state_name(digits))
        for name, digits, source, state in (
            ("N06", "35", "Wisconsin state veterinarian", "Wisconsin"),
            ("N06", "13", "USDA numeric code; seen in a source that was not noted", "Vermont"),
            ("N06", "34", "Michigan laboratory form", "Michigan"),
            ("N07", "48", "from memory", "Kansas"),
            ("N08", "57", "from memory", "Georgia"),
            ("N08", "58", "from memory", "Florida"),
        )
    ),
    Check(
        "R01",
        "beef bulls of 17 and of 18 months between states",
        INDIANA,
        "not required, required",
        lambda: f"{need('bull', 17)}, {need('bull', 18)}",
    ),
    Check("R02", "dairy steer of a month", INDIANA, "required", lambda: need("steer", 1, is_dairy=True)),
    Check(
        "R03",
        "beef steer of 12 months",
        "9 CFR 86.4, by Nebraska and Indiana",
        "not required",
        lambda: need("steer", 12),
    ),
    Check(
        "R03 shown",
        "beef heifer of 5 months at a show",
        "9 CFR 86.4, by Indiana, Ohio State and Kentucky Extension",
        "required",
        lambda: need("heifer", 5, journey=Journey.SHOW),
    ),
    Check(
        "R04",
        "visual official tag put on 2024-11-04",
        INDIANA,
        "official",
        lambda: counted("nues", "35ABC1234", "2024-11-04"),
    ),
    Check(
        "R05",
        "visual tag put on 2024-11-05",
        "Federal Register 2024-09717",
        "not official",
        lambda: counted("nues", "35ABC1234", "2024-11-05"),
    ),
    *(
        Check(
            f"R06 on {on}",
            "manufacturer’s number 985",
            "Minnesota Board of Animal Health",
            expected,
            lambda on=on: counted("eid", "985000123456789", on),
        )
        for on, expected in (("2015-03-10", "official"), ("2015-03-11", "not official"))
    ),
    *(
        Check(f"{name} {year}", f"letter of {year}", source, letter, lambda year=year: letter_for(year))
        for name, source, years in (
            ("Y01", "Beef Improvement Federation", ((2024, "M"), (2025, "N"), (2026, "P"))),
            ("Y02", "Beef Improvement Federation", ((2034, "Z"), (2035, "A"))),
            (
                "Y03",
                "University of Missouri Extension",
                ((1969, "A"), (1991, "A"), (2003, "N"), (2008, "U"), (2009, "W"), (2010, "X"), (2012, "Z")),
            ),
        )
        for year, letter in years
    ),
    *(
        Check(
            f"Y04 {letter}",
            f"letter {letter}",
            "Beef Improvement Federation",
            "never_a_year_letter",
            lambda letter=letter: code(years_for, letter, 1950, 2050),
        )
        for letter in "IOQV"
    ),
    Check(
        "Y05",
        "tag 101H",
        "Beef Improvement Federation",
        "101H, 1998, 2020",
        lambda: ", ".join([read_visual("101H").number, *map(str, years_for("H", 1990, 2026))]),
    ),
    Check(
        "X01",
        "16 digits ending in a zero that was not there",
        "Microsoft KB 269370",
        "last_digit_lost",
        lambda: code(read_electronic, "8400031234567890"),
    ),
    Check(
        "X02",
        "840003123456789 shown as 8.40003E+14",
        "Microsoft KB 269370; SAS note 34242",
        "digits_lost",
        lambda: code(read_electronic, "8.40003E+14"),
    ),
    Check(
        "X03",
        "what 8.40003E+14 expands to",
        COMPUTED,
        "840003000000000, trailing_zeros",
        lambda: cautions("840003000000000"),
    ),
    Check(
        "X04", "8.40003123456789E+14", COMPUTED, "840003123456789, expanded", lambda: cautions("8.40003123456789E+14")
    ),
    Check(
        "X05",
        "036000123456789 as a number",
        COMPUTED,
        "leading_zero_lost",
        lambda: code(read_electronic, "36000123456789"),
    ),
    Check("X06", "17E05 as a number", COMPUTED, "spreadsheet_number", lambda: code(read_visual, "1.70E+06")),
    Check(
        "X07",
        "largest EID beside the largest whole number of a double, 2^53",
        "IEEE 754; computed",
        "exact",
        lambda: "exact" if int(float("999274877906943")) == 999_274_877_906_943 < 2**53 else "lost",
    ),
    Check(
        "S02",
        "an EID in the field for a tube",
        "rule of the field, no source",
        "electronic_number_here",
        lambda: code(read_tube, "840003123456789"),
    ),
]

LEFT_OUT = [
    LeftOut("F12", "a telegram of zeros with a valid checksum", "the same as E13"),
    LeftOut(
        "985121004515220",
        "a comment in a general radio client, 37FF65B88EF94",
        "it doesn’t agree with the layout itself",
    ),
    LeftOut(
        "PL 00 50136 9726 X",
        "second Polish formula, 7",
        "holds for listed old series; their list was not at hand",
    ),
    LeftOut(
        "GRid A1-2425G-ABC1234002-M",
        "ISO 7064 Mod 37,36 over 17 characters",
        "from memory; a number of another trade",
    ),
    LeftOut(
        "538, 0637",
        "Northern Irish herd numbers padded to 530008, 060037",
        "not read here; no EID is made of them",
    ),
    LeftOut(
        "eCVI patterns",
        "regular expressions of the schema",
        "E04, N03 and P08 hold where they differ from the numbers",
    ),
    LeftOut(
        "bits 2 to 16",
        "retagging counter, user field, visual digit",
        "E12 has the counter; the rest has no published value",
    ),
    LeftOut("F1 to F11", "the worked telegrams of section 1.6", "the same numbers as E02, E05 to E12 and E20"),
    LeftOut(
        "R07",
        "a retag is kept five years",
        "a rule of keeping: nothing is deleted; the length is a value of the outfit",
    ),
    LeftOut(
        "R08", "an 840 tag on an animal born abroad", "a rule of issuing tags; the country of birth is not recorded"
    ),
    LeftOut(
        "R09, R10",
        "what is recorded of a replaced and of a lost tag",
        "from memory; fields, tested in tests/registry/test_tags.py",
    ),
    LeftOut("R11", "what a certificate contains", "partly from memory; the accredited veterinarian issues it"),
    LeftOut(
        "S01", "a tube scanned for a second animal", "a rule of the record, tested in tests/registry and tests/intake"
    ),
]
