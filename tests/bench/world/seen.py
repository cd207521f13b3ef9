"""The half of the hard files that the reader may be mended against."""

from random import Random

from tests.bench.world import faults
from tests.bench.world.composing import Fault, Pool, drafted, put_wrong, spelt
from tests.bench.world.handseen import by_hand
from tests.bench.world.seentables import FURTHER
from tests.bench.world.truth import HardFile, Rows
from tests.intake.reading.tables import MAKERS


def _maker(maker):
    def made(chance: Random) -> tuple[list[str], Rows]:
        table = maker(chance, 45)
        return table.header, table.rows

    return made


POOL = Pool(
    tables=(*(_maker(maker) for maker in MAKERS), *FURTHER),
    titles=(
        "Autumn work at the home place",
        "Weigh day, north pens",
        "LIST OF ANIMALS 2026",
        "Export of session 14",
        "Summer 2026, second cut",
        "Ranch accounts (unaudited)",
        "Form 12-B",
        "pens 1 to 9; creek side",
        "Hay inventory -- all barns",
    ),
    keys=(
        ("Outfit", "Kettle Bench"),
        ("Operator", "Ada"),
        ("Date", "2026-10-14"),
        ("Units", "lb"),
        ("Head", "212"),
        ("Made for", "the bank, Miles"),
        ("Season", "2025/26"),
        ("Scale no", "A-77"),
        ("Phone", "555 0100"),
    ),
    remarks=(
        "made by hand from the yard book",
        "Weights were taken before feeding, and rounded.",
        "Columns marked x were not checked",
        "Printed 14 Oct 2026, 10:15",
        "All weights are shrunk by 4 percent, see the book",
        "Do not change the order of rows!",
        "Scale A was off by two pounds until noon; corrected",
        "This sheet replaces the one of 3 October",
        "Where a cell is empty, nobody looked",
    ),
    totals=(
        "Total",
        "TOTAL",
        "Sum",
        "Average",
        "Grand total",
        "All pens",
        "Subtotal, north",
        "Overall mean",
        "Herd average",
        "Sum of the above",
    ),
    ends=(
        "End of report",
        "Note: two head were not weighed",
        "* by eye",
        "Page 1 of 1",
        "Signed: the foreman",
        "Remember to call the vet",
        "Prepared by the office, 555 0100",
        "-- 45 rows --",
        "Figures before March are from memory.",
        "[end]",
        "(x) not weighed, (y) sold since",
        "Source: yard book",
    ),
    groups=("Morning", "Afternoon", "First scale", "Second scale", "Spring", "Fall work"),
    units=("kg", "lb", "cm", "(days)", "%", "head", "USD", "h"),
    asides=("value", "text", "given", "again", "n/a", "ask", "see book"),
)

ABOVE = (
    "title",
    "title_and_blank",
    "padded_title",
    "keys_and_values",
    "remarks_above",
    "prose_above",
    "blank_above",
    "names_its_delimiter",
)
HEADS = (
    "no_header",
    "two_header_rows",
    "grouped_header",
    "units_row",
    "same_names",
    "unnamed_first",
    "header_repeated",
)
INSIDE = (
    "blank_rows",
    "short_rows",
    "long_row",
    "trailing_delimiters",
    "stray_quote",
    "opening_quote_only",
    "lost_closing_quote",
    "unescaped_quotes",
    "escaped_by_backslash",
    "delimiter_inside",
    "line_end_inside",
    "very_long_cell",
    "spaces_around",
    "zero_bytes",
)
BELOW = ("totals_below", "end_below", "end_at_once", "padded_end", "blank_below", "second_table")
# Faults that write lines anew come before those that add lines between them.
ORDER = (
    "no_header",
    "two_header_rows",
    "grouped_header",
    "same_names",
    "unnamed_first",
    *INSIDE[1:3],
    *INSIDE[4:12],
    "header_repeated",
    "units_row",
    "spaces_around",
    "trailing_delimiters",
    "zero_bytes",
    "blank_rows",
    *BELOW,
    *ABOVE,
)


def one_fault_each(seed: int, pool: Pool, times: int, name: str) -> list[HardFile]:
    """Files with one thing wrong, each fault so many times."""
    files = []
    for fault in dict.fromkeys(ORDER):
        for time in range(times):
            for attempt in range(20):
                draft = drafted(Random(f"{seed} {fault} {time} {attempt}"), pool)
                spelt(draft)
                put_wrong(draft, [(fault, getattr(faults, fault))])
                if draft.faults:
                    files.append(draft.finished(f"{name}-{fault}-{time}.csv"))
                    break
    return files


def several_faults(seed: int, pool: Pool, count: int, name: str) -> list[HardFile]:
    """Files with some things wrong at once, as they come in a season."""
    files = []
    for number in range(count):
        chance = Random(f"{seed} {number}")
        draft = drafted(chance, pool)
        spelt(draft)
        chosen = {
            chance.choice(group)
            for group, share in ((ABOVE, 0.6), (HEADS, 0.35), (INSIDE, 0.7), (BELOW, 0.5))
            if chance.random() < share
        }
        put_wrong(draft, [(fault, _fault(fault)) for fault in dict.fromkeys(ORDER) if fault in chosen])
        files.append(draft.finished(f"{name}-{number}.csv"))
    return files


def _fault(name: str) -> Fault:
    fault: Fault = getattr(faults, name)
    return fault


def seen_files() -> list[HardFile]:
    """Every file of this half."""
    return [*by_hand(), *one_fault_each(7, POOL, 2, "one"), *several_faults(7, POOL, 90, "some")]
