"""Hand-written messy text files with what reading them must give; all contents are invented."""

from typing import Any

Case = tuple[str, str, bytes, dict[str, Any]]

H = ["EID", "VID", "Weight", "Date"]
R = [
    ["840270000000011", "K11", "412", "2024-03-01"],
    ["840270000000012", "K12", "398.5", "2024-03-01"],
    ["840270000000013", "K13", "", "2024-03-02"],
    ["840270000000014", "K14", "455", "2024-03-02"],
]
LINES = ["EID,VID,Weight,Date", *(",".join(row) for row in R)]


def case(name: str, content: str | bytes, header: list[str], rows: list[list[str]], **more: Any) -> Case:
    """One readable file; text is written as UTF-8, `more` are further expectations and `ext`."""
    ext = more.pop("ext", "csv")
    data = content.encode() if isinstance(content, str) else content
    return name, ext, data, {"header": header, "rows": rows, **more}


def refused(name: str, ext: str, content: bytes, code: str) -> Case:
    """One file that must be refused with this code."""
    return name, ext, content, {"unreadable": code}


def plain(lines: list[str], end: str = "\n") -> str:
    return "".join(line + end for line in lines)


def with_line(place: int, line: str) -> list[str]:
    return [*LINES[:place], line, *LINES[place:]]


def changed(place: int, row: list[str]) -> list[list[str]]:
    return [*R[:place], row, *R[place + 1 :]]


