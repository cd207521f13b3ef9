"""Says in words how a field file was written and what was read in one of its lines."""

from collections.abc import Iterator, Mapping
from typing import Any

from herd.intake.columns.kinds import COLUMN_KINDS

DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright bars", " ": "spaces"}
FORMATS = {
    "xlsx": "Excel workbook (XLSX)",
    "xls": "older Excel workbook (XLS)",
    "ods": "OpenDocument spreadsheet (ODS)",
    "numbers": "plain list of numbers",
}
LINES_NAMED = 6

# Readings that a line has under another word than its column's kind.
LABELS = {"weights": "weight"}
# How a part of a reading is said where its key is not put before it.
PARTS = {"result": "{}", "days": "{} days", "product": "{}", "test": "{}", "on": "on {}", "note": "{}"}
MEDICINE = ("dose", "lot", "route", "site", "withdrawal_days", "given_by", "condition")
ORDER = (*PARTS, "value", "value_unit", "laboratory", *MEDICINE)
UNSAID = frozenset({"ng", "precision", "day_precision"})
DIGITS_KNOWN = {"year": 4, "month": 7}


def dialect_in_words(dialect: Mapping[str, Any]) -> list[str]:
    """Return phrases about a file's dialect: its form, encoding, delimiter, header, and lines passed over."""
    if not dialect:
        return []
    return [*_form(dialect), *_header(dialect), *_passed(dialect)]


def _form(dialect: Mapping[str, Any]) -> Iterator[str]:
    form = str(dialect.get("format") or "")
    if form and form != "text":
        sheet = dialect.get("sheet")
        yield FORMATS.get(form, form.upper()) + (f", sheet “{sheet}”" if sheet else "")
    delimiter = str(dialect.get("delimiter") or "")
    if delimiter:
        yield f"cells parted by {DELIMITERS.get(delimiter, '“' + delimiter + '”')}"
    elif form == "text":
        yield "one number a line"
    if dialect.get("encoding"):
        mark = " with a byte order mark" if dialect.get("byte_order_mark") else ""
        yield f"letters as {str(dialect['encoding']).upper()}{mark}"


def _header(dialect: Mapping[str, Any]) -> Iterator[str]:
    line = dialect.get("header_line")
    yield f"header in line {line}" if line else "no header"
    again = [other for other in dialect.get("header_lines") or [] if other != line]
    if again:
        yield f"header again in {_lines(again)}"
    if dialect.get("first_data_line"):
        yield f"data from line {dialect['first_data_line']}"


def _passed(dialect: Mapping[str, Any]) -> Iterator[str]:
    """What became of the lines that are not data, each sort with its reason."""
    if dialect.get("preamble_lines"):
        yield f"{_lines(dialect['preamble_lines'])} above the table passed over"
    if dialect.get("footer_lines"):
        yield f"{_lines(dialect['footer_lines'])} below the table passed over"
    reasons: dict[str, list[int]] = {}
    for line, reason in dialect.get("passed_lines") or []:
        reasons.setdefault(str(reason), []).append(line)
    for reason, lines in reasons.items():
        yield f"{_lines(lines)} passed over: {reason.replace('_', ' ')}"
    blank = dialect.get("blank_lines") or 0
    if blank:
        yield f"{blank} empty line{'s' if blank > 1 else ''}"


def _lines(numbers: list[int]) -> str:
    named = ", ".join(str(number) for number in numbers[:LINES_NAMED])
    more = len(numbers) - LINES_NAMED
    word = "line" if len(numbers) == 1 else "lines"
    return f"{word} {named}" + (f" and {more} more" if more > 0 else "")


def readings_in_words(readings: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what was read in a line as pairs of a label and a value in words."""
    said = [(_label(kind), _value(value)) for kind, value in readings.items() if kind not in UNSAID]
    known = DIGITS_KNOWN.get(str(readings.get("day_precision")))
    if known:
        said = [(label, value[:known] if label == "day" else value) for label, value in said]
    return [(label, value) for label, value in said if value]


def _label(kind: str) -> str:
    if kind in LABELS:
        return LABELS[kind]
    known = COLUMN_KINDS.get(kind)
    return known.label.split(" (")[0] if known else kind.replace("_", " ")


def _value(value: Any) -> str:
    if value is None or value is False or value == "":
        return ""
    if value is True:
        return "yes"
    if isinstance(value, Mapping):
        return _group(value)
    if isinstance(value, list | tuple):
        return "; ".join(part for part in (_value(one) for one in value) if part)
    return str(value)


def _group(value: Mapping[str, Any]) -> str:
    """Several values that belong together: a weight, a number of a relative, a class, a treatment."""
    if "entered" in value:
        purpose = f" at {value['purpose']}" if value.get("purpose") else ""
        return f"{value['entered']} {value.get('unit') or ''}".strip() + purpose
    if "number" in value:
        return " ".join(str(part) for part in (value["number"], value.get("colour")) if part)
    if "class" in value:
        words = [value.get("class") or value.get("sex") or "", "calf" if value.get("calf") else ""]
        return " ".join(word for word in words if word)
    known = DIGITS_KNOWN.get(str(value.get("precision")))
    if known and "on" in value:
        value = {**value, "on": str(value["on"])[:known]}
    # A database may keep the keys of JSON in an order of its own.
    in_order = [*(key for key in ORDER if key in value), *sorted(value.keys() - set(ORDER))]
    parts = [(key, _value(value[key])) for key in in_order if key not in UNSAID]
    said = [(PARTS.get(key, key.replace("_", " ") + " {}"), text) for key, text in parts if text]
    return ", ".join(words.format(text) for words, text in said)
