"""What a row would write: one wish for each thing it says about its animal."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from datetime import date
from typing import Any

from herd.intake.matching.numbers import Row
from herd.values.eventkinds import EVENT_KINDS

# Measures of size: the field of the event, and what it is called.
MEASURED = {"hip_height": ("height", "hip height"), "scrotal": ("circumference", "scrotal circumference")}


@dataclass(frozen=True, slots=True)
class Wish:
    """One thing a row says.

    `target` is event, fact, tag, group or status; `name` the event kind, fact, tag kind; `field` tells wishes
    apart that can stand side by side on one day; `value` is compared between rows and with the record.
    """

    target: str
    name: str
    value: Any
    says: str
    row: Row
    day: date
    precision: str = "day"
    data: dict[str, Any] = dataclass_field(default_factory=dict)
    ng: int | None = None
    part: str = ""

    @property
    def field(self) -> str:
        """The name of the slot this wish would fill."""
        return f"{self.name} {self.part}".strip()


def wishes_of(row: Row, day: date, ruled: date | None = None) -> list[Wish]:
    """All wishes of a row; `day` stands in where the row has no date of its own, `ruled` comes before both."""
    own = row.readings.get("day")
    when = ruled or (date.fromisoformat(own) if own else day)
    precision = row.readings.get("day_precision", "day") if own else "day"
    if precision == "instant":
        precision = "day"
    found = [wish for names, speak in SPEAKING if not names.isdisjoint(row.readings) for wish in speak(row, when)]
    return found if precision == "day" else [replace(one, precision=precision) for one in found]


def _weights(row: Row, day: date) -> Iterator[Wish]:
    for weight in row.readings.get("weights", []):
        purpose = weight.get("purpose", "")
        data = {"weight": weight["entered"], "unit": weight["unit"]}
        when, precision = day, "day"
        if purpose:
            data["purpose"] = purpose
        if purpose == "birth":
            born = row.readings.get("born")
            when, precision = (
                (date.fromisoformat(born["on"]), born["precision"]) if born else (day, "unknown")
            )
        says = f"{purpose} weight {weight['entered']} {weight['unit']}".strip()
        yield Wish("event", "weight", weight["ng"], says, row, when, precision, data, weight["ng"], purpose)


def _events(row: Row, day: date) -> Iterator[Wish]:
    said = row.readings
    if "pregnancy" in said:
        data = {key: value for key, value in said["pregnancy"].items() if value not in (None, "")}
        days = f", {data['days']} days" if "days" in data else ""
        value = (data.get("result"), data.get("days"))
        yield Wish("event", "pregnancy_check", value, f"{data.get('result')}{days}", row, day, data=data)
    for kind, (key, words) in MEASURED.items():
        if kind in said:
            yield Wish("event", kind, said[kind], f"{words} {said[kind]}", row, day, data={key: said[kind]})
    if "body_condition" in said:
        score = str(said["body_condition"])
        yield Wish(
            "event", "body_condition", score, f"body condition {score}", row, day, data={"score": score}
        )
    if "result" in said:
        data = {key: value for key, value in said["result"].items() if value}
        yield _result(row, day, {**data, "tube": said["tube"]} if "tube" in said else data)
    elif "tube" in said:
        tube = said["tube"]
        data = {"tube": tube, **said.get("sample", {})}
        yield Wish("event", "sample", tube, f"sample tube {tube}", row, day, data=data)


def _result(row: Row, day: date, data: dict[str, Any]) -> Wish:
    """The result of a sample; that of another tube or test stands beside it."""
    measured = f" ({data['value']} {data.get('value_unit', '')}".rstrip() + ")" if "value" in data else ""
    test = f"{data['test']} " if "test" in data else ""
    says = f"{test}result {data.get('result')}{measured}"
    value = tuple(str(data.get(key, "")).casefold() for key in ("result", "value", "value_unit"))
    part = f"{data.get('test', '')} {data.get('tube', '')}".strip().casefold()
    return Wish("event", "sample_result", value, says, row, day, data=data, part=part)


def _handling(row: Row, day: date) -> Iterator[Wish]:
    said = row.readings
    for kind in ("castration", "weaning"):
        if said.get(kind):
            yield Wish("event", kind, kind, kind, row, day)
    if "note" in said:
        yield Wish(
            "event",
            "note",
            said["note"],
            f"note “{said['note']}”",
            row,
            day,
            data={"note": said["note"]},
            part=said["note"],
        )


def _medicines(row: Row, day: date) -> Iterator[Wish]:
    for key in ("treatment", "vaccination"):
        if key in row.readings:
            data = {name: value for name, value in row.readings[key].items() if value not in (None, "")}
            product = str(data.get("product", ""))
            yield Wish(
                "event",
                key,
                product.lower(),
                f"{key} with {product}",
                row,
                day,
                data=data,
                part=product.lower(),
            )


def _endings(row: Row, day: date) -> Iterator[Wish]:
    for key in ("sale", "death"):
        if key in row.readings:
            said = row.readings[key]
            when = date.fromisoformat(said["on"]) if said.get("on") else day
            data = {name: value for name, value in said.items() if name != "on" and value not in (None, "")}
            yield Wish("event", key, when.isoformat(), f"{key} on {when}", row, when, data=data)
    status = row.readings.get("status")
    if status:
        yield Wish("status", "status", status["status"], f"status {status['word']}", row, day)


def _sent(row: Row, day: date) -> Iterator[Wish]:
    """An event as a device sends it: any kind, with its data whole."""
    sent = row.readings.get("event")
    if sent and sent["kind"] == "sample_result":
        yield _result(row, day, sent["data"])
    elif sent:
        kind, data = EVENT_KINDS[sent["kind"]], sent["data"]
        main = str(data.get(kind.main, "")).lower()
        value = sent.get("ng") if kind.key == "weight" else (data.get("result"), data.get("days"))
        if kind.key not in {"weight", "pregnancy_check"}:
            value = main or kind.key
        part = data.get("purpose", "") if kind.key == "weight" else "" if kind.once_a_day else main
        says = f"{kind.label} {data.get(kind.main, '')} {data.get('unit', '')}".strip()
        yield Wish("event", kind.key, value, says, row, day, data=data, ng=sent.get("ng"), part=part)


def _facts(row: Row, day: date) -> Iterator[Wish]:
    said = row.readings
    for name in ("breed", "coat", "origin"):
        if said.get(name):
            yield Wish("fact", name, said[name], f"{name} {said[name]}", row, day)
    if "born" in said:
        value = (said["born"]["on"], said["born"]["precision"])
        yield Wish("fact", "born_on", value, f"born {said['born']['on']}", row, day)
    if "entered" in said:
        yield Wish("fact", "entered_on", said["entered"], f"came in {said['entered']}", row, day)
    if "animal_class" in said:
        one = said["animal_class"]
        words = one.get("class") or one.get("sex") or ""
        yield Wish(
            "fact",
            "entry_class",
            (one.get("class"), one.get("sex"), bool(one.get("calf"))),
            f"class {words}",
            row,
            day,
        )
    for name in ("dam", "sire"):
        if name in said:
            value = (said[name]["kind"], said[name]["number"])
            yield Wish("fact", f"{name}_id", value, f"{name} {said[name]['number']}", row, day)


def _groups(row: Row, day: date) -> Iterator[Wish]:
    name = row.readings.get("group") or row.readings.get("location")
    if name:
        yield Wish("group", "group", " ".join(str(name).split()), f"group {name}", row, day)


# What speaks of what, in the order in which a line is told.
SPEAKING: tuple[tuple[frozenset[str], Callable[[Row, date], Iterator[Wish]]], ...] = (
    (frozenset({"weights"}), _weights),
    (frozenset({"pregnancy", *MEASURED, "body_condition", "result", "tube"}), _events),
    (frozenset({"castration", "weaning", "note"}), _handling),
    (frozenset({"treatment", "vaccination"}), _medicines),
    (frozenset({"sale", "death", "status"}), _endings),
    (frozenset({"event"}), _sent),
    (frozenset({"breed", "coat", "origin", "born", "entered", "animal_class", "dam", "sire"}), _facts),
    (frozenset({"group", "location"}), _groups),
)