def delimited() -> list[Case]:
    """Delimiters, quotes, escapes, line ends and encodings."""
    odd = [
        ["840270000000021", 'the "old" cow', "300"],
        ["840270000000022", "left, then back", "310"],
        ["840270000000023", "calm", "320"],
    ]
    head = ["EID", "Notes", "Weight"]
    german = [
        ["276009000000001", "männlich", "412,5"],
        ["276009000000002", "weiblich", "398,0"],
        ["276009000000003", "weiblich", "401,5"],
    ]
    kopf = ["Ohrmarke", "Geschlecht", "Gewicht"]
    umlauts = plain([";".join(row) for row in [kopf, *german]], "\r\n")
    joined = {
        name: plain([sign.join(row) for row in [H, *R]])
        for name, sign in {
            "tab": "\t",
            "pipe": "|",
            "semicolon": ";",
            "comma-space": ", ",
            "semicolon-space": "; ",
            "double-pipe": "||",
            "caret": "^",
        }.items()
    }
    signs = {
        "tab": "\t",
        "pipe": "|",
        "semicolon": ";",
        "comma-space": ", ",
        "semicolon-space": "; ",
        "double-pipe": "||",
        "caret": "^",
    }
    cases = [
        case(f"delimiter-{name}", text, H, R, dialect={"delimiter": signs[name], "header_line": 1})
        for name, text in joined.items()
    ]
    aligned = [row[0].ljust(17) + row[1].ljust(6) + row[2].ljust(8) + row[3] for row in [H, *R]]
    return [
        *cases,
        case("aligned-with-spaces", plain(aligned), H, R, ext="txt"),
        case(
            "single-spaces",
            plain([" ".join([*row[:2], row[3]]) for row in [H, *R]]),
            [*H[:2], "Date"],
            [[*row[:2], row[3]] for row in R],
        ),
        case(
            "decimal-comma-semicolon", umlauts, kopf, german, dialect={"delimiter": ";", "encoding": "utf-8"}
        ),
        case("windows-1252", umlauts.encode("cp1252"), kopf, german, dialect={"encoding": "cp1252"}),
        case(
            "utf-8-mark",
            umlauts.encode("utf-8-sig"),
            kopf,
            german,
            dialect={"byte_order_mark": True, "encoding": "utf-8"},
        ),
        case(
            "utf-16-mark",
            umlauts.encode("utf-16"),
            kopf,
            german,
            dialect={"byte_order_mark": True, "encoding": "utf-16-le"},
        ),
        case(
            "utf-16-le-no-mark",
            umlauts.encode("utf-16-le"),
            kopf,
            german,
            dialect={"byte_order_mark": False, "encoding": "utf-16-le"},
        ),
        case(
            "utf-16-be-no-mark", umlauts.encode("utf-16-be"), kopf, german, dialect={"encoding": "utf-16-be"}
        ),
        case(
            "quote-doubled",
            'EID,Notes,Weight\n840270000000021,"the ""old"" cow",300\n840270000000022,"left, then back",310\n840270000000023,calm,320\n',
            head,
            odd,
        ),
        case(
            "quote-backslash",
            'EID,Notes,Weight\n840270000000021,"the \\"old\\" cow",300\n840270000000022,"left, then back",310\n840270000000023,calm,320\n',
            head,
            odd,
            dialect={"escape": "\\"},
        ),
        case(
            "quote-unescaped",
            'EID,Notes,Weight\n840270000000021,"the "old" cow",300\n840270000000022,"left, then back",310\n840270000000023,calm,320\n',
            head,
            odd,
            warnings=["stray_quote"],
        ),
        case(
            "quote-apostrophe",
            "EID,Notes,Weight\n840270000000021,'the \"old\" cow',300\n840270000000022,'left, then back',310\n840270000000023,calm,320\n",
            head,
            odd,
            dialect={"quote": "'"},
        ),
        case(
            "quote-curly",
            'EID,Notes,Weight\n840270000000021,“the "old" cow”,300\n840270000000022,“left, then back”,310\n840270000000023,“calm”,320\n',
            head,
            odd,
            dialect={"quote": "“"},
        ),
        case(
            "all-quoted",
            plain([",".join(f'"{cell}"' for cell in row) for row in [H, *R]], "\r\n"),
            H,
            R,
            dialect={"line_ending": "CRLF"},
        ),
        case(
            "text-guards",
            "EID,VID,Weight\n'840270000000021,K1,300\n'840270000000022,K2,310\n'840270000000023,K3,320\n",
            ["EID", "VID", "Weight"],
            [
                ["'840270000000021", "K1", "300"],
                ["'840270000000022", "K2", "310"],
                ["'840270000000023", "K3", "320"],
            ],
        ),
        case(
            "formula-guards",
            'EID,VID,Weight\n="840270000000021",K1,300\n="840270000000022",K2,310\n="840270000000023",K3,320\n',
            ["EID", "VID", "Weight"],
            [
                ['="840270000000021"', "K1", "300"],
                ['="840270000000022"', "K2", "310"],
                ['="840270000000023"', "K3", "320"],
            ],
        ),
        case("ends-cr", plain(LINES, "\r"), H, R, dialect={"line_ending": "CR"}, row_lines=[2, 3, 4, 5]),
        case(
            "ends-mixed",
            LINES[0] + "\r\n" + LINES[1] + "\n" + LINES[2] + "\r" + LINES[3] + "\r\n" + LINES[4],
            H,
            R,
            dialect={"line_ending": "mixed"},
        ),
        case("no-final-end", "\n".join(LINES), H, R, row_lines=[2, 3, 4, 5]),
        case("padded-cells", plain([" , ".join(cell.ljust(16) for cell in row) for row in [H, *R]]), H, R),
        case("trailing-delimiters", plain([line + "," for line in LINES]), H, R),
        case(
            "sep-line",
            plain(["sep=;", *(line.replace(",", ";") for line in LINES)]),
            H,
            R,
            dialect={"delimiter": ";", "header_line": 2},
        ),
        case(
            "inch-marks",
            'EID,Hip height,Frame\n840270000000021,48",5\n840270000000022,50",6\n840270000000023,49.5",5\n',
            ["EID", "Hip height", "Frame"],
            [
                ["840270000000021", '48"', "5"],
                ["840270000000022", '50"', "6"],
                ["840270000000023", '49.5"', "5"],
            ],
        ),
        case(
            "bad-letter-in-utf-8",
            "EID,Breed,Sex\n840270000000021,Pié rouge,F\n840270000000022,Gasconne grisée,M\n840270000000023,Tarentaise dorée à cornes,F\n".encode()
            + b"840270000000024,Mari\xe9e,F\n",
            ["EID", "Breed", "Sex"],
            [
                ["840270000000021", "Pié rouge", "F"],
                ["840270000000022", "Gasconne grisée", "M"],
                ["840270000000023", "Tarentaise dorée à cornes", "F"],
                ["840270000000024", "Mariée", "F"],
            ],
            warnings=["mixed_encoding"],
        ),
        case("zero-bytes-at-end", (plain(LINES) + "\x00" * 400).encode(), H, R, warnings=["nul_bytes"]),
    ]


