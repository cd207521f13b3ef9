"""The kinds of event, declared once: their fields, and what they do to an animal's status, class and group."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from herd.values.lengths import length_of


class FieldKind(StrEnum):
    """What a field of an event holds."""

    WEIGHT = "weight"
    TEXT = "text"
    DAYS = "days"
    SCORE = "score"
    CHOICE = "choice"
    TUBE = "tube"
    ANIMAL = "animal"
    DATE = "date"
    MOMENT = "moment"
    LENGTH = "length"


class Effect(StrEnum):
    """What an event does to the animal's standing in the herd."""

    SOLD = "sold"
    DEAD = "dead"
    MISSING = "missing"
    TRANSFERRED = "transferred"
    ON_HAND = "on_hand"
    BECOMES_COW = "cow"
    BECOMES_STEER = "steer"
    MOVES = "moves"


LEAVING = frozenset({Effect.SOLD, Effect.DEAD, Effect.MISSING, Effect.TRANSFERRED})


@dataclass(frozen=True, slots=True)
class EventField:
    """One field of an event kind."""

    key: str
    label: str
    kind: FieldKind = FieldKind.TEXT
    choices: tuple[str, ...] = ()
    is_required: bool = False


@dataclass(frozen=True, slots=True)
class EventKind:
    """One kind of event.

    `main` names the field whose value tells two events of one day apart: two weights of one animal on one day
    with the same figure are the same weighing, two treatments are the same only with the same product.
    `never` are the classes of animals to which it can't happen; a steer was a bull when he was measured.
    """

    key: str
    label: str
    fields: tuple[EventField, ...] = ()
    effect: Effect | None = None
    main: str = ""
    once_a_day: bool = True
    never: frozenset[str] = frozenset()
    field_keys: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "field_keys", frozenset(one.key for one in self.fields))


FEMALES, MALES = frozenset({"cow", "heifer"}), frozenset({"bull", "steer"})
NOTE = EventField("note", "note")
PRODUCT_FIELDS = (
    EventField("product", "product", is_required=True),
    EventField("lot", "lot or serial number"),
    EventField("expiry", "expiry of the product"),
    EventField("body_weight", "body weight at treatment"),
    EventField("dose", "dose"),
    EventField("route", "route"),
    EventField("site", "injection site"),
    EventField("given_by", "given by"),
    EventField("place", "place"),
    EventField("last_on", "last day of the course", FieldKind.DATE),
    EventField("last_at", "time of the last dose", FieldKind.MOMENT),
    EventField("use", "use", FieldKind.CHOICE, ("", "label", "extra-label")),
    EventField("veterinarian", "veterinarian"),
    EventField("prescription", "prescription or reference"),
    EventField("withdrawal_days", "meat withdrawal, days of 24 hours", FieldKind.DAYS),
)
# Why an animal left for another owner before it was known to be free of what it was given.
DESPITE = EventField("despite_withdrawal", "goes in spite of withdrawal because")

