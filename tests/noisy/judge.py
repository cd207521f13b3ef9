"""Judges what was made of a noisy day against its truth: wrong facts, true matches made, lines counted."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from tests.noisy.days import NoisyDay, TrueLine
from tests.noisy.kinds import Fault

DONE = frozenset({"applied", "known"})
STATES = frozenset({"applied", "known", "set_aside", "unusable", "waiting"})
Export = list[dict[str, Any]]


@dataclass(frozen=True, slots=True)
class RowOutcome:
    """How one staged row ended."""

    file: str
    line: int
    animal_id: UUID | None
    state: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """`wrong` names each fact on an animal that the truth does not give it.

    Of the `plain` lines, `matched` were given to their animal without a person; of these `written` are done
    with and have all their values in the record. `missed` names the plain lines that are not.
    """

    wrong: tuple[str, ...]
    plain: int
    matched: int
    written: int
    missed: tuple[str, ...]
    states: Mapping[str, Mapping[str, int]]
    lost_lines: tuple[str, ...]

    @property
    def share(self) -> float:
        """The share of true matches made and written without a person, from 0 to 1."""
        return self.written / self.plain if self.plain else 1.0


def judge(day: NoisyDay, before: Export, after: Export, rows: Iterable[RowOutcome]) -> Judgement:
    """Compare the record after applying all that is clear with the record before and with the truth."""
    listed = list(rows)
    outcome = {(row.file, row.line): row for row in listed}
    animals = _animals(after)
    plain = [line for line in day.lines if line.is_plain]
    matched = [line for line in plain if _is_matched(line, outcome)]
    done = [line for line in matched if _is_done(line, outcome, animals, day)]
    written = {id(line) for line in done}
    states: dict[str, Counter[str]] = {}
    for row in listed:
        states.setdefault(row.file, Counter())[row.state] += 1
    return Judgement(
        wrong=tuple(wrong_facts(day, before, after)),
        plain=len(plain),
        matched=len(matched),
        written=len(done),
        missed=tuple(_told(line, outcome) for line in plain if id(line) not in written),
        states=states,
        lost_lines=tuple(f"{one.file}:{one.line}" for one in day.lines if (one.file, one.line) not in outcome),
    )


def _told(line: TrueLine, outcome: Mapping[tuple[str, int], RowOutcome]) -> str:
    row = outcome.get((line.file, line.line))
    faults = ", ".join(sorted(line.faults)) or "no fault"
    if row is None:
        return f"{line.file}:{line.line} ({faults}) was not staged"
    found = "its animal" if row.animal_id == line.animal_id else "another" if row.animal_id else "no animal"
    return f"{line.file}:{line.line} ({faults}) is {row.state} with {found}"


def _is_matched(line: TrueLine, outcome: Mapping[tuple[str, int], RowOutcome]) -> bool:
    row = outcome.get((line.file, line.line))
    return row is not None and row.animal_id == line.animal_id


def _is_done(
    line: TrueLine,
    outcome: Mapping[tuple[str, int], RowOutcome],
    animals: Mapping[str, dict[str, Any]],
    day: NoisyDay,
) -> bool:
    if outcome[(line.file, line.line)].state not in DONE:
        return False
    found = facts_on(animals.get(str(line.animal_id), {}).get("events", []), day.worked_on.isoformat())
    return all(value in found.get(name, ()) for name, value in line.values.items())


def facts_on(events: Iterable[dict[str, Any]], on: str) -> dict[str, list[Any]]:
    """What events of a day say, by the names that the truth uses."""
    found: dict[str, list[Any]] = {}
    for event in events:
        if event["on"] == on:
            for name, value in said_by(event).items():
                found.setdefault(name, []).append(value)
    return found


def said_by(event: Mapping[str, Any]) -> dict[str, Any]:
    """What one event says, by the names that the truth uses; a note says nothing that is checked."""
    data = event["data"]
    says = {
        "weight": {"weight": event["weight_ng"]},
        "pregnancy_check": {"pregnancy": data.get("result"), "days": data.get("days")},
        "sample": {"tube": data.get("tube")},
        "body_condition": {"bcs": str(data.get("score"))},
        "note": {},
    }.get(event["kind"], {event["kind"]: True})
    return {name: value for name, value in says.items() if value is not None}


def wrong_facts(day: NoisyDay, before: Export, after: Export) -> Iterable[str]:
    """Yield each new fact of the record that the truth does not give its animal."""
    old = _animals(before)
    for key, item in _animals(after).items():
        was = old.get(key)
        if was is None:
            yield f"{key} is a new animal that nobody asked for"
            continue
        yield from _wrong_events(day, was, item)
        yield from _wrong_tags(was, item)
        for part in sorted(set(item) - {"tags", "events", "sources"}):
            if item[part] != was[part]:
                yield f"{key} has another {part}: {item[part]}, not {was[part]}"


def _animals(export: Export) -> dict[str, dict[str, Any]]:
    return {item["id"]: item for item in export if "tags" in item}


def _wrong_events(day: NoisyDay, was: dict[str, Any], now: dict[str, Any]) -> Iterable[str]:
    true = day.world.get(UUID(now["id"]), {})
    known = {event["id"] for event in was["events"]}
    for event in now["events"]:
        if event["id"] in known:
            continue
        source = event["source"] or {}
        place = f"{source.get('file')}:{source.get('line')}"
        if event["on"] != day.worked_on.isoformat():
            yield f"{event['kind']} of {now['id']} is dated {event['on']} ({place})"
        for name, value in said_by(event).items():
            if name not in true or true[name] != value:
                yield f"{name} {value} was written on {now['id']}, true is {true.get(name)} ({place})"


def _wrong_tags(was: dict[str, Any], now: dict[str, Any]) -> Iterable[str]:
    """No tag goes on or comes off without a person."""
    worn = {tag["id"]: tag for tag in was["tags"]}
    for tag in now["tags"]:
        if worn.get(tag["id"]) != tag:
            yield f"{tag['kind']} {tag['number']} of {now['id']} was changed"


def faults_of(day: NoisyDay) -> Counter[Fault]:
    """How often each fault occurs."""
    return Counter(fault for line in day.lines for fault in line.faults)