def headed() -> list[Case]:
    """Headers of all kinds, or none."""
    units = with_line(1, ",,kg,yyyy-mm-dd")
    grouped = ["Animal,,Weighing,", "EID,VID,Weight,Date", *LINES[1:]]
    return [
        case(
            "header-missing",
            plain(LINES[1:]),
            [],
            R,
            row_lines=[1, 2, 3, 4],
            dialect={"header_line": None, "first_data_line": 1},
        ),
        case("header-twice", plain(with_line(1, LINES[0])), H, R, row_lines=[3, 4, 5, 6]),
        case(
            "header-repeated-inside",
            plain(with_line(3, LINES[0])),
            H,
            R,
            row_lines=[2, 3, 5, 6],
            dialect={"passed_lines": [[4, "header repeated"]]},
        ),
        case(
            "header-two-rows",
            plain(with_line(1, "electronic,visual,kg live,weighed on")),
            ["EID electronic", "VID visual", "Weight kg live", "Date weighed on"],
            R,
            dialect={"header_lines": [1, 2], "first_data_line": 3},
        ),
        case(
            "header-grouped",
            plain(grouped),
            ["Animal EID", "VID", "Weighing Weight", "Date"],
            R,
            dialect={"header_lines": [1, 2]},
        ),
        case(
            "units-row",
            plain(units),
            H,
            R,
            dialect={"passed_lines": [[2, "row of units"]], "first_data_line": 3},
        ),
        case("ruled-header", plain(with_line(1, "---,---,---,---")), H, R, row_lines=[3, 4, 5, 6]),
        case("header-empty-name", plain(["EID,,Weight,Date", *LINES[1:]]), ["EID", "", "Weight", "Date"], R),
        case(
            "header-same-names",
            plain(["EID,Weight,Weight,Date", *LINES[1:]]),
            ["EID", "Weight", "Weight", "Date"],
            R,
        ),
        case(
            "header-quoted-newline",
            '"EID","VID\nvisual",Weight,Date\n' + plain(LINES[1:]),
            ["EID", "VID\nvisual", "Weight", "Date"],
            R,
            row_lines=[3, 4, 5, 6],
            dialect={"header_lines": [1, 2]},
        ),
        case("header-only", LINES[0] + "\n", H, [], warnings=["no_rows"]),
        case("one-data-line", LINES[1] + "\n", [], [R[0]]),
        case("one-row", plain(LINES[:2]), H, R[:1]),
        case(
            "words-with-header",
            "Breed,Colour,Pen\nAngus,black,North\nHereford,red,Creek\nAngus,red,Creek\nAngus,black,North\n",
            ["Breed", "Colour", "Pen"],
            [
                ["Angus", "black", "North"],
                ["Hereford", "red", "Creek"],
                ["Angus", "red", "Creek"],
                ["Angus", "black", "North"],
            ],
        ),
        case(
            "words-without-header",
            "Angus,black,North\nHereford,red,Creek\nAngus,red,Creek\nAngus,black,North\nHereford,black,North\n",
            [],
            [
                ["Angus", "black", "North"],
                ["Hereford", "red", "Creek"],
                ["Angus", "red", "Creek"],
                ["Angus", "black", "North"],
                ["Hereford", "black", "North"],
            ],
        ),
        case(
            "spanish-header",
            "Caravana;Peso;Fecha\n858000000000001;312,5;01/03/2024\n858000000000002;298;01/03/2024\n",
            ["Caravana", "Peso", "Fecha"],
            [["858000000000001", "312,5", "01/03/2024"], ["858000000000002", "298", "01/03/2024"]],
        ),
        case(
            "numbers-only",
            "12,3.5,7\n14,3.9,8\n11,4.1,9\n",
            [],
            [["12", "3.5", "7"], ["14", "3.9", "8"], ["11", "4.1", "9"]],
        ),
    ]


