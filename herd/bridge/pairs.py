"""Pairs: a weight joined with a number, by rule or by a person; each is one operation under one id for ever."""

from dataclasses import dataclass

from herd.bridge.keeping import Keeping, PairState, State, now
from herd.bridge.reading import Reading, ReadingKind
from herd.values.identity import new_id


class Settled(Exception):  # noqa: N818
    """The reading does not wait for a person any more; somebody was faster."""

    def __init__(self) -> None:
        super().__init__("That has been settled already; the page shows what still waits.")


@dataclass(frozen=True, slots=True)
class Pair:
    """A pair as it is shown and delivered; `number` is what was read or typed, `number_id` the reading where read."""

    id: str
    number: str
    number_id: str
    weight: Reading
    state: PairState
    reason: str
    by: str


def join(keeping: Keeping, weight: str, number: str) -> str:
    """Join two waiting readings, durably; the pair stays open while its turn goes on. Its id is returned."""
    key = str(new_id())
    with keeping.writing():
        keeping.run(
            "INSERT INTO pair (id, weight, number, state, made_at) VALUES (?, ?, ?, ?, ?)",
            [key, weight, number, PairState.OPEN, now()],
        )
        keeping.mark(weight, State.PAIRED)
        keeping.mark(number, State.PAIRED)
    return key


def seal(keeping: Keeping, weight: str) -> None:
    """The turn is over: the pair may go to the record."""
    with keeping.writing():
        keeping.run(
            "UPDATE pair SET state = ? WHERE weight = ? AND state = ?", [PairState.READY, weight, PairState.OPEN]
        )


def take_apart(keeping: Keeping, weight: str, number: str, reason: str) -> None:
    """The pair has turned out to be doubtful: both readings are kept for a person."""
    with keeping.writing():
        keeping.run(
            "UPDATE pair SET state = ?, reason = ? WHERE weight = ? AND state IN (?, ?)",
            [PairState.APART, reason, weight, PairState.OPEN, PairState.READY],
        )
        keeping.mark(weight, State.KEPT, reason)
        keeping.mark(number, State.KEPT, reason)


def resume(keeping: Keeping) -> None:
    """After the program ended in mid-turn: what was beeped goes, what waited is kept for a person."""
    with keeping.writing():
        keeping.run("UPDATE pair SET state = ? WHERE state = ?", [PairState.READY, PairState.OPEN])
        keeping.run(
            "UPDATE reading SET state = ?, reason = ? WHERE state = ?",
            [State.KEPT, "The bridge ended before its other half came.", State.WAITING],
        )


def join_by_person(keeping: Keeping, weight: str, number: str, typed: str = "") -> str:
    """Join a kept weight with a kept number, or with a number that a person typed; raises Settled."""
    key = str(new_id())
    with keeping.writing():
        _take(keeping, weight, ReadingKind.WEIGHT)
        if number:
            _take(keeping, number, ReadingKind.NUMBER)
        keeping.run(
            "INSERT INTO pair (id, weight, number, typed, state, by, made_at) VALUES (?, ?, ?, ?, ?, 'person', ?)",
            [key, weight, number, typed, PairState.READY, now()],
        )
    return key


def set_aside(keeping: Keeping, reading: str, reason: str) -> None:
    """A person says that a reading is of no use; it stays, with the reason. Raises Settled."""
    _move(keeping, reading, State.KEPT, State.ASIDE, reason)


def put_back(keeping: Keeping, reading: str) -> None:
    """A person takes back that a reading was set aside; raises Settled."""
    _move(keeping, reading, State.ASIDE, State.KEPT, "It was set aside before.")


def pairs(keeping: Keeping, states: tuple[PairState, ...], most: int = 200) -> list[Pair]:
    """The latest pairs in these states, oldest first."""
    marks = ",".join("?" for _ in states)
    rows = keeping.run(
        "SELECT pair.id, COALESCE(number.value, pair.typed), pair.number, pair.weight, pair.state, pair.reason, pair.by"
        " FROM pair LEFT JOIN reading AS number ON number.id = pair.number"
        f" WHERE pair.state IN ({marks}) ORDER BY pair.id DESC LIMIT ?",
        [*states, most],
    ).fetchall()
    found = []
    for key, number, number_id, weight, state, reason, by in reversed(rows):
        reading = keeping.reading(weight)
        if reading is not None:
            found.append(Pair(key, number, number_id, reading, PairState(state), reason, by))
    return found


def note_given(keeping: Keeping, pair: str) -> None:
    """The client's outbox has the pair."""
    with keeping.writing():
        keeping.run("UPDATE pair SET state = ? WHERE id = ?", [PairState.GIVEN, pair])


def _take(keeping: Keeping, reading: str, kind: ReadingKind) -> None:
    found = keeping.reading(reading)
    if found is None or found.kind is not kind or found.state != State.KEPT:
        raise Settled
    keeping.mark(reading, State.PAIRED)


def _move(keeping: Keeping, reading: str, source: State, target: State, reason: str) -> None:
    with keeping.writing():
        moved = keeping.run(
            "UPDATE reading SET state = ?, reason = ? WHERE id = ? AND state = ?", [target, reason, reading, source]
        )
        if moved.rowcount != 1:
            raise Settled
