"""Two columns of one row that give the same reading: joined where they agree, refused where they don't."""

from typing import Any, Protocol

from herd.values.problems import shown

_DAY_KEYS = frozenset({"day", "day_precision", "time"})


class Clashing(Protocol):
    """What is needed of a row: its readings, problems and cautions."""

    readings: dict[str, Any]
    problems: list[dict[str, Any]]
    cautions: list[dict[str, str]]


def settle_clash(row: Clashing, kind: str, column: str, text: str, found: dict[str, Any]) -> dict[str, Any]:
    """What of `found` may be added to the row's readings, after a look at what they hold already.

    Class and sex complete each other. Of two colours that differ none is kept; of other values that differ
    the first stays and the second becomes a problem.
    """
    held = {key: row.readings[key] for key in found if key in row.readings}
    if not held or all(found[key] == value for key, value in held.items()):
        return found
    if kind == "animal_class":
        joined = _join_classes(held["animal_class"], found["animal_class"])
        if joined is not None:
            return {"animal_class": joined}
        del row.readings["animal_class"]
        return _refuse(
            row,
            kind,
            column,
            text,
            f"{shown(text)} contradicts the class or sex beside it; neither was kept.",
        )
    if "vid_colour" in held and held["vid_colour"] != found["vid_colour"] and held.keys() == {"vid_colour"}:
        del row.readings["vid_colour"]
        reason = f"{shown(text)} names another tag colour than the cell beside it; neither colour was kept."
        _refuse(row, kind, column, text, reason)
        return {key: value for key, value in found.items() if key != "vid_colour"}
    return _complete_or_refuse(row, kind, column, text, found)


def _complete_or_refuse(row: Clashing, kind: str, column: str, text: str, found: dict[str, Any]) -> dict[str, Any]:
    if found.keys() <= _DAY_KEYS and found.get("day", row.readings.get("day")) == row.readings.get("day"):
        # The same day written twice: keep the time of whichever column has one.
        if "time" not in row.readings:
            return found
        if "time" not in found or found["time"] == row.readings["time"]:
            return {}
    return _refuse(
        row,
        kind,
        column,
        text,
        f"{shown(text)} differs from another column that says the same; the first was kept.",
    )


def _refuse(row: Clashing, kind: str, column: str, text: str, reason: str) -> dict[str, Any]:
    row.problems.append({"column": column, "kind": kind, "value": text, "code": "columns_disagree", "reason": reason})
    return {}


def _join_classes(first: dict[str, Any], second: dict[str, Any]) -> dict[str, Any] | None:
    """Class and sex of both; None when they contradict each other."""
    for key in ("class", "sex"):
        if first[key] and second[key] and first[key] != second[key]:
            return None
    return {
        "class": first["class"] or second["class"],
        "sex": first["sex"] or second["sex"],
        "calf": first["calf"] or second["calf"],
    }