def surrounded() -> list[Case]:
    """Preambles, footers, blank lines, second tables, ragged rows, broken quotes."""
    reordered = [
        "Weight,EID,Date,VID",
        "500,840270000000015,2024-03-03,K15",
        "510,840270000000016,2024-03-03,K16",
    ]
    late = [["840270000000015", "K15", "500", "2024-03-03"], ["840270000000016", "K16", "510", "2024-03-03"]]
    open_quote = [LINES[0], LINES[1], '840270000000012,"K12,398.5,2024-03-01', *LINES[3:]]
    return [
        case(
            "preamble-title",
            plain(["Spring working", "", *LINES]),
            H,
            R,
            row_lines=[4, 5, 6, 7],
            dialect={"preamble_lines": [1], "header_line": 3, "blank_lines": 1},
        ),
        case(
            "preamble-keys",
            plain(["Outfit: Bar Nine", "Printed on: 3 May 2024, 10:15", *LINES]),
            H,
            R,
            dialect={"preamble_lines": [1, 2], "header_line": 3},
        ),
        case(
            "preamble-padded",
            plain(["Spring working,,,", "Place,Creek,,", ",,,", *LINES]),
            H,
            R,
            dialect={"header_line": 4},
        ),
        case("footer-end", plain([*LINES, "End of report"]), H, R, dialect={"footer_lines": [6]}),
        case("footer-totals", plain([*LINES, "Total,,1265.5,"]), H, R, dialect={"footer_lines": [6]}),
        case(
            "footer-blank-note",
            plain([*LINES, "", "Weights were taken before feeding."]),
            H,
            R,
            dialect={"footer_lines": [7]},
        ),
        case(
            "footer-count",
            plain([*LINES, "-----", "4 records", "Page 1 of 1"]),
            H,
            R,
            dialect={"footer_lines": [6, 7, 8]},
        ),
        case(
            "page-break-inside",
            plain([*LINES[:3], "Page 1 of 2", LINES[0], *LINES[3:]]),
            H,
            R,
            row_lines=[2, 3, 6, 7],
        ),
        case(
            "blank-lines",
            plain([LINES[0], "", LINES[1], "", "", *LINES[2:], "", ""]),
            H,
            R,
            row_lines=[3, 6, 7, 8],
            dialect={"blank_lines": 5},
        ),
        case("empty-rows", plain([*LINES, ",,,", ",,,"]), H, R, dialect={"blank_lines": 2}),
        case(
            "second-table-reordered",
            plain([*LINES, "", *reordered]),
            H,
            [*R, *late],
            row_lines=[2, 3, 4, 5, 8, 9],
            warnings=["second_table"],
        ),
        case(
            "second-table-wider",
            plain([*LINES, "", "Pen,Head,Feed,Bunk,Ration", "P1,40,12.5,2,A", "P2,38,12.0,3,A"]),
            H,
            [*R, ["P1", "40", "12.5", "2", "A"], ["P2", "38", "12.0", "3", "A"]],
            warnings=["second_table"],
        ),
        case(
            "short-row",
            plain([*LINES[:2], "840270000000012,K12", *LINES[3:]]),
            H,
            changed(1, ["840270000000012", "K12", "", ""]),
            warnings=["short_row"],
        ),
        case(
            "short-last-row",
            plain([*LINES[:4], "840270000000014"]),
            H,
            changed(3, ["840270000000014", "", "", ""]),
            warnings=["short_row"],
        ),
        case(
            "long-row",
            plain([*LINES[:2], LINES[2] + ",late", *LINES[3:]]),
            H,
            changed(1, [*R[1], "late"]),
            warnings=["long_row"],
        ),
        case(
            "unclosed-quote",
            plain(open_quote),
            H,
            changed(1, ["840270000000012", '"K12', "398.5", "2024-03-01"]),
            row_lines=[2, 3, 4, 5],
            warnings=["unclosed_quote"],
        ),
        case(
            "unclosed-quote-last",
            plain([*LINES[:4], '"840270000000014,K14,455,2024-03-02']),
            H,
            changed(3, ['"840270000000014', *R[3][1:]]),
            warnings=["unclosed_quote"],
        ),
        case(
            "newline-in-cell",
            plain([*LINES[:2], '840270000000012,"K12\nre-tagged",398.5,2024-03-01', *LINES[3:]]),
            H,
            changed(1, ["840270000000012", "K12\nre-tagged", "398.5", "2024-03-01"]),
            row_lines=[2, 3, 5, 6],
            dialect={"continued_lines": 1},
        ),
        case(
            "delimiter-in-cell",
            plain([*LINES[:2], '840270000000012,"K12, red",398.5,2024-03-01', *LINES[3:]]),
            H,
            changed(1, ["840270000000012", "K12, red", *R[1][2:]]),
        ),
        case(
            "lost-closing-quote",
            plain([*LINES[:2], '840270000000012,"K12, red,398.5,2024-03-01', *LINES[3:]]),
            H,
            changed(1, ["840270000000012", "K12, red", *R[1][2:]]),
            warnings=["unclosed_quote"],
        ),
    ]


