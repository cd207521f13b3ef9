"""The local copy of the herd: what is on its way, what is shown, and the numbers by which animals are found."""

import json
from collections.abc import Iterable, Sequence
from typing import Any

from herd.client.store import Store

Card = dict[str, Any]

_SHOW = """
INSERT OR REPLACE INTO card SELECT kind, id, json_extract(body, '$.group'), body FROM staged WHERE state = 'in'
"""
_NUMBERS = """
INSERT INTO number
SELECT staged.id, json_extract(tag.value, '$.kind'), json_extract(tag.value, '$.number'),
    json_extract(tag.value, '$.colour'), backwards(json_extract(tag.value, '$.number')), NULL
FROM staged, json_each(staged.body, '$.tags') AS tag WHERE staged.kind = 'animal' AND staged.state = 'in'
"""


def stage(store: Store, items: Iterable[dict[str, Any]]) -> None:
    """Keep items as they came, in the caller's transaction, without showing them yet; the later item counts."""
    store.run_many(
        "INSERT OR REPLACE INTO staged VALUES (?, ?, ?, ?, ?)",
        [
            (one["kind"], str(one["id"]), one["state"], one.get("into"), json.dumps(one.get("card")))
            for one in items
        ],
    )


def unstage(store: Store) -> None:
    """Let go of what is on its way."""
    store.run("DELETE FROM staged")


def install(store: Store) -> None:
    """Show a first copy in place of what was shown."""
    store.run("DELETE FROM card")
    store.run("DELETE FROM number WHERE dseq IS NULL")
    _show(store)


def install_changes(store: Store) -> None:
    """Show what changed; what the server acknowledged before is in it, and needs no showing of its own any more."""
    store.run("DELETE FROM number WHERE dseq IS NULL AND animal IN (SELECT id FROM staged WHERE kind = 'animal')")
    store.run("DELETE FROM card WHERE (kind, id) IN (SELECT kind, id FROM staged)")
    store.run("INSERT OR REPLACE INTO alias SELECT id, animal FROM staged WHERE state = 'merged'")
    _show(store)
    store.run("UPDATE operation SET is_pulled = 1 WHERE status IN ('applied', 'merged') AND is_pulled = 0")
    store.run("DELETE FROM number WHERE dseq IN (SELECT dseq FROM operation WHERE is_pulled)")


def _show(store: Store) -> None:
    store.run("DELETE FROM alias WHERE id IN (SELECT id FROM staged WHERE kind = 'animal' AND state = 'in')")
    store.run(_SHOW)
    store.run(_NUMBERS)
    unstage(store)


def standing_for(store: Store, animal: str) -> str:
    """The animal that stands for an id now: itself, or the one that it was merged into or turned out to be."""
    seen: set[str] = set()
    while animal not in seen:
        seen.add(animal)
        row = store.run("SELECT animal FROM alias WHERE id = ?", [animal]).fetchone()
        animal = row[0] if row else animal
    return animal


def ids_of(store: Store, animal: str) -> list[str]:
    """All ids under which an animal has been known here, its own first."""
    rows = store.run(
        "WITH RECURSIVE known(id) AS (SELECT ? UNION SELECT alias.id FROM alias JOIN known ON alias.animal = known.id)"
        " SELECT id FROM known",
        [animal],
    )
    return [row[0] for row in rows]


def card(store: Store, kind: str, key: str) -> Card | None:
    """One card as the server sent it."""
    row = store.run("SELECT body FROM card WHERE kind = ? AND id = ?", [kind, key]).fetchone()
    return json.loads(row[0]) if row else None


def rows_of(store: Store, kind: str) -> list[Card]:
    """All rows of a list: groups, locations, products."""
    rows = store.run("SELECT body FROM card WHERE kind = ? ORDER BY json_extract(body, '$.name')", [kind])
    return [json.loads(row[0]) for row in rows]


def in_group(store: Store, group: str) -> list[str]:
    """Ids of the animals whose cards are in a group."""
    rows = store.run("SELECT id FROM card WHERE grp = ? AND kind = 'animal' ORDER BY id", [group])
    return [row[0] for row in rows]


def wearing(store: Store, kinds: Sequence[str], number: str, colour: str = "") -> list[str]:
    """Ids of animals that wear exactly this number, also by operations of ours; each once."""
    marks = ",".join("?" for _ in kinds)
    rows = store.run(
        f"SELECT DISTINCT animal FROM number WHERE number = ? AND kind IN ({marks}) AND (? = '' OR colour = ?)"
        " ORDER BY animal",
        [number, *kinds, colour, colour],
    )
    return [row[0] for row in rows]


def ending_with(store: Store, digits: str, most: int) -> list[str]:
    """Ids of animals with a number that ends so."""
    back = digits[::-1]
    rows = store.run(
        "SELECT DISTINCT animal FROM number WHERE back >= ? AND back < ? ORDER BY animal LIMIT ?",
        [back, back + "\U0010ffff", most],
    )
    return [row[0] for row in rows]
