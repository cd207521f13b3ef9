"""Hard files made by hand whose cells are hard to spell out, for the half that is mended against."""

from tests.bench.world.making import joined, made
from tests.bench.world.truth import HardFile


def spelled() -> list[HardFile]:
    """Quotes, figures, letters."""
    return [*_quotes(), *_numbers(), *_letters()]


def _quotes() -> list[HardFile]:
    head = ["Tag", "Note", "Pen"]
    rows = [
        ["K11", 'a "bad" leg', "North"],
        ["K12", "calm, now", "North"],
        ["K13", "it's 6'2", "Creek"],
        ["K14", "", "Creek"],
    ]
    whole = "".join(
        '"' + ",".join(cell.replace('"', '""') for cell in row) + '"\n'
        for row in [head, *[[row[0], "calm", row[2]] for row in rows]]
    )
    inch = 'Tag;Pipe;Pen\nK11;3" old;North\nK12;"2"" new";North\nK13;5";Creek\nK14;none;Creek\n'
    return [
        made(
            "quote-doubled.csv",
            'Tag,Note,Pen\nK11,"a ""bad"" leg",North\nK12,"calm, now",North\nK13,it\'s 6\'2,Creek\nK14,,Creek\n',
            head,
            rows,
            kind="quotes",
            delimiter=",",
        ),
        made(
            "quote-raw.csv",
            'Tag,Note,Pen\nK11,a "bad" leg,North\nK12,"calm, now",North\nK13,it\'s 6\'2,Creek\nK14,,Creek\n',
            head,
            rows,
            kind="quotes",
            delimiter=",",
        ),
        made(
            "inches.csv",
            inch,
            ["Tag", "Pipe", "Pen"],
            [["K11", '3" old', "North"], ["K12", '2" new', "North"], ["K13", '5"', "Creek"], ["K14", "none", "Creek"]],
            kind="quotes",
            delimiter=";",
        ),
        made(
            "whole-lines-quoted.csv",
            whole,
            head,
            [[row[0], "calm", row[2]] for row in rows],
            kind="quotes",
            delimiter=",",
        ),
        made(
            "one-quote-open.csv",
            'Tag,Note,Pen\nK11,"bad leg,North\nK12,calm,North\nK13,lame,Creek\nK14,,Creek\n',
            head,
            [["K11", '"bad leg', "North"], ["K12", "calm", "North"], ["K13", "lame", "Creek"], ["K14", "", "Creek"]],
            also=[
                {
                    "header": head,
                    "rows": [
                        ["K11", "bad leg", "North"],
                        ["K12", "calm", "North"],
                        ["K13", "lame", "Creek"],
                        ["K14", "", "Creek"],
                    ],
                }
            ],
            kind="quotes",
        ),
        made(
            "spaces-before-quotes.csv",
            'Tag, Note, Pen\nK11, "calm, now", "North"\nK12, "wild", "Creek"\n',
            head,
            [["K11", "calm, now", "North"], ["K12", "wild", "Creek"]],
            kind="quotes",
            delimiter=",",
        ),
    ]


def _numbers() -> list[HardFile]:
    head = ["Tier", "Gewicht", "Zunahme"]
    rows = [["276 001", "1.412,5", "0,92"], ["276 002", "398,0", "1,1"], ["276 003", "1.455,25", "0,75"]]
    quoted = "Tag,Weight,Gain\n" + "".join(f'K{place},"4{place}2,5","0,{place}"\n' for place in range(1, 6))
    thousands = 'Pen,Head,Value\nNorth,"1,412","$12,300.50"\nCreek,"2,398","$9,100.00"\nHome,88,"$700.00"\n'
    bare = "Tag;Wt;Adg\n" + "".join(f"{place};4{place}2,5;0,{place}\n" for place in range(1, 7))
    return [
        made("decimal-comma.csv", joined([head, *rows], ";"), head, rows, kind="figures", delimiter=";"),
        made(
            "decimal-comma-quoted.csv",
            quoted,
            ["Tag", "Weight", "Gain"],
            [[f"K{place}", f"4{place}2,5", f"0,{place}"] for place in range(1, 6)],
            kind="figures",
            delimiter=",",
        ),
        made("decimal-comma-tabs.txt", joined([head, *rows], "\t"), head, rows, kind="figures", delimiter="\t"),
        made(
            "decimal-comma-bare.csv",
            bare,
            ["Tag", "Wt", "Adg"],
            [[str(place), f"4{place}2,5", f"0,{place}"] for place in range(1, 7)],
            kind="figures",
            delimiter=";",
        ),
        made(
            "thousands.csv",
            thousands,
            ["Pen", "Head", "Value"],
            [["North", "1,412", "$12,300.50"], ["Creek", "2,398", "$9,100.00"], ["Home", "88", "$700.00"]],
            kind="figures",
            delimiter=",",
        ),
    ]


def _letters() -> list[HardFile]:
    head = ["Número", "Raza", "Observación"]
    rows = [
        ["1", "criolla", "señal caída"],
        ["2", "cebú", "sin año"],
        ["3", "mestiza", "ñata, mansa"],
        ["4", "cebú", "corazón"],
    ]
    text = joined([head, *rows], ";")
    codes = {
        "latin-1": "iso-8859-1",
        "cp1252": "cp1252",
        "mac": "mac_roman",
        "cp850": "cp850",
        "utf-16": "utf-16",
        "utf-16-be": "utf-16-be",
    }
    files = [
        made(f"letters-{name}.csv", text.encode(code), head, rows, kind="letters", delimiter=";", encoding=code)
        for name, code in codes.items()
    ]
    twice = text.encode().decode("cp1252").encode()
    cyrillic = [["Номер", "Порода", "Вес"], ["1", "герефорд", "412"], ["2", "ангус", "398"], ["3", "серая", "455"]]
    return [
        *files,
        made(
            "letters-twice-encoded.csv",
            twice,
            [cell.encode().decode("cp1252") for cell in head],
            [[cell.encode().decode("cp1252") for cell in row] for row in rows],
            kind="letters",
            delimiter=";",
            also=[{"header": head, "rows": rows}],
        ),
        made(
            "letters-cyrillic.csv",
            joined(cyrillic, ";").encode("cp1251"),
            cyrillic[0],
            cyrillic[1:],
            kind="letters",
            delimiter=";",
            encoding="cp1251",
        ),
    ]
