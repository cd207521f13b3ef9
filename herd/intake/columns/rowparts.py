"""Cells of one row that make one thing together: a pregnancy check, a treatment, a sale, a note."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from herd.intake.columns.answers import answer_of, castration_method, read_status
from herd.intake.columns.cellvalues import ColumnContext, plain_text, refuse_long, whole_day, whole_days
from herd.values.pregnancy import LONGEST_DAYS, PregnancyReading, PregnancyResult, read_pregnancy
from herd.values.problems import Unreadable, shown

LONGEST_NOTE = 2000
_DETAILS = {
    "dose": "dose",
    "lot": "lot",
    "expiry": "expiry",
    "route": "route",
    "withdrawal_days": "withdrawal days",
    "given_by": "given by",
    "condition": "condition",
}
_read_pregnancy = lru_cache(maxsize=4096)(read_pregnancy)


@dataclass(frozen=True, slots=True)
class Part:
    """One filled cell that is read together with others; `name` is its column for a person."""

    kind: str
    name: str
    text: str
    context: ColumnContext


@dataclass(slots=True)
class RowParts:
    """The parts of one row by kind, the kinds the file `has` at all, and what comes of them."""

    parts: dict[str, list[Part]]
    has: frozenset[str]
    readings: dict[str, Any] = field(default_factory=dict)
    problems: list[dict[str, Any]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def first(self, kind: str) -> Part | None:
        """The first cell of a kind, None when no column of the kind is filled."""
        held = self.parts.get(kind)
        return held[0] if held else None

    def read(self, part: Part | None, read: Callable[[str], Any]) -> Any:
        """A cell as a value; None when there is none or, with a problem kept, when it can't be read."""
        if part is None:
            return None
        try:
            if part.kind != "note":
                refuse_long(part.text)
            return read(part.text)
        except Unreadable as refusal:
            self.problems.append(problem_of(part.name, part.kind, part.text, refusal))
            return None

    def text(self, kind: str) -> str:
        """The text in the first cell of a kind, empty when there is none."""
        return self.read(self.first(kind), plain_text) or ""


def problem_of(column: str, kind: str, text: str, refusal: Unreadable) -> dict[str, Any]:
    """A refused cell as plain JSON values, with the writing as it came."""
    return {"column": column, "kind": kind, "value": text, "code": refusal.code, "reason": refusal.reason}


def join_parts(row: RowParts) -> None:
    """Read the parts of a row and put what they make into its readings and problems."""
    for kinds, join in _JOINS:
        if not kinds.isdisjoint(row.parts):
            join(row)
    for part in row.parts.get("note", ()):
        label = part.context.settings.get("label")
        text = row.read(part, lambda cell: plain_text(cell, LONGEST_NOTE))
        if text:
            row.notes.append(f"{label}: {text}" if label else text)
    if row.notes:
        row.readings["note"] = "; ".join(row.notes)


def _pregnancy(row: RowParts) -> None:
    called, counted = row.first("pregnancy"), row.first("days_bred")
    check: PregnancyReading | None = row.read(called, _read_pregnancy)
    days: int | None = row.read(counted, whole_days)
    if counted is not None and days is not None and (refusal := _days_refused(counted, days, called, check)):
        row.problems.append(problem_of(counted.name, counted.kind, counted.text, refusal))
        # A contradicted result is not kept either: which of the two is wrong cannot be told.
        check, days = (None if refusal.code == "open_with_days" else check), None
    if check is None:
        if called is None and days:
            row.readings["pregnancy"] = {"result": "pregnant", "days": days, "note": ""}
        elif days:
            row.notes.append(f"days bred: {days}")
        return
    note = check.note
    if check.span:
        note = "; ".join(filter(None, (f"{check.span[0]} to {check.span[1]} days", note)))
    row.readings["pregnancy"] = {"result": str(check.result), "days": days or check.days, "note": note}


def _days_refused(part: Part, days: int, called: Part | None, check: PregnancyReading | None) -> Unreadable | None:
    if days > LONGEST_DAYS:
        reason = f"{shown(part.text)} is not a length of pregnancy in cattle."
        return Unreadable(part.text, "impossible", reason)
    if days and check and check.result is PregnancyResult.OPEN:
        reason = f"The row says open and {days} days bred; neither was kept."
        return Unreadable(part.text, "open_with_days", reason)
    if days and check and check.days and check.days != days:
        reason = f"The row says {check.days} and {days} days bred; the first was kept."
        return Unreadable(part.text, "days_disagree", reason)
    if days == 0 and called is None:
        reason = f"{shown(part.text)} days do not say whether the animal is open."
        return Unreadable(part.text, "zero_days", reason)
    return None


