"""Hand-written files with preambles, footers, second tables, ragged rows and broken quotes."""

from tests.intake.reading.fixture_texts import LINES, Case, H, R, case, changed, plain


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