def listed() -> list[Case]:
    """Single columns and lists of numbers; files that are no table."""
    numbers = [f"8402700000000{place}" for place in range(31, 35)]
    rows = [[number] for number in numbers]
    return [
        case("list-one-a-line", plain(numbers, "\r\n"), [], rows, ext="txt", row_lines=[1, 2, 3, 4]),
        case("list-with-header", plain(["EID", *numbers]), ["EID"], rows, ext="txt"),
        case("list-commas", ",".join(numbers), [], rows, ext="txt", row_lines=[1, 1, 1, 1]),
        case("list-tabs", "\t".join(numbers) + "\n", [], rows, ext="txt"),
        case(
            "list-spaces-semicolons",
            f"{numbers[0]}; {numbers[1]} {numbers[2]}\r\n{numbers[3]}\r\n",
            [],
            rows,
            ext="txt",
            row_lines=[1, 1, 1, 2],
        ),
        case("list-glued", "".join(numbers), [], rows, ext="txt", warnings=["glued_numbers"]),
        case(
            "list-glued-line",
            plain([numbers[0], numbers[1] + numbers[2], numbers[3]]),
            [],
            rows,
            ext="txt",
            row_lines=[1, 2, 2, 3],
            warnings=["glued_numbers"],
        ),
        case("one-number", numbers[0], [], rows[:1], ext="txt"),
        case("column-of-tags", "VID\nK11\nK12\nK13\nK14\n", ["VID"], [["K11"], ["K12"], ["K13"], ["K14"]]),
        case(
            "column-of-words",
            "Breed\nAngus\nHereford\nRed Poll\nAngus\nAngus\n",
            ["Breed"],
            [["Angus"], ["Hereford"], ["Red Poll"], ["Angus"], ["Angus"]],
        ),
        case("two-columns", plain([",".join(row[:2]) for row in [H, *R]]), H[:2], [row[:2] for row in R]),
        refused("empty", "csv", b"", "empty"),
        refused("only-blank-lines", "csv", b"\r\n \r\n\r\n", "empty"),
        refused("only-a-mark", "csv", b"\xef\xbb\xbf", "empty"),
        refused("picture", "csv", b"\x89PNG\r\n\x1a\n" + bytes(range(64)), "binary"),
        refused("document", "pdf", b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n", "binary"),
        refused("program", "csv", b"MZ\x90\x00\x03\x00" + bytes(80), "binary"),
        refused("unknown-binary", "csv", bytes((place * 7 + 3) % 256 for place in range(600)), "binary"),
        refused("zip-without-workbook", "xlsx", b"PK\x05\x06" + bytes(18), "no_workbook"),
        refused("cut-off-zip", "xlsx", b"PK\x03\x04" + bytes(60), "damaged"),
        refused("old-document", "xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "no_workbook"),
    ]


def text_cases() -> list[Case]:
    """All text cases."""
    return [*delimited(), *headed(), *surrounded(), *listed()]
