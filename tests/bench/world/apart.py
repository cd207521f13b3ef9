"""The half of the hard files that was set apart: the reader is measured on it and never mended against it.

Other tables, other words, another seed, and hand-made files of its own.
"""

from random import Random

from tests.bench.world.composing import Pool
from tests.bench.world.handapart import by_hand
from tests.bench.world.seen import one_fault_each, several_faults
from tests.bench.world.truth import HardFile, Rows

STREETS = ("Quarry Lane", "Depot Street", "Old Mill Road", "Harbour Walk")
FIRST = ("Tomas", "Ilse", "Renée", "Bo", "Måns", "Priya", "Oscar", "Wilma")
TOWNS = ("Elmhollow", "Saint-Clair", "Nørrebæk", "Dry Fork", "Piñon")
GOODS = ("hex bolt", "hinge", "fence staple", "wire clip", "gate latch", "pump seal")
THINGS = ("the pump rattles", "left side worn", "all in order", "seal replaced", "no access today", "waiting for parts")


def invoices(chance: Random) -> tuple[list[str], Rows]:
    header = ["Invoice no.", "Issued", "Customer", "Net amount", "Tax rate", "Gross amount", "Paid", "Reference"]
    rows = []
    for place in range(45):
        net = chance.randint(1_000, 999_999) / 100
        rows.append(
            [
                f"2026/{place + 117:04d}",
                f"{chance.randint(1, 28)} {chance.choice(('Jan', 'Feb', 'May'))} 2026",
                f"{chance.choice(FIRST)} {chance.choice(('Ltd', 'and Sons', 'GmbH'))}",
                f"{net:,.2f}",
                f"{chance.choice((7, 19))}%",
                f"{net * 1.19:,.2f}",
                chance.choice(("Y", "N")),
                f"RF{chance.randint(10, 99)} {chance.randint(1000, 9999)}",
            ]
        )
    return header, rows


def directory(chance: Random) -> tuple[list[str], Rows]:
    header = ["Surname", "Given name", "Street", "Town", "Postcode", "Phone", "Joined", "Role"]
    rows = [
        [
            chance.choice(("Holm", "Núñez", "Baker", "O'Dell", "Winter", "Äyräs")) + chance.choice(("", "son", "er")),
            chance.choice(FIRST),
            f"{chance.randint(1, 220)} {chance.choice(STREETS)}",
            chance.choice(TOWNS),
            f"{chance.randint(1000, 99999):05d}",
            f"+{chance.randint(1, 49)} {chance.randint(100, 999)} 555 {place:03d}",
            f"{chance.randint(1, 12)}/{chance.randint(2001, 2025)}",
            chance.choice(("member", "chair", "guest", "")),
        ]
        for place in range(45)
    ]
    return header, rows


def years(chance: Random) -> tuple[list[str], Rows]:
    """Names of columns that are years, as tables of statistics have them."""
    header = ["Region", "Measure", *(str(year) for year in range(2019, 2026))]
    rows = [
        [
            f"{chance.choice(('North', 'South', 'West'))} {place + 1}",
            chance.choice(("births", "stock", "rainfall mean")),
            *(str(chance.randint(90, 9000)) for _ in range(7)),
        ]
        for place in range(45)
    ]
    return header, rows


def stock(chance: Random) -> tuple[list[str], Rows]:
    header = ["sku", "description", "on_hand", "reorder_at", "unit_cost", "bin", "last_counted", "supplier_note"]
    rows = [
        [
            f"{chance.choice('XYZ')}{chance.randint(100, 999)}-{place}",
            f"{chance.choice(GOODS)} {chance.randint(2, 40)} mm",
            str(chance.randint(0, 4000)),
            str(chance.choice((10, 50, 100))),
            f"{chance.uniform(0.02, 90):.4f}",
            f"{chance.choice('ABCD')}{chance.randint(1, 9)}/{chance.randint(1, 20)}",
            f"2026-0{chance.randint(1, 9)}-{chance.randint(10, 28)}T0{chance.randint(6, 9)}:30:00Z",
            chance.choice(("", "", "out of print", "ask twice")),
        ]
        for place in range(45)
    ]
    return header, rows


def visits(chance: Random) -> tuple[list[str], Rows]:
    header = ["Site visited", "Seen by", "What was found", "Grade", "Next visit", "Photo taken", "Hours spent"]
    rows = [
        [
            f"{chance.choice(TOWNS)} {chance.choice(('east', 'west'))}",
            f"{chance.choice(FIRST)[0]}. {chance.choice('KLMN')}.",
            f"{chance.choice(THINGS)}",
            chance.choice(("A", "B", "C", "A-")),
            chance.choice(("spring", "autumn", "never")),
            chance.choice(("yes", "no")),
            f"{chance.randint(0, 5)},{chance.choice((0, 25, 5, 75))}",
        ]
        for _ in range(45)
    ]
    return header, rows


def answers(chance: Random) -> tuple[list[str], Rows]:
    header = ["Respondent", "How old are you?", "Do you own land?", "Which crop?", "Why?", "Rate 1-5", "Anything else"]
    rows = [
        [
            str(place + 1),
            chance.choice(("18-25", "26-40", "41-60", "over 60")),
            chance.choice(("Yes", "No", "Don't know")),
            chance.choice(("barley", "oats", "maize", "clover")),
            chance.choice(THINGS),
            str(chance.randint(1, 5)),
            chance.choice(("", "", "thanks", "too long")),
        ]
        for place in range(45)
    ]
    return header, rows


def signals(chance: Random) -> tuple[list[str], Rows]:
    header = ["t", "ch1", "ch2", "ch3", "flag", "battery", "lat", "lon"]
    rows = [
        [
            f"{place * 0.5:.1f}",
            f"{chance.gauss(0, 1):.5f}",
            f"{chance.gauss(0, 1):.3e}",
            str(chance.randint(-999, 999)),
            chance.choice(("0x1F", "0x00")),
            f"{chance.uniform(3, 4.2):.2f}V",
            f"{chance.uniform(40, 50):.6f}",
            f"-{chance.uniform(90, 110):.6f}",
        ]
        for place in range(45)
    ]
    return header, rows


POOL = Pool(
    tables=(invoices, directory, years, stock, visits, answers, signals),
    titles=(
        "Quarterly overview (draft)",
        "Members of the club, as of spring",
        "Station 7: raw readings",
        "Table 3. Stores by bin",
        "Confidential",
    ),
    keys=(
        ("Prepared for", "the board"),
        ("Period", "Q3 2026"),
        ("Currency", "EUR"),
        ("Version", "2.1"),
        ("Contact", "office@club.example"),
        ("Instrument", "SN 4471-B"),
    ),
    remarks=(
        "Figures in italics are estimates.",
        "The following was collected between June and August.",
        "do not edit below this point",
        "File written by the logger at power up, clock not set",
    ),
    totals=("Total all sites", "Totals", "Mean", "Overall", "Subtotal"),
    ends=(
        "Source: own survey",
        "(c) the club",
        "* figures revised",
        "Data may be incomplete before June.",
        "--- end of file ---",
        "12 records listed",
    ),
    groups=("Before", "After", "Left channel", "Right channel"),
    units=("m", "EUR", "mm", "V", "hours"),
    asides=("n/a", "extra", "see file", "x"),
)


def apart_files() -> list[HardFile]:
    """Every file of this half."""
    return [*by_hand(), *one_fault_each(90_210, POOL, 1, "one"), *several_faults(90_210, POOL, 100, "some")]