def _given(row: RowParts) -> None:
    product, vaccine = _named(row, "product"), _named(row, "vaccine")
    details: dict[str, Any] = {kind: row.text(kind) for kind in _DETAILS if kind != "withdrawal_days"}
    details = {kind: text for kind, text in details.items() if text or kind != "expiry"}
    details["withdrawal_days"] = row.read(row.first("withdrawal_days"), whole_days)
    blank = dict.fromkeys(details, "") | {"withdrawal_days": None}
    if product:
        row.readings["treatment"] = {"product": product, **details}
    if vaccine:
        held = {"product": vaccine, **(blank if product else details)}
        condition = held.pop("condition")
        row.notes += [f"condition: {condition}"] if condition else []
        row.readings["vaccination"] = held
    if not product and not vaccine:
        row.notes += [f"{_DETAILS[kind]}: {value}" for kind, value in details.items() if value not in ("", None)]


def _named(row: RowParts, kind: str) -> str:
    """The product of a cell; a bare yes stands for the product its heading names."""
    text = row.text(kind)
    answer = answer_of(text) if text else False
    if answer is None:
        return text
    part = row.first(kind)
    return part.name if answer and part is not None else ""


def _result(row: RowParts) -> None:
    """A result in words, a measured value with its unit, or both; else what is told of the sample."""
    part, test, result = row.first("result"), row.text("test"), row.text("result")
    value, unit = row.text("result_value"), row.text("value_unit")
    laboratory, tissue = row.text("laboratory"), row.text("tissue")
    if not result and not value:
        row.notes += [f"test: {test}"] if test else []
        sample = {key: text for key, text in (("tissue", tissue), ("laboratory", laboratory)) if text}
        row.readings.update({"sample": sample} if sample else {})
        return
    named = part.context.settings.get("test", "") if part else ""
    found = {"test": test or named, "result": result or f"{value} {unit}".strip()}
    measured = {"value": value, "value_unit": unit} if result else {}
    more = {**measured, "laboratory": laboratory}
    row.readings["result"] = found | {key: text for key, text in more.items() if text}
    row.notes += [f"tissue: {tissue}"] if tissue else []


def _sale(row: RowParts) -> None:
    buyer, price = row.text("buyer"), row.text("price")
    sold, day, other = _left(row, "sale")
    if sold or (buyer and "sale" not in row.has):
        row.readings["sale"] = {"on": day, "buyer": buyer or other, "price": price}
        row.notes += [f"sold: {other}"] if buyer and other else []
        return
    row.notes += [f"{name}: {text}" for name, text in (("buyer", buyer), ("price", price)) if text]


def _death(row: RowParts) -> None:
    died, day, cause = _left(row, "death")
    if died:
        row.readings["death"] = {"on": day, "cause": cause}


def _left(row: RowParts, kind: str) -> tuple[bool, str | None, str]:
    """Whether the animal left, on which day, and the words that stand instead of a day."""
    part = row.first(kind)
    if part is None:
        return False, None, ""
    answer = answer_of(part.text)
    if answer is not None:
        return answer, None, ""
    try:
        refuse_long(part.text)
        return True, whole_day(part.text, part.context), ""
    except Unreadable as refusal:
        if refusal.code != "not_date" or not any(mark.isalpha() for mark in part.text):
            row.problems.append(problem_of(part.name, kind, part.text, refusal))
            return False, None, ""
    words = row.read(part, plain_text)
    return bool(words) and not _is_on_hand(words), None, words or ""


def _is_on_hand(words: str) -> bool:
    try:
        return read_status(words) == "on_hand"
    except Unreadable:
        return False


def _done(row: RowParts, kind: str) -> None:
    """A castration or weaning: yes, a date, or a way of castrating."""
    part = row.first(kind)
    if part is None or (answer := answer_of(part.text)) is False:
        return
    method = castration_method(part.text) if kind == "castration" else ""
    if answer is None and not method:
        day = row.read(part, lambda cell: _answered_day(cell, part))
        if day is None:
            return
        row.readings[f"{kind}_on"] = day
    if method:
        row.readings["castration_method"] = method
    row.readings[kind] = True


def _answered_day(text: str, part: Part) -> str:
    try:
        return whole_day(text, part.context)
    except Unreadable as refusal:
        if refusal.code != "not_date":
            raise
        reason = f"{shown(text)} is neither yes or no nor a date."
        raise Unreadable(text, "not_answer", reason) from None


_JOINS: tuple[tuple[frozenset[str], Callable[[RowParts], None]], ...] = (
    (frozenset({"pregnancy", "days_bred"}), _pregnancy),
    (frozenset({"product", "vaccine", *_DETAILS}), _given),
    (frozenset({"result", "test", "result_value", "value_unit", "laboratory", "tissue"}), _result),
    (frozenset({"sale", "buyer", "price"}), _sale),
    (frozenset({"death"}), _death),
    (frozenset({"castration"}), lambda row: _done(row, "castration")),
    (frozenset({"weaning"}), lambda row: _done(row, "weaning")),
)
JOINED_KINDS = frozenset({"note"}).union(*(kinds for kinds, _ in _JOINS))
"""The kinds whose cells are read together with others of the row."""
