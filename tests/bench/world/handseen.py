"""Hard files made by hand, for the half that the reader may be mended against; all contents are invented."""

from tests.bench.world.making import joined, made
from tests.bench.world.spelledseen import spelled
from tests.bench.world.truth import HardFile, Truth

HEAD = ["Tag", "Weight", "Date", "Pen"]
ROWS = [
    ["K11", "412", "2026-03-01", "North"],
    ["K12", "398.5", "2026-03-01", "North"],
    ["K13", "", "2026-03-02", "Creek"],
    ["K14", "455", "2026-03-02", "Creek"],
]


def by_hand() -> list[HardFile]:
    return [*_edges(), *_fixed(), *_tables(), *spelled()]


def _edges() -> list[HardFile]:
    words = ["calm", "wild", "lame", "calm"]
    return [
        HardFile("hand-empty.csv", b"", Truth(unreadable=True, kind="empty")),
        HardFile("hand-blank.csv", b"\n \n\n", Truth(unreadable=True, kind="empty")),
        made("one-line.csv", "K11,412,2026-03-01,North\n", [], ROWS[:1], kind="one line", delimiter=","),
        made("header-alone.csv", "Tag,Weight,Date,Pen\n", HEAD, [], kind="one line"),
        made(
            "one-column.csv",
            "Temper\n" + joined([[word] for word in words]),
            ["Temper"],
            [[word] for word in words],
            kind="one column",
        ),
        made(
            "one-column-commas.txt",
            "Remark\ncalm, then wild\nlame, left hind\nnothing, so far\nquiet\n",
            ["Remark"],
            [["calm, then wild"], ["lame, left hind"], ["nothing, so far"], ["quiet"]],
            kind="one column",
        ),
        made(
            "one-column-figures.csv",
            "Weight\n412\n398.5\n455\n",
            ["Weight"],
            [["412"], ["398.5"], ["455"]],
            kind="one column",
        ),
        made("no-last-end.csv", joined([HEAD, *ROWS]).rstrip("\n"), HEAD, ROWS, kind="line ends", delimiter=","),
        made(
            "ends-mixed.csv",
            "Tag,Weight,Date,Pen\r\n" + joined(ROWS[:2]) + joined(ROWS[2:]).replace("\n", "\r"),
            HEAD,
            ROWS,
            kind="line ends",
            delimiter=",",
        ),
    ]


def _fixed() -> list[HardFile]:
    wide = [
        ["Tag", "Name", "Weight", "Where"],
        ["K11", "Old Bess", "412", "North pen"],
        ["K12", "Red", "1398", "Creek"],
        ["K13", "Left Horn", "455", "Home pen 2"],
        ["K14", "Dun", "88", "Creek"],
    ]
    sizes = (6, 12, 9, 12)
    left = "".join("".join(cell.ljust(size) for cell, size in zip(row, sizes, strict=True)) + "\n" for row in wide)
    right = "".join(row[0].ljust(6) + row[1].ljust(12) + row[2].rjust(7) + "  " + row[3] + "\n" for row in wide)
    ruled = left.split("\n")
    ruled.insert(1, "----- ----------- -------- -----------")
    boxed = (
        "+-----+-----------+\n| Tag | Pen       |\n+-----+-----------+\n| K11 | North     |\n| K12 | Creek     |\n"
        "+-----+-----------+\n"
    )
    piped = "| Tag | Weight | Pen |\n|-----|--------|-----|\n| K11 | 412 | North |\n| K12 | 398 | Creek |\n"
    return [
        made("fixed-left.txt", left, wide[0], wide[1:], kind="fixed width"),
        made("fixed-right.txt", right, wide[0], wide[1:], kind="fixed width"),
        made("fixed-ruled.txt", "\n".join(ruled), wide[0], wide[1:], kind="fixed width"),
        made("boxed.txt", boxed, ["Tag", "Pen"], [["K11", "North"], ["K12", "Creek"]], kind="boxes"),
        made(
            "piped.txt",
            piped,
            ["Tag", "Weight", "Pen"],
            [["K11", "412", "North"], ["K12", "398", "Creek"]],
            kind="boxes",
        ),
        made(
            "tabs-and-spaces.txt",
            "Tag \tWeight \tPen\nK11 \t412 \tNorth\nK12 \t398 \tCreek\n",
            ["Tag", "Weight", "Pen"],
            [["K11", "412", "North"], ["K12", "398", "Creek"]],
            kind="padding",
            delimiter="\t",
        ),
    ]


def _tables() -> list[HardFile]:
    feed = [["Pen", "Head", "Feed"], ["North", "40", "12.5"], ["Creek", "38", "12.0"]]
    two = joined([HEAD, *ROWS]) + "\n\nFeed\n" + joined(feed)
    same = joined([HEAD, *ROWS[:2]]) + "\n" + joined([HEAD, *ROWS[2:]])
    sections = "Pen North\n" + joined([HEAD, *ROWS[:2]]) + "\nPen Creek\n" + joined([HEAD, *ROWS[2:]])
    wider = joined([["a", "b"], ["1", "2"], ["3", "4"]]) + "\n" + joined([HEAD, *ROWS])
    subtotals = (
        "Tag,Weight,Date,Pen\n"
        + joined(ROWS[:2])
        + "Total North,810.5,,\n"
        + joined(ROWS[2:])
        + "Total Creek,455,,\nGrand total,1265.5,,\n"
    )
    mixed = joined([HEAD, *ROWS[:3]]) + "K14;455;2026-03-02;Creek\n"
    lines = "Tag,Body\n" + 'K11,"{""kg"": 412, ""by"": ""ada""}"\nK12,"{""kg"": 398, ""by"": ""bo""}"\n'
    return [
        made(
            "two-tables.csv", two, HEAD, [*ROWS, *feed[1:]], also=[{"header": HEAD, "rows": ROWS}], kind="second table"
        ),
        made("table-again.csv", same, HEAD, ROWS, kind="second table", delimiter=","),
        made(
            "sections.csv",
            sections,
            HEAD,
            ROWS,
            kind="second table",
            also=[{"header": HEAD, "rows": [*ROWS[:2], ["Pen Creek"], *ROWS[2:]]}],
        ),
        made(
            "small-then-large.csv",
            wider,
            HEAD,
            ROWS,
            kind="second table",
            also=[{"header": ["a", "b"], "rows": [["1", "2"], ["3", "4"], *ROWS]}],
        ),
        made(
            "subtotals.csv",
            subtotals,
            HEAD,
            ROWS,
            kind="totals inside",
            also=[
                {"header": HEAD, "rows": [*ROWS[:2], ["Total North", "810.5"], *ROWS[2:]]},
                {"header": HEAD, "rows": [*ROWS[:2], ["Total North", "810.5"], *ROWS[2:], ["Total Creek", "455"]]},
            ],
        ),
        made(
            "one-line-other-delimiter.csv",
            mixed,
            HEAD,
            ROWS,
            kind="mixed delimiters",
            also=[{"header": HEAD, "rows": [*ROWS[:3], ["K14;455;2026-03-02;Creek"]]}],
        ),
        made(
            "json-in-cells.csv",
            lines,
            ["Tag", "Body"],
            [["K11", '{"kg": 412, "by": "ada"}'], ["K12", '{"kg": 398, "by": "bo"}']],
            kind="objects",
            delimiter=",",
        ),
    ]
