"""Hard files made by hand for the half that is set apart; all contents are invented."""

from tests.bench.world.making import joined, made
from tests.bench.world.spelledapart import spelled
from tests.bench.world.truth import HardFile, Rows, Truth

HEAD = ["part", "maker", "price", "since"]
ROWS = [
    ["A-17", "Ironwell", "12.40", "Mar 2019"],
    ["A-18", "Ironwell", "9.00", "Jul 2020"],
    ["B-02", "Stoke & Co", "", "Jan 2021"],
    ["C-11", "Ironwell", "104.75", "Oct 2021"],
    ["C-12", "Brightside", "3.10", "Dec 2021"],
]


def by_hand() -> list[HardFile]:
    return [*_edges(), *_reports(), *_tables(), *spelled()]


def _edges() -> list[HardFile]:
    names = ["Tomas", "Ilse", "Bo", "Priya", "Wilma"]
    return [
        HardFile("hand-nothing.csv", b"\xef\xbb\xbf", Truth(unreadable=True, kind="empty")),
        HardFile("hand-delimiters-only.csv", b",,,\n,,,\n", Truth(unreadable=True, kind="empty")),
        made("two-words.csv", "name\nTomas\n", ["name"], [["Tomas"]], kind="one column"),
        made("names-only.txt", joined([[name] for name in names]), [], [[name] for name in names], kind="one column"),
        made(
            "sentences.txt",
            "Answer\nYes; mostly\nNo, never: not once\nPerhaps\nYes\n",
            ["Answer"],
            [["Yes; mostly"], ["No, never: not once"], ["Perhaps"], ["Yes"]],
            kind="one column",
        ),
        made(
            "numbers-no-header.csv",
            "1,2,3\n4,5,6\n7,8,9\n10,11,12\n",
            [],
            [["1", "2", "3"], ["4", "5", "6"], ["7", "8", "9"], ["10", "11", "12"]],
            kind="no header",
            delimiter=",",
        ),
        made(
            "words-no-header.csv",
            "Holm,Elmhollow,member\nBaker,Dry Fork,guest\nWinter,Dry Fork,member\n"
            "Holm,Piñon,member\nKoch,Elmhollow,guest\n",
            [],
            [
                ["Holm", "Elmhollow", "member"],
                ["Baker", "Dry Fork", "guest"],
                ["Winter", "Dry Fork", "member"],
                ["Holm", "Piñon", "member"],
                ["Koch", "Elmhollow", "guest"],
            ],
            kind="no header",
            delimiter=",",
        ),
        made(
            "one-row-semicolons.csv",
            "part;maker;price\nA-17;Ironwell;12,40\n",
            ["part", "maker", "price"],
            [["A-17", "Ironwell", "12,40"]],
            kind="one line",
            delimiter=";",
        ),
        made(
            "two-columns-dates.csv",
            "2026-01-04,17\n2026-01-05,19\n2026-01-06,11\n",
            [],
            [["2026-01-04", "17"], ["2026-01-05", "19"], ["2026-01-06", "11"]],
            kind="no header",
            delimiter=",",
        ),
        made(
            "lone-returns.csv", joined([HEAD, *ROWS]).replace("\n", "\r"), HEAD, ROWS, kind="line ends", delimiter=","
        ),
        made(
            "nul-padded.csv",
            joined([HEAD, *ROWS]).encode() + b"\x00" * 200,
            HEAD,
            ROWS,
            kind="zero bytes",
            delimiter=",",
        ),
        made(
            "end-of-file-sign.csv",
            joined([HEAD, *ROWS]).encode() + b"\x1a",
            HEAD,
            ROWS,
            kind="zero bytes",
            delimiter=",",
        ),
    ]


