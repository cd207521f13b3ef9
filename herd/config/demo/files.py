"""The five files of the working day, each with the faults that such files have."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from io import BytesIO
from typing import Any

from openpyxl import Workbook

from herd.config.demo.workday import Passing, Workday
from herd.values.mass import KG_PER_LB


@dataclass(frozen=True, slots=True)
class DemoFile:
    """A file's name and its bytes."""

    name: str
    content: bytes


def make_files(workday: Workday) -> list[DemoFile]:
    """Return the day's files in the order in which they came off the devices."""
    return [
        DemoFile(f"stored tags {workday.day}.csv", stored_tags(workday)),
        DemoFile("typed calves.txt", typed_calves(workday)),
        DemoFile("phone list.csv", phone_list(workday)),
        DemoFile(f"scale {workday.day}.xlsx", scale_sheet(workday)),
        DemoFile("vet.csv", vet_sheet(workday)),
    ]


def _text(rows: Sequence[Sequence[str]], delimiter: str, newline: str = "\r\n") -> bytes:
    return "".join(delimiter.join(row) + newline for row in rows).encode()


def stored_tags(workday: Workday) -> bytes:
    """The reader's memory: running number, EID, date, time; double scans, and a cow sold last year."""
    rows = [["No", "EID", "Date", "Time"]]
    reads = [(one.eid, one.at) for one in workday.cows]
    reads.insert(40, (workday.sold.eid, workday.cows[40].at))
    for place in (7, 19, 33, 52, 70):
        reads.insert(place + 1, reads[place])
    for number, (eid, at) in enumerate(reads, start=1):
        rows.append([str(number), eid, f"{at:%Y-%m-%d}", f"{at:%H:%M:%S}"])
    return _text(rows, ",")


def typed_calves(workday: Workday) -> bytes:
    """What a reader typed as a keyboard: numbers one to a line, some glued together, some side by side."""
    eids = [one.eid for one in workday.calves[:58]]
    lines: list[str] = []
    while eids:
        place = len(lines)
        take = 2 if place in (9, 10) else 3 if place == 20 else 1
        lines.append(("" if place == 9 else " ").join(eids[:take]))
        del eids[:take]
    return ("\n".join(lines) + "\n").encode()


def phone_list(workday: Workday) -> bytes:
    """The list kept on a phone: semicolons, one decimal comma, misread and swapped numbers, a tube used twice."""
    header = ["VID", "Tag color", "EID", "Sample tube", "Weight lb", "Sold", "Note"]
    rows = [_phone_row(one) for one in workday.calves[4:]]
    rows[3][4] = rows[3][4] + ",5"
    rows[11][0], rows[11][2] = _misread(rows[11][0], workday), ""
    rows[17][2] = _slip(rows[17][2])
    rows[17][0] = rows[17][1] = ""
    rows[24][2], rows[25][2] = rows[25][2], rows[24][2]
    rows[36][3] = rows[30][3]
    rows[40][4] = rows[40][4].replace(rows[40][4][-1], "l")
    rows[44][6] = "one horn"
    rows[51][6] = "weak eye, look again"
    doctored = {one.vid for one in workday.doctored}
    for row in [row for row in rows if row[0] in doctored][:2]:
        row[5], row[6] = "yes", "goes with the sale lot"
    twin = workday.twins[0]
    rows.append([twin.vid, "", "", "", "", "", "cow came through with the calves"])
    return _text([header, *rows], ";", "\n")


def _phone_row(one: Passing) -> list[str]:
    return [one.head.vid, one.head.colour, one.eid, one.tube, str(one.pounds), "", ""]


def _misread(vid: str, workday: Workday) -> str:
    """The number with its first digit read wrongly, as no calf of the day wears it."""
    worn = {one.head.vid for one in workday.calves}
    return next(wrong for digit in "987654321" if (wrong := digit + vid[1:]) not in worn)


def _slip(eid: str) -> str:
    """The EID with a digit of its maker's block read wrongly."""
    return eid[:9] + ("7" if eid[9] != "7" else "1") + eid[10:]


def scale_sheet(workday: Workday) -> bytes:
    """The scale PC's workbook in pounds: numbers as text or as figures, lines that missed the tag, odd weights."""
    rows: list[list[Any]] = [[one.eid, one.pounds, f"{one.at:%H:%M:%S}"] for one in workday.cows[2:]]
    mend: dict[int, Callable[[list[Any]], list[Any]]] = {
        15: lambda row: [row[0], round(row[1] * float(KG_PER_LB)), row[2]],
        24: lambda row: [row[0], row[1] // 7, row[2]],
        31: lambda row: [row[0], "OL", row[2]],
        38: lambda row: [f"{int(row[0]):.2E}", row[1], row[2]],
        **dict.fromkeys((44, 49, 55, 60, 64, 68), lambda row: ["", row[1], row[2]]),
        **dict.fromkeys((5, 6, 8, 12), lambda row: [int(row[0]), row[1], row[2]]),
    }
    rows = [mend.get(place, list)(row) for place, row in enumerate(rows)]
    rows.insert(21, [rows[20][0], rows[20][1] - 85, rows[20][2]])
    for one in workday.calves[60:63]:
        rows.append([one.eid, one.pounds + 40, f"{one.at:%H:%M:%S}"])
    return _workbook([["EID", "Weight (lb)", "Time"], *rows])


def _workbook(rows: list[list[Any]]) -> bytes:
    book = Workbook()
    sheet = book.active
    sheet.title = "Weights"
    for row in rows:
        sheet.append([None if cell == "" else cell for cell in row])
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def vet_sheet(workday: Workday) -> bytes:
    """The vet's sheet: words above the table, a sold cow, a total below.

    Two hands wrote dates in two ways, and some cows were looked at on an earlier day that both ways could mean.
    """
    rows = [_vet_row(one, place) for place, one in enumerate(workday.cows)]
    early = _either_way(workday.day)
    for place in range(30, 38):
        rows[place][4] = f"{early:%d/%m/%Y}"
    rows.insert(50, [workday.sold.vid, "O", "", "5", f"{workday.day:%m/%d/%Y}"])
    bred = sum(one.is_bred for one in workday.cows)
    above = [
        ["Pregnancy check"],
        ["Kettle Bench - Mill Trap"],
        [f"Printed {workday.day:%d %B %Y}"],
        [""],
        ["Tag", "Preg", "Days", "BCS", "Date"],
    ]
    below = [["Total", str(len(rows)), f"{bred} bred", "", ""]]
    return _text([*above, *rows, *below], ",")


def _either_way(day: date) -> date:
    """The last day before this one of which day and month could be swapped."""
    early = day - timedelta(days=1)
    while early.day > 12 or early.day == early.month:
        early -= timedelta(days=1)
    return early


def _vet_row(one: Passing, place: int) -> list[str]:
    """From the 46th cow on another hand wrote, month first."""
    words = ("bred", "P", "pregnant")[place % 3] if one.is_bred else ("open", "O")[place % 2]
    if place in (12, 61):
        words = "recheck"
    order = "%d/%m/%Y" if place < 45 else "%m/%d/%Y"
    days = str(one.days) if one.is_bred and words != "recheck" else ""
    return [one.head.vid, words, days, one.score, one.at.strftime(order)]
