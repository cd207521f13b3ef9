"""Stays in groups told by a record kept elsewhere: rows of joining and leaving, put together and compared."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.facts import decide_group
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row


@dataclass(frozen=True, slots=True)
class _Stay:
    """One stay put together: its group, its days as text, the id it gets and those it may stand under here."""

    group: str
    joined: str
    left: str | None
    id: str
    ids: tuple[str, ...]
    rows: tuple[Row, ...]


def decide_stays(line: Line, context: Context) -> None:
    """Propose stays that the record does not have; where an animal is now is asked if the record says otherwise."""
    stays = _put_together(line)
    if not stays:
        return
    if line.is_new:
        for stay in _in_turn(stays):
            _propose(line, stay)
        return
    for stay in stays:
        if not any(UUID(key) in context.standing for key in stay.ids):
            _compare(line, stay, context)


def _put_together(line: Line) -> list[_Stay]:
    """Each joining with the leaving that ends it: the one of its id, else the first of the group from that day on."""
    said = [(row, row.readings["stay"]) for row in line.rows if "stay" in row.readings]
    leaves = sorted(((row, one) for row, one in said if one["do"] == "leave"), key=lambda pair: str(pair[1]["on"]))
    stays = []
    for row, one in sorted(said, key=lambda pair: str(pair[1]["on"])):
        if one["do"] != "join":
            continue
        end = next((pair for pair in leaves if _ends(pair[1], one)), None)
        if end is not None:
            leaves.remove(end)
        rows = (row, end[0]) if end else (row,)
        stays.append(_Stay(one["group"], one["on"], end[1]["on"] if end else None, one["id"], tuple(one["ids"]), rows))
    for _, one in leaves:
        line.notes.append(f"It left {one['group']} on {one['on']}; when it joined is not told, so this was left out.")
    return stays


def _ends(leave: dict[str, Any], join: dict[str, Any]) -> bool:
    if join["ids"] and leave["ids"]:
        return bool(set(join["ids"]) & set(leave["ids"]))
    return bool(leave["group"] == join["group"] and leave["on"] >= join["on"])


def _in_turn(stays: list[_Stay]) -> list[_Stay]:
    """Where several go on, each but the last ended when the next began: an animal is in one group at a time."""
    goes_on = [at for at, stay in enumerate(stays) if stay.left is None]
    ended = list(stays)
    for at in goes_on[:-1]:
        ended[at] = replace(stays[at], left=stays[at + 1].joined)
    return ended


def _propose(line: Line, stay: _Stay) -> None:
    line.proposals.append(
        {
            "do": "stay",
            "says": f"in {stay.group} from {stay.joined}" + (f" to {stay.left}" if stay.left else ""),
            "rows": [str(row.id) for row in stay.rows],
            "group": stay.group,
            "on": stay.joined,
            "to": stay.left,
            "id": stay.id,
        }
    )


def _compare(line: Line, stay: _Stay, context: Context) -> None:
    known = context.stays.get(line.animal_id, []) if line.animal_id else []
    joined = date.fromisoformat(stay.joined)
    same = next((one for one in known if one.group.casefold() == stay.group.casefold() and one.joined == joined), None)
    if same is not None:
        if same.left is None and stay.left is not None:
            _propose_leaving(line, stay)
        return
    if stay.left is None and all((one.left or one.joined) <= joined for one in known):
        rows = list(stay.rows)
        decide_group(line, Wish("group", "group", stay.group, f"group {stay.group}", rows[0], joined), rows, context)
    elif stay.left is not None and not any(one.overlaps(joined, date.fromisoformat(stay.left)) for one in known):
        _propose(line, stay)
    else:
        line.notes.append(f"In {stay.group} from {stay.joined}: the record has another group for that time; left out.")


def _propose_leaving(line: Line, stay: _Stay) -> None:
    what = {"do": "leave", "says": f"left {stay.group} on {stay.left}", "on": stay.left}
    line.proposals.append({**what, "rows": [str(row.id) for row in stay.rows]})
