"""The outbox: operations stored before anything else happens with them, kept until long after they were answered."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from herd.client.faults import Unfit
from herd.client.store import Store
from herd.values.identity import new_id

KEPT = timedelta(days=30)
MOST_IN_GROUP = 100
# A group has to fit into a push, however small the server's limit may be set one day.
MOST_BYTES_IN_GROUP = 256 * 1024
UNSENT = "unsent"
IN_RECORD = ("applied", "merged")


@dataclass(frozen=True, slots=True)
class Draft:
    """An operation that is about to be stored; `who` says whose it is for the local view, as `animal:` and an id."""

    kind: str
    members: Mapping[str, Any]
    who: str
    # The tags that it puts on: the animal's id, and kind, number and colour.
    tags: Sequence[tuple[str, str, str, str]] = ()
    op_id: UUID = field(default_factory=new_id)


@dataclass(frozen=True, slots=True)
class Packed:
    """An operation as it lies in the outbox, and as it travels."""

    dseq: int
    op_id: str
    group: str | None
    body: str


Unit = list[Packed]


def add(store: Store, drafts: Sequence[Draft], group: str | None = None) -> None:
    """Store operations durably, all or none, under the device's next numbers; raises Unfit and NotStored."""
    _check(drafts)
    with store.writing():
        first = int(store.get("next_dseq") or 1)
        for dseq, draft in enumerate(drafts, first):
            body: dict[str, Any] = {"op_id": str(draft.op_id), "dseq": dseq, "kind": draft.kind, **draft.members}
            if group:
                body["group"] = group
            store.run(
                "INSERT INTO operation (dseq, op_id, grp, kind, who, body) VALUES (?, ?, ?, ?, ?, ?)",
                [dseq, str(draft.op_id), group, draft.kind, draft.who, _json(body)],
            )
            store.run_many(
                "INSERT INTO number VALUES (?1, ?2, ?3, ?4, backwards(?3), ?5)", [(*tag, dseq) for tag in draft.tags]
            )
        store.put(next_dseq=str(first + len(drafts)))


def _check(drafts: Sequence[Draft]) -> None:
    if len(drafts) > MOST_IN_GROUP:
        raise Unfit(f"At most {MOST_IN_GROUP} things go together whole or not at all.")
    if sum(len(_json(draft.members)) for draft in drafts) > MOST_BYTES_IN_GROUP:
        raise Unfit("That is too long to be sent.")


def _json(value: object) -> str:
    """JSON that every server reads; raises Unfit."""
    try:
        text = json.dumps(value, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
        text.encode()
    except (TypeError, ValueError) as problem:
        raise Unfit(f"That can't be written down as JSON ({problem}).") from problem
    if "\\u0000" in text:
        raise Unfit("That holds a character (NUL) that can't be kept.")
    return text


def units(store: Store, most: int, most_bytes: int, but: Sequence[int] = ()) -> list[Unit]:
    """The oldest unsent operations, as many as fit into a push; those of one group stay together."""
    left_out = ",".join(map(str, but)) or "0"
    rows = store.run(
        f"SELECT dseq, op_id, grp, body FROM operation WHERE status = ? AND dseq NOT IN ({left_out})"
        " ORDER BY tries, dseq LIMIT ?",
        [UNSENT, most + MOST_IN_GROUP],
    ).fetchall()
    found: list[Unit] = []
    count = size = 0
    for unit in _grouped(Packed(*row) for row in rows):
        count += len(unit)
        size += sum(len(one.body.encode()) + 1 for one in unit)
        if found and (count > most or size > most_bytes):
            break
        found.append(unit)
    return found


def _grouped(packed: Iterator[Packed]) -> Iterator[Unit]:
    unit: Unit = []
    for one in packed:
        if unit and (one.group is None or one.group != unit[-1].group):
            yield unit
            unit = []
        unit.append(one)
    if unit:
        yield unit


def acknowledge(store: Store, answers: Sequence[Mapping[str, Any]], epoch: str, server_time: str) -> None:
    """Keep the answers and take what they answer out of the outbox, in one step; times are the server's."""
    ids = [str(answer["op_id"]) for answer in answers]
    rows = [
        (str(answer["status"]), _json(answer), epoch, server_time, op_id)
        for op_id, answer in zip(ids, answers, strict=True)
    ]
    with store.writing():
        store.put(server_time=server_time)
        store.run_many(
            "UPDATE operation SET status = ?, answer = ?, epoch = ?, answered_at = ? WHERE op_id = ?", rows
        )
        _note_other_animals(store, dict(zip(ids, answers, strict=True)))


def _note_other_animals(store: Store, answers: Mapping[str, Mapping[str, Any]]) -> None:
    """Remember for which animals of the record those that were registered here turned out to stand."""
    marks = ",".join("?" for _ in answers)
    rows = store.run(
        f"SELECT op_id, body FROM operation WHERE kind = 'animal.register' AND op_id IN ({marks})", list(answers)
    ).fetchall()
    for op_id, body in rows:
        ours, theirs = json.loads(body)["subject"]["animal"], answers[op_id].get("animal")
        if theirs not in (None, ours):
            store.run("INSERT OR REPLACE INTO alias VALUES (?, ?)", [ours, str(theirs)])


def note_trouble(store: Store, unit: Unit) -> None:
    """Let others go before what the server could not take."""
    with store.writing():
        store.run_many("UPDATE operation SET tries = tries + 1 WHERE dseq = ?", [[one.dseq] for one in unit])


def doubt_all(store: Store) -> None:
    """Take no acknowledgement for granted: the server may have been put back to an earlier state."""
    with store.writing():
        store.run("UPDATE operation SET epoch = '' WHERE status != ?", [UNSENT])


def of_other_epochs(store: Store, epoch: str, most: int) -> list[str]:
    """Ids of acknowledged operations of which the server has not said in this epoch that it has them."""
    rows = store.run(
        "SELECT op_id FROM operation WHERE status != ? AND epoch != ? ORDER BY dseq LIMIT ?", [UNSENT, epoch, most]
    )
    return [row[0] for row in rows]


def put_back(store: Store, op_ids: Sequence[str]) -> None:
    """Put operations that the server lacks back into the outbox."""
    with store.writing():
        store.run_many(
            "UPDATE operation SET status = 'unsent', answer = '{}', epoch = '', is_pulled = 0 WHERE op_id = ?",
            [[one] for one in op_ids],
        )


def waiting_ids(store: Store, most: int) -> list[str]:
    """Ids of the latest operations that wait for a person, for what they depend on, or are on their way."""
    rows = store.run(
        "SELECT op_id FROM operation WHERE status IN ('held', 'review', 'relayed') ORDER BY dseq DESC LIMIT ?", [most]
    )
    return [row[0] for row in rows]


def prune(store: Store) -> None:
    """Forget what has been in the record for thirty days by the server's clock, since ours may be wrong."""
    told = store.get("server_time")
    if not told:
        return
    until = datetime.fromisoformat(told) - KEPT
    with store.writing():
        store.run(
            "DELETE FROM operation WHERE status IN (?, ?) AND julianday(answered_at) < julianday(?)",
            [*IN_RECORD, until.isoformat()],
        )