def _reports() -> list[HardFile]:
    sizes = (8, 14, 10, 10)
    fixed = "".join(
        "".join(cell.ljust(size) for cell, size in zip(row, sizes, strict=True)).rstrip() + "\n"
        for row in [HEAD, *ROWS]
    )
    head, line = ["Account", "Opening", "Closing"], "-" * 40
    figures = [["Cash", "1 200.00", "900.50"], ["Bank", "88 310.10", "91 002.00"], ["Loans", "0.00", "-4 000.00"]]
    right = "".join(row[0].ljust(10) + row[1].rjust(14) + row[2].rjust(14) + "\n" for row in [head, *figures])
    report = "Ledger of the club\nPage 1\n" + line + "\n" + right + line + "\n"
    log = "".join(f"2026-05-0{day} 06:3{day}:00 level={day} state=ok\n" for day in range(1, 6))
    ditto = "Depot: North\nManager: Ilse\n\n" + joined([HEAD, *ROWS]) + "\n5 parts\nChecked by Bo\n"
    return [
        made("fixed.txt", fixed, HEAD, ROWS, kind="fixed width"),
        made("ledger.txt", report, head, figures, kind="fixed width"),
        made(
            "log.txt",
            log,
            [],
            [[f"2026-05-0{day}", f"06:3{day}:00", f"level={day}", "state=ok"] for day in range(1, 6)],
            kind="spaces",
        ),
        made("wrapped-report.csv", ditto, HEAD, ROWS, kind="report", delimiter=","),
        made(
            "notes-beside.csv",
            "part,maker,price,,remember\nA-17,Ironwell,12.40,,ask for discount\n"
            "A-18,Ironwell,9.00,,\nB-02,Stoke & Co,7.00,,\nC-11,Ironwell,104.75,,\n",
            ["part", "maker", "price", "", "remember"],
            [
                ["A-17", "Ironwell", "12.40", "", "ask for discount"],
                ["A-18", "Ironwell", "9.00"],
                ["B-02", "Stoke & Co", "7.00"],
                ["C-11", "Ironwell", "104.75"],
            ],
            kind="report",
            delimiter=",",
        ),
        made(
            "comment-lines-inside.csv",
            joined([HEAD, *ROWS[:2]]) + "# prices below are old\n" + joined(ROWS[2:]),
            HEAD,
            ROWS,
            kind="report",
            delimiter=",",
            also=[{"header": HEAD, "rows": [*ROWS[:2], ["# prices below are old"], *ROWS[2:]]}],
        ),
    ]


def _tables() -> list[HardFile]:
    people: Rows = [["name", "town"], ["Tomas", "Elmhollow"], ["Ilse", "Dry Fork"]]
    stacked = "Parts\n" + joined([HEAD, *ROWS]) + "\nPeople\n" + joined(people)
    reordered = ["maker", "part", "since", "price"]
    other = joined([reordered, *[[row[1], row[0], row[3], row[2]] for row in ROWS[3:]]])
    crossing = "Region,2019,,2020,\n,men,women,men,women\nNorth,10,12,11,13\nSouth,9,8,7,9\nWest,4,6,5,6\n"
    three = "Region,Men,Women\n,2020,2020\n,count,count\nNorth,10,12\nSouth,9,8\nWest,4,6\nEast,14,16\n"
    objects = '{"part": "A-17", "price": 12.4}\n{"part": "A-18", "price": 9.0}\n'
    return [
        made(
            "stacked.csv",
            stacked,
            HEAD,
            [*ROWS, *people[1:]],
            also=[{"header": HEAD, "rows": ROWS}],
            kind="second table",
        ),
        made("reordered.csv", joined([HEAD, *ROWS[:3]]) + "\n" + other, HEAD, ROWS, kind="second table", delimiter=","),
        made(
            "crossing-header.csv",
            crossing,
            ["Region", "2019 men", "women", "2020 men", "women"],
            [["North", "10", "12", "11", "13"], ["South", "9", "8", "7", "9"], ["West", "4", "6", "5", "6"]],
            also=[
                {
                    "header": ["Region", "2019 men", "2019 women", "2020 men", "2020 women"],
                    "rows": [
                        ["North", "10", "12", "11", "13"],
                        ["South", "9", "8", "7", "9"],
                        ["West", "4", "6", "5", "6"],
                    ],
                }
            ],
            kind="two header rows",
            delimiter=",",
        ),
        made(
            "three-header-rows.csv",
            three,
            ["Region", "Men 2020 count", "Women 2020 count"],
            [["North", "10", "12"], ["South", "9", "8"], ["West", "4", "6"], ["East", "14", "16"]],
            kind="two header rows",
            delimiter=",",
        ),
        made(
            "objects-and-text.txt",
            "id|payload\n1|" + objects.split("\n")[0] + "\n2|" + objects.split("\n")[1] + "\n",
            ["id", "payload"],
            [["1", objects.split("\n")[0]], ["2", objects.split("\n")[1]]],
            kind="objects",
            delimiter="|",
        ),
        made(
            "header-other-delimiter.csv",
            ";".join(HEAD) + "\n" + joined(ROWS),
            HEAD,
            ROWS,
            kind="mixed delimiters",
            also=[{"header": [";".join(HEAD)], "rows": ROWS}],
        ),
    ]
