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


ODD_HEAD = "EID,Notes,Weight\n"
ODD_TAIL = "840270000000023,calm,320\n"


def noted(first: str, second: str) -> str:
    """Three rows with notes written in some way of quoting."""
    return f"{ODD_HEAD}840270000000021,{first},300\n840270000000022,{second},310\n{ODD_TAIL}"


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
        case(
            "aligned-two-spaces",
            "EID              VID  W\n" + plain([f"{row[0]}  {row[1]}  {300 + place}" for place, row in enumerate(R)]),
            ["EID", "VID", "W"],
            [[row[0], row[1], str(300 + place)] for place, row in enumerate(R)],
            ext="txt",
        ),
        case("aligned-with-spaces", plain(aligned), H, R, ext="txt"),
        case(
            "single-spaces",
            plain([" ".join([*row[:2], row[3]]) for row in [H, *R]]),
            [*H[:2], "Date"],
            [[*row[:2], row[3]] for row in R],
        ),
        case("decimal-comma-semicolon", umlauts, kopf, german, dialect={"delimiter": ";", "encoding": "utf-8"}),
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
        case("utf-16-be-no-mark", umlauts.encode("utf-16-be"), kopf, german, dialect={"encoding": "utf-16-be"}),
        case(
            "quote-doubled",
            noted('"the ""old"" cow"', '"left, then back"'),
            head,
            odd,
        ),
        case(
            "quote-backslash",
            noted('"the \\"old\\" cow"', '"left, then back"'),
            head,
            odd,
            dialect={"escape": "\\"},
        ),
        case(
            "quote-unescaped",
            noted('"the "old" cow"', '"left, then back"'),
            head,
            odd,
            warnings=["stray_quote"],
        ),
        case(
            "quote-apostrophe",
            noted("'the \"old\" cow'", "'left, then back'"),
            head,
            odd,
            dialect={"quote": "'"},
        ),
        case(
            "quote-curly",
            noted('“the "old" cow”', "“left, then back”"),
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
            "EID,Breed,Sex\n840270000000021,Pié rouge,F\n840270000000022,Gasconne grisée,M\n"
            "840270000000023,Tarentaise dorée à cornes,F\n".encode()
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
