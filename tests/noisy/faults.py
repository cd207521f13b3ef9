"""Spoils lines of a field file, one way each; a way that does not fit a line leaves it as it was."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from random import Random

from herd.values.mass import KG_PER_LB
from tests.noisy.herds import Head
from tests.noisy.kinds import Fault
from tests.noisy.sheets import Line
from tests.noisy.spoiling import Spoiling

NUMBERS = {"eid", "vid", "colour"}


# Ways that fit few lines are tried earlier, so that they occur about as often as the others.
RARE = {
    Fault.VID_AS_DATE: 40,
    Fault.DECIMAL_COMMA: 9,
    Fault.MISREAD_VID_HITS: 9,
    Fault.OTHER_UNIT: 5,
    Fault.TWO_ANIMALS: 4,
    Fault.IMPOSSIBLE_WEIGHT: 3,
    Fault.REPEATED_SCAN: 3,
}


def spoil(work: Spoiling, share: float) -> None:
    """Spoil about this share of the file's lines, each in one way that fits it."""
    for line in list(work.sheet.lines):
        if line.faults or line.is_kept or line.head is None or work.chance.random() >= share:
            continue
        ways = sorted(WAYS.items(), key=lambda way: work.chance.random() ** RARE.get(way[0], 1))
        for fault, way in ways:
            if way(work, line):
                line.faults.add(fault)
                break


def _other_digit(chance: Random, text: str, place: int) -> str:
    return text[:place] + chance.choice([d for d in "0123456789" if d != text[place]]) + text[place + 1 :]


def _double(work: Spoiling, line: Line) -> bool:
    if work.sheet.form == "list":
        return False
    _insert_after(work, line, replace(line, cells=dict(line.cells), faults={Fault.DOUBLE_SCAN}))
    return True


def _insert_after(work: Spoiling, line: Line, other: Line) -> None:
    place = next(number for number, one in enumerate(work.sheet.lines) if one is line)
    work.sheet.lines.insert(place + 1, other)


def _repeated(work: Spoiling, line: Line) -> bool:
    if not line.cells.get("weight") or line.head is None:
        return False
    wrong = str(Decimal(line.cells["weight"]) + work.chance.choice((-37, 21, 44)))
    other = replace(line, cells={**line.cells, "weight": wrong}, faults={Fault.REPEATED_SCAN})
    _insert_after(work, line, other)
    if work.chance.random() < 0.5:
        line.cells["weight"], other.cells["weight"] = wrong, line.cells["weight"]
    return True


def _misread_eid(work: Spoiling, line: Line) -> bool:
    eid = line.cells.get("eid", "")
    if not eid:
        return False
    wrong = _other_digit(work.chance, eid, work.chance.randrange(8, 15))
    return _write_eid(work, line, wrong)


def _swapped_digits(work: Spoiling, line: Line) -> bool:
    eid = line.cells.get("eid", "")
    places = [place for place in range(8, 14) if eid and eid[place] != eid[place + 1]]
    if not places:
        return False
    place = work.chance.choice(places)
    return _write_eid(work, line, eid[:place] + eid[place + 1] + eid[place] + eid[place + 2 :])


def _write_eid(work: Spoiling, line: Line, wrong: str) -> bool:
    """Write a wrong EID; one that another animal wears only where the visual tag beside it gives it away."""
    if wrong in work.by_eid and not line.cells.get("vid"):
        return False
    line.cells["eid"] = wrong
    return True


def _misread_vid(work: Spoiling, line: Line) -> bool:
    wrong = _wrong_vid(work, line)
    if not wrong or wrong in work.by_vid:
        return False
    line.cells["vid"] = wrong
    return True


def _misread_vid_hits(work: Spoiling, line: Line) -> bool:
    """Hit another animal's number only where something in the day's files gives it away."""
    wrong = [_wrong_vid(work, line) for _ in range(30)]
    hits = [work.by_vid[one] for one in wrong if one in work.by_vid]
    hits = [one for one in hits if line.cells.get("eid") or _is_contradicted(work, line, one)]
    if not hits:
        return False
    line.cells["vid"] = hits[0].vid
    return True


def _is_contradicted(work: Spoiling, line: Line, hit: Head) -> bool:
    """Whether the other animal's own line in this file says something else in every cell."""
    said = {column for column, text in line.cells.items() if text} - NUMBERS - {"date"}
    if not said or {"tube", "note"} & said:
        return False
    for own in work.sheet.lines:
        if own.head is not None and own.head.id == hit.id and not own.faults:
            if any(own.cells.get(one, line.cells[one]) in ("", line.cells[one]) for one in said):
                return False
            own.is_kept = True
            return True
    return False


def _wrong_vid(work: Spoiling, line: Line) -> str:
    vid = line.cells.get("vid", "")
    places = [place for place, mark in enumerate(vid) if mark.isdigit()]
    if not places or "-" in vid:
        return ""
    wrong = _other_digit(work.chance, vid, work.chance.choice(places))
    return "" if wrong.startswith("0") else wrong


def _e_notation(work: Spoiling, line: Line) -> bool:
    eid = line.cells.get("eid", "")
    if len(eid) != 15:
        return False
    line.cells["eid"] = f"{int(eid):.{work.chance.choice((2, 4))}E}"
    return True


def _leading_zero(work: Spoiling, line: Line) -> bool:
    return _rewrite(line, "eid", lambda text: f"0{text}")


