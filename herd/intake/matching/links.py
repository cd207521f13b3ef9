"""What the files of a day tell of each other's numbers: EIDs beside visual tags, and who was read."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import replace
from statistics import median
from uuid import UUID

from herd.intake.matching.numbers import Numbers, Row
from herd.intake.matching.seen import Seen
from herd.intake.matching.view import View

# A reader says something about who was there once it saw this share of the group, or of the day's animals.
TELLING_SHARE = 0.6
# Two files agree on the minute where their clocks differ by a constant; further off than this is another head.
MINUTE_SECONDS = 240
LEAST_PAIRS = 10


def join_numbers(rows: Iterable[Row], view: View) -> None:
    """Give a row the EID or visual tag that other rows of the day name beside its own, or beside its tube.

    Only for numbers that the record does not know, and only where the day's files agree on one.
    """
    listed = list(rows)
    _join_tubes(listed, view)
    eids: dict[tuple[str, str], set[str]] = defaultdict(set)
    vids: dict[str, set[tuple[str, str]]] = defaultdict(set)
    for row in listed:
        if row.numbers.eid and row.numbers.vid:
            eids[(row.numbers.vid, row.numbers.colour)].add(row.numbers.eid)
            vids[row.numbers.eid].add((row.numbers.vid, row.numbers.colour))
    for row in listed:
        row.numbers = _joined(row.numbers, view, eids, vids)


def _join_tubes(rows: list[Row], view: View) -> None:
    """Give a row that has nothing but a tube the numbers of the animal that was sampled with it that day."""
    sampled: dict[str, set[Numbers]] = defaultdict(set)
    for row in rows:
        if row.numbers.tube and not _is_bare_tube(row.numbers):
            sampled[row.numbers.tube].add(row.numbers)
    for row in rows:
        if _is_bare_tube(row.numbers) and row.numbers.tube not in view.tubes:
            named = sampled.get(row.numbers.tube, set())
            row.numbers = next(iter(named)) if len(named) == 1 else row.numbers


def _is_bare_tube(numbers: Numbers) -> bool:
    return bool(numbers.tube) and numbers.key == f"tube {numbers.tube}"


def _joined(
    numbers: Numbers,
    view: View,
    eids: dict[tuple[str, str], set[str]],
    vids: dict[str, set[tuple[str, str]]],
) -> Numbers:
    if numbers.eid and not numbers.vid and not view.wearers("eid", numbers.eid):
        beside = vids.get(numbers.eid, set())
        if len(beside) == 1:
            vid, colour = next(iter(beside))
            return replace(numbers, vid=vid, colour=colour)
    if numbers.vid and not numbers.eid and not view.wearers("vid", numbers.vid):
        known = eids.get((numbers.vid, numbers.colour), set())
        if len(known) == 1:
            return replace(numbers, eid=next(iter(known)))
    return numbers


def who_was_seen(rows: Iterable[Row], view: View) -> Seen:
    """Tell whose EIDs were read that day, and whether not being read says anything."""
    listed = list(rows)
    animals = {
        one.animal_id for row in listed if row.numbers.eid for one in view.wearers("eid", row.numbers.eid)
    }
    by_tag = {
        one.animal_id
        for row in listed
        if not row.numbers.eid and row.numbers.vid
        for one in view.wearers("vid", row.numbers.vid)
    }
    concerned = view.expected or (animals | by_tag)
    is_telling = bool(concerned) and len(animals & concerned) >= TELLING_SHARE * len(concerned)
    seen = Seen(frozenset(animals), is_telling=is_telling)
    seen.off_minute = _off_minute(listed, view)
    return seen


def _off_minute(rows: list[Row], view: View) -> dict[Numbers, set[UUID]]:
    """Name rows whose visual tag was read minutes away from the EID of the animal that wears it.

    For each file with times but without EIDs, the clocks' difference is the median over its rows; a row far
    from it belongs to another head than its number says.
    """
    read_at = _minutes_of_eids(rows, view)
    by_file: dict[UUID, list[tuple[Row, UUID, int]]] = defaultdict(list)
    for row in rows:
        if row.numbers.eid or not row.numbers.vid or not row.readings.get("time"):
            continue
        wearers = {one.animal_id for one in view.wearers("vid", row.numbers.vid)}
        if len(wearers) == 1 and (animal := next(iter(wearers))) in read_at:
            by_file[row.file].append((row, animal, seconds_of(row.readings["time"]) - read_at[animal]))
    found: dict[Numbers, set[UUID]] = defaultdict(set)
    for pairs in by_file.values():
        if len(pairs) < LEAST_PAIRS:
            continue
        usual = median(gap for _, _, gap in pairs)
        far = [pair for pair in pairs if abs(pair[2] - usual) > MINUTE_SECONDS]
        # Times that agree for few rows only say nothing: the files were not made side by side.
        if len(far) <= len(pairs) // 5:
            for row, animal, _ in far:
                found[row.numbers].add(animal)
    return found


def _minutes_of_eids(rows: list[Row], view: View) -> dict[UUID, int]:
    read_at: dict[UUID, int] = {}
    times = Counter(row.file for row in rows if row.numbers.eid and row.readings.get("time"))
    if not times:
        return read_at
    reader = times.most_common(1)[0][0]
    for row in rows:
        if row.file == reader and row.numbers.eid and row.readings.get("time"):
            for one in view.wearers("eid", row.numbers.eid):
                read_at.setdefault(one.animal_id, seconds_of(row.readings["time"]))
    return read_at


def seconds_of(text: str) -> int:
    """Seconds since midnight of a time as readings hold it."""
    parts = [int(float(part)) for part in text.split(":")[:3]]
    return sum(part * unit for part, unit in zip(parts, (3600, 60, 1), strict=False))
