"""Events in words: one short sentence for each kind."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from herd.office.saying import say_day, say_weighed
from herd.registry.models import Event
from herd.values.eventkinds import EVENT_KINDS, FieldKind
from herd.values.gestation import Due, due_from_check
from herd.values.mass import WeightUnit
from herd.values.policy import PUBLISHED, Policy
from herd.values.pregnancy import LONGEST_DAYS
from herd.values.withdrawal import EXTRA_LABEL

Data = Mapping[str, Any]
Names = Mapping[str, str]

CHECKED = {"pregnant": "Checked pregnant", "open": "Checked open", "recheck": "To be checked again"}


@dataclass(frozen=True, slots=True)
class Carrying:
    """What a due date is counted with: the values in force, and the breed of the dam."""

    policy: Policy = PUBLISHED
    breed: str = ""


def say_event(event: Event, unit: WeightUnit, names: Names, carrying: Carrying | None = None) -> str:
    """Say what happened; `names` has what people call each animal that the event speaks of, by its id.

    A due date is said only where `carrying` tells what to count it with.
    """
    data = {key: value for key, value in event.data.items() if value not in (None, "")}
    if event.kind == "weight":
        purpose = "" if data.get("purpose") == "other" else _given(data, "purpose", ", {} weight")
        sentence = f"Weighed {say_weighed(event, unit)}{purpose}"
    else:
        say = SENTENCES.get(event.kind)
        sentence = say(data, names) if say else event.get_kind_display().capitalize()
        sentence += _say_due(event, carrying) if carrying else ""
    note = "" if event.kind == "note" else _given(data, "note", " Note: {}.")
    return f"{sentence.rstrip('.')}.{note}"


def animals_spoken_of(events: Iterable[Event]) -> set[UUID]:
    """The animals that events name, such as a calf or a sire."""
    found = set()
    for event in events:
        declared = EVENT_KINDS.get(event.kind)
        for one in declared.fields if declared else ():
            if one.kind is FieldKind.ANIMAL and (named := as_uuid(event.data.get(one.key))):
                found.add(named)
    return found


def as_uuid(value: object) -> UUID | None:
    """The id in a stored value, or None where it holds none."""
    try:
        return UUID(str(value))
    except ValueError:
        return None


def _given(data: Data, key: str, form: str) -> str:
    """Fill the form with a field, or say nothing where it is empty."""
    return form.format(data[key]) if data.get(key) not in (None, "") else ""


def _named(data: Data, key: str, names: Names) -> str:
    value = str(data.get(key, ""))
    return names.get(value, "an animal" if as_uuid(value) else value)


def _say_check(data: Data, _: Names) -> str:
    result = str(data.get("result", ""))
    days = _given(data, "days", ", {} days bred")
    return f"{CHECKED.get(result, f'Checked {result}')}{days}{_given(data, 'method', ', by {}')}"


def _say_due(event: Event, carrying: Carrying) -> str:
    """When the calf is due, where a check of a known day says how many days she was bred."""
    due = due_of(event.kind, event.data, event.happened_on if event.precision == "day" else None, carrying)
    return f", due about {say_day(due.expected)}" if due else ""


def due_of(kind: str, data: Data, day: date | None, carrying: Carrying) -> Due | None:
    """The due date by a pregnancy check; None where it can't be counted."""
    days = data.get("days")
    if kind != "pregnancy_check" or data.get("result") != "pregnant" or day is None:
        return None
    if not isinstance(days, int) or not 0 < days <= LONGEST_DAYS:
        return None
    return due_from_check(day, days, breed=carrying.breed, policy=carrying.policy)


def _say_service(data: Data, names: Names) -> str:
    sire = f" by {_named(data, 'sire', names)}" if data.get("sire") else ""
    return f"Served{sire}{_given(data, 'method', ' ({})')}"


def _say_calving(data: Data, names: Names) -> str:
    outcome = {"live": "a live calf", "dead": "a dead calf"}.get(str(data.get("outcome")), "a calf")
    calf = f", {_named(data, 'calf', names)}" if data.get("calf") else ""
    return f"Calved: {outcome}{calf}{_given(data, 'ease', ', calving ease {}')}"


def _say_given(verb: str) -> Callable[[Data, Names], str]:
    """A treatment or a vaccination, with what the record has to show of it."""

    def say(data: Data, _: Names) -> str:
        parts = [
            f"{verb} with {data.get('product', 'a product not named')}{_given(data, 'condition', ' for {}')}",
            _given(data, "dose", "dose {}"),
            _given(data, "route", "{}"),
            _given(data, "site", "at the {}"),
            _given(data, "lot", "lot {}"),
            _given(data, "expiry", "expiry {}"),
            _given(data, "body_weight", "body weight {}"),
            _given(data, "given_by", "given by {}"),
            _given(data, "place", "{}"),
            _given(data, "last_on", "last dose on {}"),
            "not by the label" if data.get("use") == EXTRA_LABEL else "",
            _given(data, "veterinarian", "ordered by {}"),
            _given(data, "prescription", "prescription {}"),
            _given(data, "withdrawal_days", "meat withdrawal {} days"),
        ]
        return ", ".join(part for part in parts if part)

    return say


def _say_sample(data: Data, _: Names) -> str:
    tissue = _given(data, "tissue", ", {}")
    return f"Sampled, tube {data.get('tube', '')}{tissue}{_given(data, 'laboratory', ', to {}')}"


def _say_result(data: Data, _: Names) -> str:
    about = " of ".join(part for part in [_given(data, "test", "{}"), _given(data, "tube", "tube {}")] if part)
    measured = f" ({data['value']}{_given(data, 'value_unit', ' {}')})" if data.get("value") else ""
    laboratory = _given(data, "laboratory", ", by {}")
    return f"Sample result{f' ({about})' if about else ''}: {data.get('result', '')}{measured}{laboratory}"


def _plain(verb: str, *parts: tuple[str, str]) -> Callable[[Data, Names], str]:
    """A verb with fields behind it, each in its own form."""

    def say(data: Data, _: Names) -> str:
        return verb + "".join(_given(data, key, form) for key, form in parts)

    return say


DESPITE = ("despite_withdrawal", ", in spite of withdrawal: {}")

SENTENCES: dict[str, Callable[[Data, Names], str]] = {
    "pregnancy_check": _say_check,
    "service": _say_service,
    "calving": _say_calving,
    "weaning": _plain("Weaned"),
    "treatment": _say_given("Treated"),
    "vaccination": _say_given("Vaccinated"),
    "sample": _say_sample,
    "sample_result": _say_result,
    "body_condition": _plain("Body condition", ("score", " {}")),
    "hip_height": _plain("Hip height", ("height", " {}")),
    "scrotal": _plain("Scrotal circumference", ("circumference", " {}")),
    "movement": _plain("Moved", ("to", " to {}")),
    "sale": _plain("Sold", ("buyer", " to {}"), ("price", " for {}"), DESPITE),
    "purchase": _plain("Bought", ("seller", " from {}"), ("price", " for {}")),
    "transfer": _plain("Transferred out", ("to", " to {}"), DESPITE),
    "death": _plain("Died", ("cause", ": {}")),
    "missing": _plain("Went missing"),
    "found": _plain("Found again"),
    "castration": _plain("Castrated", ("method", " ({})")),
    "note": _plain("Note", ("note", ": {}")),
}