_KINDS = (
    EventKind(
        "weight",
        "weight",
        (
            EventField("weight", "weight", FieldKind.WEIGHT, is_required=True),
            EventField("purpose", "purpose", FieldKind.CHOICE, ("", "birth", "weaning", "yearling", "sale", "other")),
            NOTE,
        ),
        main="weight",
    ),
    EventKind(
        "pregnancy_check",
        "pregnancy check",
        (
            EventField("result", "result", FieldKind.CHOICE, ("pregnant", "open", "recheck"), is_required=True),
            EventField("days", "days bred", FieldKind.DAYS),
            EventField("method", "method"),
            NOTE,
        ),
        main="result",
    ),
    EventKind(
        "service",
        "service",
        (EventField("method", "method"), EventField("sire", "sire", FieldKind.ANIMAL), NOTE),
        main="method",
    ),
    EventKind(
        "calving",
        "calving",
        (
            EventField("calf", "calf", FieldKind.ANIMAL),
            EventField("outcome", "outcome", FieldKind.CHOICE, ("live", "dead")),
            EventField("ease", "calving ease", FieldKind.SCORE),
            NOTE,
        ),
        effect=Effect.BECOMES_COW,
        main="calf",
        once_a_day=False,
        never=MALES,
    ),
    EventKind("weaning", "weaning", (NOTE,)),
    EventKind(
        "treatment",
        "treatment",
        (
            *PRODUCT_FIELDS,
            EventField("condition", "condition treated"),
            NOTE,
        ),
        main="product",
        once_a_day=False,
    ),
    EventKind(
        "vaccination",
        "vaccination",
        (*PRODUCT_FIELDS, NOTE),
        main="product",
        once_a_day=False,
    ),
    EventKind(
        "sample",
        "sample",
        (
            EventField("tube", "sample tube", FieldKind.TUBE, is_required=True),
            EventField("tissue", "tissue"),
            EventField("laboratory", "laboratory"),
            NOTE,
        ),
        main="tube",
        once_a_day=False,
    ),
    EventKind(
        "sample_result",
        "sample result",
        (
            EventField("tube", "sample tube", FieldKind.TUBE),
            EventField("test", "test"),
            EventField("result", "result", is_required=True),
            EventField("value", "measured value"),
            EventField("value_unit", "unit of the measured value"),
            EventField("laboratory", "laboratory"),
            NOTE,
        ),
        main="test",
        once_a_day=False,
    ),
    EventKind(
        "body_condition",
        "body condition",
        (EventField("score", "score, 1 to 9", FieldKind.SCORE, is_required=True), NOTE),
        main="score",
    ),
    EventKind(
        "hip_height",
        "hip height",
        (EventField("height", "hip height", FieldKind.LENGTH, is_required=True), NOTE),
        main="height",
    ),
    EventKind(
        "scrotal",
        "scrotal circumference",
        (EventField("circumference", "circumference", FieldKind.LENGTH, is_required=True), NOTE),
        main="circumference",
        never=FEMALES,
    ),
    EventKind(
        "movement",
        "movement",
        (EventField("to", "moved to", is_required=True), EventField("location", "location"), NOTE),
        effect=Effect.MOVES,
        main="to",
        once_a_day=False,
    ),
    EventKind(
        "sale",
        "sale",
        (EventField("buyer", "buyer"), EventField("price", "price"), DESPITE, NOTE),
        effect=Effect.SOLD,
    ),
    EventKind(
        "purchase",
        "purchase",
        (EventField("seller", "seller"), EventField("price", "price"), NOTE),
        effect=Effect.ON_HAND,
    ),
    EventKind("transfer", "transfer out", (EventField("to", "to"), DESPITE, NOTE), effect=Effect.TRANSFERRED),
    EventKind("death", "death", (EventField("cause", "cause"), NOTE), effect=Effect.DEAD),
    EventKind("missing", "missing", (NOTE,), effect=Effect.MISSING),
    EventKind("found", "found again", (NOTE,), effect=Effect.ON_HAND),
    EventKind(
        "castration", "castration", (EventField("method", "method"), NOTE), effect=Effect.BECOMES_STEER
    ),
    EventKind("note", "note", (EventField("note", "note", is_required=True),), main="note", once_a_day=False),
)

# How days and moments are written in an event's data: ISO 8601.
CALENDAR: dict[FieldKind, Callable[[str], date]] = {
    FieldKind.DATE: date.fromisoformat,
    FieldKind.MOMENT: datetime.fromisoformat,
}

EVENT_KINDS: dict[str, EventKind] = {kind.key: kind for kind in _KINDS}

# What is given to an animal and may hold it for a time, and what takes it to another owner.
MEDICINE_KINDS = ("treatment", "vaccination")
PARTING_KINDS = ("sale", "transfer")

STANDING_KINDS = frozenset(kind.key for kind in _KINDS if kind.effect is not None)


def check_event(kind: str, data: dict[str, object]) -> list[str]:
    """Return what is wrong with an event's data, one sentence each; an empty list where it is sound."""
    declared = EVENT_KINDS.get(kind)
    if declared is None:
        return [f"There is no kind of event called {kind!r}."]
    wrong = [
        f"A {declared.label} has no field {key!r}."
        for key in sorted(set(data) - declared.field_keys - {"unit"})
    ]
    for one in declared.fields:
        value = data.get(one.key)
        if value in (None, ""):
            if one.is_required:
                wrong.append(f"A {declared.label} needs: {one.label}.")
        else:
            wrong += _faults(one, value)
    return wrong


def class_fault(kind: str, animal_class: str) -> str:
    """Why an event of this kind can't happen to an animal of this class; empty where it can, or no class is known."""
    declared = EVENT_KINDS.get(kind)
    if declared is None or animal_class not in declared.never:
        return ""
    return f"The animal is a {animal_class}; a {animal_class} has no {declared.label}."


def _faults(one: EventField, value: object) -> list[str]:
    """What is wrong with the value of one field; nothing or one sentence."""
    label = one.label.capitalize()
    if one.kind is FieldKind.CHOICE and value not in one.choices:
        return [f"{label} must be one of {', '.join(filter(None, one.choices))}, not {value!r}."]
    if one.kind is FieldKind.DAYS and not (isinstance(value, int) and 0 <= value <= 1_000):
        return [f"{label} must be a whole number of days, not {value!r}."]
    if one.kind is FieldKind.LENGTH and length_of(value) is None:
        return [f"{label} needs a number with its unit, as 49.5 in or 126 cm, not {value!r}."]
    if one.kind in CALENDAR and not _is_written(CALENDAR[one.kind], value):
        return [f"{label} must be written as 2026-03-14, not {value!r}."]
    return []


def _is_written(read: Callable[[str], date], value: object) -> bool:
    try:
        read(str(value))
    except ValueError:
        return False
    return True
