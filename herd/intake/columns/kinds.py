"""The kinds of column a field file can have, with the words that head them."""

from dataclasses import dataclass
from typing import Literal

from herd.intake.columns.spellings import SPELLINGS

Role = Literal["number", "when", "fact", "event", "detail", "unused"]


@dataclass(frozen=True, slots=True)
class ColumnKind:
    """One kind of column.

    `label` is for a person, `words` are header spellings in several languages, and `role` says what its cells
    give: a number that identifies, a time, a fact about the animal, an event, a detail of one, or nothing.
    """

    key: str
    label: str
    words: tuple[str, ...]
    role: Role


_LABELS: dict[Role, dict[str, str]] = {
    "number": {
        "eid": "EID (electronic number)",
        "vid": "VID (visual tag)",
        "vid_colour": "colour of the visual tag",
        "metal": "official metal tag",
        "tattoo": "tattoo",
        "brand": "brand",
        "back_tag": "back tag",
        "tube": "sample tube",
        "new_eid": "new EID (retag)",
        "new_vid": "new VID (retag)",
        "dam": "dam's number",
        "sire": "sire's number",
        "calf": "calf's number",
    },
    "when": {"date": "date", "time": "time of day", "date_time": "date and time"},
    "fact": {
        "animal_class": "class or sex",
        "born": "birth date",
        "breed": "breed",
        "coat": "coat colour",
        "origin": "origin",
        "group": "group",
        "location": "location",
        "status": "status in the herd",
        "entered": "date it came to the herd",
        "issuer_year": "year of the visual tag",
    },
    "event": {
        "weight": "weight",
        "pregnancy": "pregnancy result",
        "body_condition": "body condition score",
        "hip_height": "hip height",
        "scrotal": "scrotal circumference",
        "product": "product given (treatment)",
        "vaccine": "vaccine given",
        "result": "test result",
        "sale": "sold",
        "death": "dead",
        "castration": "castrated",
        "weaning": "weaned",
        "note": "note",
    },
    "detail": {
        "weight_unit": "unit of the weight",
        "days_bred": "days bred",
        "dose": "dose",
        "lot": "lot or serial number of a product",
        "expiry": "expiry of a product",
        "route": "route of administration",
        "withdrawal_days": "meat withdrawal, days",
        "given_by": "given by",
        "condition": "condition treated",
        "test": "test",
        "result_value": "measured value of a test",
        "value_unit": "unit of the measured value",
        "laboratory": "laboratory",
        "tissue": "tissue of a sample",
        "buyer": "buyer",
        "price": "price",
    },
    "unused": {"row_number": "running number of the row", "unused": "not used"},
}

COLUMN_KINDS: dict[str, ColumnKind] = {
    key: ColumnKind(key, label, tuple(SPELLINGS[key].split("|")), role)
    for role, labels in _LABELS.items()
    for key, label in labels.items()
}
"""Every kind of column by its key."""

DATED_KINDS = frozenset({"date", "date_time", "born", "entered", "sale", "death", "castration", "weaning"})
"""Kinds whose cells may be dates, so that the order of day and month matters."""
