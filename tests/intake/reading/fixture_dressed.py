"""Hand-written files that wear something around their lines, change the delimiter, or are named by numbers."""

from tests.intake.reading.fixture_texts import LINES, Case, H, R, case, plain, refused, with_line

PENS = ["Pen", "Fed by", "2023", "2024", "2025"]
FED = [["North", "Ada", "412.5", "398.0", "401.5"], ["Creek", "Bo", "388.0", "371.5", "366.0"]]
WORDS = ["Task", "Tool", "Next"]
DONE = [["mend gate", "wire", "creek"], ["move salt", "truck", "ridge"], ["check trough", "none", "mill"]]
NOTES = ["Tag", "Note", "Pen"]
NOTED = [["K11", 'the "old" cow, again', "North"], ["K12", 'said "calm"', "Creek"], ["K13", "lame", "Creek"]]
SPELT = ["Número", "Señal", "Año"]
LETTERS = [["1", "corazón", "dañada"], ["2", "mañana", "caída"], ["3", "", "aún"]]

WOJT = ["Gmina", "Rasa", "Sztuk"]
GMINY = [["Żywiec", "łaciata", "12"], ["Dębno", "źrebię", "7"], ["Kościan", "śląska", "31"]]


def dressed() -> list[Case]:
    """Boxes, quotes around lines, other delimiters, numbers as names, two ways of escaping, older encodings."""
    other = LINES[4].replace(",", ";")
    twice = [
        '"' + line.replace('"', '""') + '"'
        for line in [LINES[0], '840270000000011,"K11, red",412,2024-03-01', LINES[2]]
    ]
    ruled = "+-----------------+-----+--------+------------+"
    drawn = [
        "| " + " | ".join(cell.ljust(size) for cell, size in zip(row, (15, 3, 6, 10), strict=True)) + " |"
        for row in [H, *R]
    ]
    words = [",".join(row) for row in [WORDS, *DONE]]
    spelt = plain([";".join(row) for row in [SPELT, *LETTERS]])
    return [
        case("box-drawn", plain([ruled, drawn[0], ruled, *drawn[1:], ruled]), H, R, ext="txt"),
        case("bars-at-both-ends", plain([drawn[0], "|---|---|---|---|", *drawn[1:]]), H, R, ext="txt"),
        case("lines-quoted-again", plain(twice), H, [["840270000000011", "K11, red", *R[0][2:]], R[1]]),
        case("line-with-another-delimiter", plain([*LINES[:4], other]), H, R, warnings=["other_delimiter"]),
        case("header-with-another-delimiter", plain([LINES[0].replace(",", ";"), *LINES[1:]]), H, R),
        case("header-of-years", plain([",".join(row) for row in [PENS, *FED]]), PENS, FED, dialect={"header_line": 1}),
        case(
            "counting-without-header", "1,2,3\n4,5,6\n7,8,9\n", [], [["1", "2", "3"], ["4", "5", "6"], ["7", "8", "9"]]
        ),
        case("words-with-trailing-delimiters", plain([line + "," for line in words]), WORDS, DONE),
        case("words-with-header-repeated", plain([*words[:2], words[0], *words[2:]]), WORDS, DONE),
        case(
            "two-ways-of-escaping",
            'Tag,Note,Pen\nK11,"the \\"old\\" cow, again",North\nK12,"said ""calm""",Creek\nK13,lame,Creek\n',
            NOTES,
            NOTED,
        ),
        case("code-page-850", spelt.encode("cp850"), SPELT, LETTERS, dialect={"encoding": "cp850"}),
        case("code-page-1250", plain([";".join(row) for row in [WOJT, *GMINY]]).encode("cp1250"), WOJT, GMINY),
        refused("only-delimiters", "csv", b",,,\r\n,,,\r\n", "empty"),
        case("mac-roman", spelt.encode("mac_roman"), SPELT, LETTERS, dialect={"encoding": "mac_roman"}),
        case("remarks-longer-than-the-table", plain(["# by hand", "# not checked", "# twice", *LINES[:2]]), H, R[:1]),
        case("footer-mean", plain([*LINES, "Herd mean,,421,"]), H, R, dialect={"footer_lines": [6]}),
        case("footer-sentence", plain([*LINES, "Weighed before noon, dry"]), H, R, dialect={"footer_lines": [6]}),
        case(
            "footer-padded-sentence",
            plain([*LINES, ",,,", "see the yard book,,,"]),
            H,
            R,
            dialect={"footer_lines": [7]},
        ),
        case(
            "narrow-second-table-of-words",
            plain([*LINES, "", *words]),
            H,
            [*R, *([*row, ""] for row in DONE)],
            warnings=["second_table"],
        ),
        case("gap-before-the-last-line", plain(with_line(4, "")), H, R),
    ]
