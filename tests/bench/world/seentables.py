"""Tables of further character for the half that the reader may be mended against; all contents are invented."""

from random import Random

from tests.bench.world.truth import Rows

COUNT = 45
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug")


def months(chance: Random) -> tuple[list[str], Rows]:
    """Short names of columns over plain figures."""
    header = ["Pasture", *MONTHS]
    rows = [
        [f"{chance.choice(('Upper', 'Lower', 'Mill'))} {place}", *(str(chance.randint(0, 140)) for _ in MONTHS)]
        for place in range(COUNT)
    ]
    return header, rows


def numbered(chance: Random) -> tuple[list[str], Rows]:
    """Names of columns that are numbers themselves, as days of a month."""
    header = ["Trough", "Filled by", *(str(day) for day in range(1, 8))]
    rows = [
        [f"T{place}", chance.choice(("Ada", "Bo", "Cy")), *(f"{chance.uniform(100, 900):.1f}" for _ in range(7))]
        for place in range(COUNT)
    ]
    return header, rows


def questions(chance: Random) -> tuple[list[str], Rows]:
    """Names of columns that are questions, over words."""
    header = [
        "Who asked?",
        "Is the fence whole?",
        "Where is water?",
        "What grows there",
        "Cause of loss",
        "Remedy (short)",
    ]
    rows = [
        [
            chance.choice(("Ada", "Bo", "Cy", "Dee")),
            chance.choice(("yes", "no", "partly")),
            chance.choice(("creek", "well", "trough, piped", "none")),
            chance.choice(("brome", "sage", "alfalfa")),
            chance.choice(("", "hail", "drought", "wolves seen")),
            chance.choice(("mend", "wait", "sell", "ask vet")),
        ]
        for _ in range(COUNT)
    ]
    return header, rows


def bills(chance: Random) -> tuple[list[str], Rows]:
    """Money with thousands apart and units beside."""
    header = ["Bill", "For", "Amount due", "VAT", "Payable by", "Account"]
    rows = [
        [
            f"{place + 40}/26",
            chance.choice(("hay, 40 bales", "salt", "vet call", "diesel")),
            f"{chance.randint(1000, 99999):,}.{chance.randint(10, 99)}",
            f"{chance.choice((0, 5, 20))} %",
            f"{chance.randint(1, 28)}. {chance.choice(MONTHS)} 2026",
            f"{chance.randint(10, 99)}-{chance.randint(100, 999)}-X",
        ]
        for place in range(COUNT)
    ]
    return header, rows


def neighbours(chance: Random) -> tuple[list[str], Rows]:
    """Names, roads and telephones with letters of several languages."""
    header = ["Last", "First", "Road", "Place", "Telephone", "Since", "Brand side"]
    rows = [
        [
            chance.choice(("Ortiz", "Muñoz", "Lund", "Åberg", "Groß", "McRae")),
            chance.choice(("Ana", "José", "Per", "Zoë")),
            f"{chance.randint(1, 90)} {chance.choice(('Bench Road', 'Gulch Lane'))}",
            chance.choice(("Dry Gulch", "Señal")),
            f"({chance.randint(200, 900)}) 555-{place:04d}",
            str(chance.randint(1960, 2024)),
            chance.choice(("left", "right")),
        ]
        for place in range(COUNT)
    ]
    return header, rows


def logger(chance: Random) -> tuple[list[str], Rows]:
    """What an instrument writes: terse names, exponents, signs."""
    header = ["n", "tick", "v_in", "temp", "rssi", "state", "crc"]
    rows = [
        [
            str(place),
            f"{place * 1500}",
            f"{chance.uniform(11, 14):.3f}",
            f"{chance.gauss(5, 9):+.1f}",
            f"-{chance.randint(40, 99)}",
            chance.choice(("RUN", "IDLE", "ERR 4")),
            f"{chance.getrandbits(16):04X}",
        ]
        for place in range(COUNT)
    ]
    return header, rows


def catalogue(chance: Random) -> tuple[list[str], Rows]:
    """Words and codes without any plain figure."""
    header = ["Lot no", "Sire name", "Dam", "Horned or polled", "Consigned by", "Remarks on sale"]
    rows = [
        [
            f"{place + 1}{chance.choice('ABC')}",
            f"{chance.choice(('Duke', 'Prince', 'Captain'))} {chance.choice(('of Mill', 'II', 'Boy'))}",
            f"{chance.choice(('Lady', 'Rose', 'Bess'))} {chance.randint(3, 90)}",
            chance.choice(("horned", "polled")),
            chance.choice(("Ortiz & Sons", "Lund", "McRae Estate")),
            chance.choice(("", "sells open", "guaranteed; see vet", "as is")),
        ]
        for place in range(COUNT)
    ]
    return header, rows


def coded(chance: Random) -> tuple[list[str], Rows]:
    """Names of columns that are codes, over answers that are small numbers and letters."""
    header = ["form", "Q1", "Q2a", "Q2b", "Q3", "Q4", "Q5_other"]
    rows = [
        [
            f"F-{place + 300}",
            str(chance.randint(1, 5)),
            chance.choice("ABC"),
            chance.choice(("A", "B", "")),
            chance.choice(("y", "n", "dk")),
            str(chance.randint(0, 1)),
            chance.choice(("", "", "too dry", "ask my son")),
        ]
        for place in range(COUNT)
    ]
    return header, rows


def probes(chance: Random) -> tuple[list[str], Rows]:
    """Instruments whose columns are letters with a number, over exponents, signs and instants."""
    header = ["utc", "p1", "p2", "p3", "bat", "gps_n", "gps_w"]
    rows = [
        [
            f"2026-06-{1 + place % 28:02d}T{place % 24:02d}:15:00Z",
            f"{chance.gauss(0, 3):.4f}",
            f"{chance.gauss(0, 1e-3):.2e}",
            f"{chance.randint(-40, 40):+d}",
            f"{chance.uniform(3, 4):.2f} V",
            f"{chance.uniform(41, 46):.6f}",
            f"-{chance.uniform(104, 110):.6f}",
        ]
        for place in range(COUNT)
    ]
    return header, rows


def contacts(chance: Random) -> tuple[list[str], Rows]:
    """Persons with numbers to call, codes of places and dates that are but months."""
    header = ["who", "calls at", "zip", "since", "owes", "e-mail"]
    rows = [
        [
            f"{chance.choice(('Ana', 'Per', 'Zoë', 'Bo'))} {chance.choice(('Ortiz', 'Lund', 'O’Hara', 'Groß'))}",
            f"+{chance.randint(1, 60)} {chance.randint(100, 999)} 555 {place:03d}",
            f"{chance.randint(100, 99999):05d}",
            f"{chance.randint(1, 12):02d}/{chance.randint(2001, 2025)}",
            f"{chance.randint(0, 3000):,}.00",
            f"p{place}@ranch.example",
        ]
        for place in range(COUNT)
    ]
    return header, rows


def yearly(chance: Random) -> tuple[list[str], Rows]:
    """Names of columns that are years, over counts."""
    header = ["County", "Kind of stock", *(str(year) for year in range(2015, 2021))]
    rows = [
        [f"{chance.choice(('Elk', 'Pine', 'Sand'))} {place}", chance.choice(("cows", "ewes", "mares and foals"))]
        + [str(chance.randint(40, 9900)) for _ in range(6)]
        for place in range(COUNT)
    ]
    return header, rows


FURTHER = (yearly, months, numbered, questions, bills, neighbours, logger, catalogue, coded, probes, contacts)
