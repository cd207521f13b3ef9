"""Hard files made by hand whose cells are hard to spell out, for the half that is set apart."""

from tests.bench.world.making import joined, made
from tests.bench.world.truth import HardFile


def spelled() -> list[HardFile]:
    """Quotes, letters."""
    return [*_quotes(), *_letters()]


def _quotes() -> list[HardFile]:
    head = ["who", "said", "when"]
    rows = [
        ["Ilse", 'He said "no", twice', "May"],
        ["Bo", "fine", "May"],
        ["Tomas", "well, then", "June"],
        ["Wilma", "", "June"],
    ]
    return [
        made(
            "quotes-raw-delimiter.csv",
            'who,said,when\n"Ilse","He said "no", twice","May"\n"Bo","fine","May"\n'
            '"Tomas","well, then","June"\n"Wilma","","June"\n',
            head,
            rows,
            kind="quotes",
            delimiter=",",
        ),
        made(
            "quotes-backslash.csv",
            'who,said,when\n"Ilse","He said \\"no\\", twice","May"\n"Bo","fine","May"\n'
            '"Tomas","well, then","June"\n"Wilma","","June"\n',
            head,
            rows,
            kind="quotes",
            delimiter=",",
        ),
        made(
            "quotes-single.csv",
            "who;said;when\n'Ilse';'He said \"no\", twice';'May'\n'Bo';'fine';'May'\n"
            "'Tomas';'well, then';'June'\n'Wilma';'';'June'\n",
            head,
            rows,
            kind="quotes",
            delimiter=";",
        ),
        made(
            "quotes-several-lines.csv",
            'who,said,when\nIlse,"one\n\nthree",May\nBo,fine,May\nTomas,"a\nb",June\n',
            head,
            [["Ilse", "one\n\nthree", "May"], ["Bo", "fine", "May"], ["Tomas", "a\nb", "June"]],
            kind="quotes",
            delimiter=",",
        ),
        made(
            "apostrophes.csv",
            "who,said,when\nO'Dell,it's fine,May\nBo,don't,May\nD'Arcy,'twas so,June\n",
            head,
            [["O'Dell", "it's fine", "May"], ["Bo", "don't", "May"], ["D'Arcy", "'twas so", "June"]],
            kind="quotes",
            delimiter=",",
        ),
        made(
            "quote-never-closed.csv",
            'who,said,when\nIlse,no,May\nBo,"fine,May\nTomas,well,June\nWilma,yes,June\n',
            head,
            [["Ilse", "no", "May"], ["Bo", '"fine', "May"], ["Tomas", "well", "June"], ["Wilma", "yes", "June"]],
            also=[
                {
                    "header": head,
                    "rows": [
                        ["Ilse", "no", "May"],
                        ["Bo", "fine", "May"],
                        ["Tomas", "well", "June"],
                        ["Wilma", "yes", "June"],
                    ],
                }
            ],
            kind="quotes",
            delimiter=",",
        ),
    ]


def _letters() -> list[HardFile]:
    head = ["Ville", "Préfet", "Élus"]
    rows = [
        ["Saint-Clair", "Renée Aubé", "12"],
        ["Fougères", "Luc Noël", "9"],
        ["Orléans", "Zoé Hébert", "31"],
        ["Nîmes", "Éric Çelik", "22"],
    ]
    text = joined([head, *rows], "\t")
    codes = {
        "latin-1": "iso-8859-1",
        "mac": "mac_roman",
        "cp850": "cp850",
        "utf-16-le": "utf-16-le",
        "utf-32": "utf-32",
    }
    polish = [["Gmina", "Wójt", "Liczba"], ["Łódź", "Śliwa", "12"], ["Żółkiew", "Dąbek", "7"], ["Gdynia", "Kość", "19"]]
    greek = [
        ["Πόλη", "Όνομα", "Έτος"],
        ["Πάτρα", "Νίκος", "2019"],
        ["Βόλος", "Άννα", "2020"],
        ["Χίος", "Μάρκος", "2021"],
    ]
    mixed = joined([["a", "b"], ["ünï", "1"], ["öde", "2"]]).encode() + "früh,3\n".encode("cp1252")
    return [
        *(
            made(f"french-{name}.tsv", text.encode(code), head, rows, kind="letters", delimiter="\t", encoding=code)
            for name, code in codes.items()
        ),
        made(
            "polish.csv",
            joined(polish, ";").encode("cp1250"),
            polish[0],
            polish[1:],
            kind="letters",
            delimiter=";",
            encoding="cp1250",
        ),
        made(
            "greek.csv",
            joined(greek).encode("cp1253"),
            greek[0],
            greek[1:],
            kind="letters",
            delimiter=",",
            encoding="cp1253",
        ),
        made(
            "two-encodings.csv",
            mixed,
            ["a", "b"],
            [["ünï", "1"], ["öde", "2"], ["früh", "3"]],
            kind="letters",
            delimiter=",",
            encoding="utf-8",
        ),
    ]