def _float_form(work: Spoiling, line: Line) -> bool:
    column = work.chance.choice(("eid", "vid"))
    if work.sheet.form == "xlsx" or not line.cells.get(column, "").isdigit():
        return False
    return _rewrite(line, column, lambda text: f"{text}.0")


def _vid_as_date(work: Spoiling, line: Line) -> bool:
    month, dash, day = line.cells.get("vid", "").partition("-")
    if not dash:
        return False
    line.cells["vid"] = f"{int(day)}-{date(2024, int(month), 1):%b}"
    return True


def _other_unit(work: Spoiling, line: Line) -> bool:
    if not line.cells.get("weight") or line.head is None or not line.head.is_grown:
        return False
    entered = Decimal(line.cells["weight"])
    # What was weighed is a figure of the other unit, written down without a word about it.
    factor = KG_PER_LB if work.sheet.unit == "lb" else 1 / KG_PER_LB
    line.cells["weight"] = str(round(entered * factor))
    unit = "kg" if work.sheet.unit == "lb" else "lb"
    line.true["weight"] = work.world[line.head.id]["weight"] = (line.cells["weight"], unit)
    return True


def _impossible_weight(work: Spoiling, line: Line) -> bool:
    if not line.cells.get("weight") or line.head is None:
        return False
    line.cells["weight"] = work.chance.choice(("9999", "OL", "4", "-520", "7250"))
    _forget(work, line.head, line, "weight")
    return True


def _forget(work: Spoiling, head: Head, line: Line, name: str) -> None:
    """Nobody knows any more what was true."""
    line.true.pop(name, None)
    work.world[head.id].pop(name, None)


def _swapped_date(work: Spoiling, line: Line) -> bool:
    form = work.sheet.date_form
    if not line.cells.get("date") or form == "%Y-%m-%d":
        return False
    turned = form.replace("%d", "%x").replace("%m", "%d").replace("%x", "%m")
    line.cells["date"] = work.worked_on.strftime(turned)
    return True


def _decimal_comma(work: Spoiling, line: Line) -> bool:
    if not line.cells.get("weight", "").endswith(".5"):
        return False
    return _rewrite(line, "weight", lambda text: text.replace(".", ","))


def _rewrite(line: Line, column: str, how: Callable[[str], str]) -> bool:
    if line.cells.get(column):
        line.cells[column] = how(line.cells[column])
    return bool(line.cells.get(column))


def _two_animals(work: Spoiling, line: Line) -> bool:
    if not (line.cells.get("eid") and line.cells.get("vid")):
        return False
    others = [one for one in work.herd if one.sold_on is None and one is not line.head]
    other = work.chance.choice(others)
    if work.chance.random() < 0.5:
        line.cells["eid"] = other.eid
    else:
        line.cells["vid"] = other.vid
        if "colour" in line.cells:
            line.cells["colour"] = other.colour
    return True


def _tube_twice(work: Spoiling, line: Line) -> bool:
    earlier = [
        one
        for one in work.sheet.lines
        if one.cells.get("tube") and one is not line and not one.faults and one.head is not line.head
    ]
    if not line.cells.get("tube") or not earlier or line.head is None:
        return False
    first = work.chance.choice(earlier)
    line.cells["tube"] = first.cells["tube"]
    first.faults.add(Fault.TUBE_TWICE)
    _forget(work, line.head, line, "tube")
    return True


def _missing_cell(work: Spoiling, line: Line) -> bool:
    values = [column for column, text in line.cells.items() if text and column not in NUMBERS]
    if len(values) < 2:
        return False
    gone = work.chance.choice(values)
    # A dash among pregnancy results is how some write open.
    line.cells[gone] = "" if gone == "pregnancy" else work.chance.choice(("", "", "-"))
    line.true.pop(gone, None)
    if gone == "pregnancy":
        line.cells["days"] = ""
        line.true.pop("days", None)
    return True


def _ragged(work: Spoiling, line: Line) -> bool:
    if work.sheet.form == "list":
        return False
    last = work.sheet.columns[-1]
    if work.chance.random() < 0.5 and last not in NUMBERS | {"pregnancy"} and len(work.sheet.columns) > 2:
        line.cells[last] = ""
        line.true.pop(last, None)
        line.is_short = True
    else:
        line.is_long = True
    return True


WAYS: dict[Fault, Callable[[Spoiling, Line], bool]] = {
    Fault.DOUBLE_SCAN: _double,
    Fault.REPEATED_SCAN: _repeated,
    Fault.MISREAD_EID: _misread_eid,
    Fault.SWAPPED_DIGITS: _swapped_digits,
    Fault.MISREAD_VID: _misread_vid,
    Fault.MISREAD_VID_HITS: _misread_vid_hits,
    Fault.EID_IN_E_NOTATION: _e_notation,
    Fault.LEADING_ZERO: _leading_zero,
    Fault.FLOAT_FORM: _float_form,
    Fault.VID_AS_DATE: _vid_as_date,
    Fault.OTHER_UNIT: _other_unit,
    Fault.IMPOSSIBLE_WEIGHT: _impossible_weight,
    Fault.DAY_AND_MONTH_SWAPPED: _swapped_date,
    Fault.DECIMAL_COMMA: _decimal_comma,
    Fault.TWO_ANIMALS: _two_animals,
    Fault.TUBE_TWICE: _tube_twice,
    Fault.MISSING_CELL: _missing_cell,
    Fault.RAGGED: _ragged,
}
