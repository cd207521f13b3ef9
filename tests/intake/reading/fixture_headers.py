"""Hand-written files with headers of all kinds or none, single columns, lists, and no tables at all."""

from tests.intake.reading.fixture_texts import LINES, Case, H, R, case, plain, refused, with_line


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
