"""The local copy of the herd: what is on its way, what is shown, and the numbers by which animals are found."""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from herd.client.store import Store

Card = dict[str, Any]
# A tag's kind, number and colour.
Number = tuple[str, str, str]
# One for all: to make one takes as long as to write a card with it.
WRITE = json.JSONEncoder(separators=(",", ":")).encode
# So many staged items are shown at a time, so that memory stays flat.
STEP = 5_000
# So many ids go into one question; old builds of SQLite take no more than 999.
MOST_ASKED = 500


class Item(NamedTuple):
    """One thing as it came, an animal or a row of a list: `text` is its card as stored, `into` who stands for it."""

    kind: str
    id: str
    state: str
    into: str | None
    card: Card
    text: str


def read_item(found: dict[str, Any], line: str = "") -> Item:
    """An item of what came; of the line that it came in, where there is one, its card is stored as it stands there.

    Raises KeyError, TypeError for what is no item.
    """
    card = found.get("card") or {}
    # The card stands last in its line: to write it anew would take longer than all else.
    is_last = bool(line) and next(reversed(found)) == "card"
    text = line[line.index('"card":') + 7 : line.rindex("}")] if is_last else WRITE(card)
    return Item(str(found["kind"]), str(found["id"]), str(found["state"]), found.get("into"), card, text)


def stage(store: Store, items: Iterable[Item]) -> None:
    """Keep items as they came, in the caller's transaction, without showing them yet; the later item counts."""
    store.run_many(
        "INSERT OR REPLACE INTO staged VALUES (?, ?, ?, ?, ?)",
        [(one.kind, one.id, one.state, one.into, one.text) for one in items],
    )


def unstage(store: Store) -> None:
    """Let go of what is on its way."""
    store.run("DELETE FROM staged")


def install(store: Store, items: Sequence[Item]) -> None:
    """Show a first copy in place of what was shown: what is staged, and the items that came last."""
    store.run("DELETE FROM card")
    store.run("DELETE FROM number WHERE dseq IS NULL")
    _show_all(store, items, is_new=True)


def install_changes(store: Store, items: Sequence[Item]) -> None:
    """Show what changed; what the server acknowledged before is in it, and needs no showing of its own any more."""
    _show_all(store, items, is_new=False)
    store.run(
        "DELETE FROM number WHERE dseq IN"
        " (SELECT dseq FROM operation WHERE is_pulled = 0 AND status IN ('applied', 'merged'))"
    )
    store.run("UPDATE operation SET is_pulled = 1 WHERE status IN ('applied', 'merged') AND is_pulled = 0")


def _show_all(store: Store, items: Sequence[Item], *, is_new: bool) -> None:
    if store.run("SELECT 1 FROM staged LIMIT 1").fetchone() is None:
        _show(store, items, is_new=is_new)
        return
    stage(store, items)
    for some in _staged(store):
        _show(store, some, is_new=is_new)
    unstage(store)


def _staged(store: Store) -> Iterator[list[Item]]:
    last = ("", "")
    while True:
        rows = store.run(
            "SELECT kind, id, state, animal, body FROM staged WHERE (kind, id) > (?, ?) ORDER BY kind, id LIMIT ?",
            [*last, STEP],
        ).fetchall()
        if not rows:
            return
        yield [Item(kind, key, state, into, json.loads(text), text) for kind, key, state, into, text in rows]
        last = rows[-1][:2]


def _show(store: Store, items: Sequence[Item], *, is_new: bool) -> None:
    """Put items in the place of what was shown of them; `is_new` where nothing was."""
    animals = [one for one in items if one.kind == "animal"]
    numbers = {one.id: _numbers_of(one) for one in animals}
    if not is_new:
        # Most of what changes leaves the tags alone, and each number stands in four indexes.
        shown_now = _numbers_shown(store, list(numbers))
        numbers = {key: own for key, own in numbers.items() if own != shown_now[key]}
        store.run_many("DELETE FROM number WHERE animal = ? AND dseq IS NULL", [[key] for key in numbers])
        gone = [(one.kind, one.id) for one in items if one.state != "in"]
        store.run_many("DELETE FROM card WHERE kind = ? AND id = ?", gone)
    shown = [one for one in items if one.state == "in"]
    merged = [(one.id, one.into) for one in animals if one.state == "merged"]
    store.run_many("INSERT OR REPLACE INTO alias VALUES (?, ?)", merged)
    if store.run("SELECT 1 FROM alias LIMIT 1").fetchone():
        store.run_many("DELETE FROM alias WHERE id = ?", [[one.id] for one in animals if one.state == "in"])
    cards = [(one.kind, one.id, one.card.get("group"), one.text) for one in shown]
    store.run_many("INSERT OR REPLACE INTO card VALUES (?, ?, ?, ?)", cards)
    rows = [(key, *tag, tag[1][::-1]) for key, own in numbers.items() for tag in own]
    store.run_many("INSERT INTO number VALUES (?, ?, ?, ?, ?, NULL)", rows)


def _numbers_of(one: Item) -> list[Number]:
    tags = one.card["tags"] if one.state == "in" else []
    return sorted((tag["kind"], tag["number"], tag["colour"]) for tag in tags)


def _numbers_shown(store: Store, animals: Sequence[str]) -> dict[str, list[Number]]:
    found: dict[str, list[Number]] = {key: [] for key in animals}
    for start in range(0, len(animals), MOST_ASKED):
        some = animals[start : start + MOST_ASKED]
        marks = ",".join("?" for _ in some)
        rows = store.run(
            "SELECT animal, kind, number, colour FROM number"
            f" WHERE animal IN ({marks}) AND dseq IS NULL ORDER BY kind, number, colour",
            some,
        )
        for animal, *tag in rows:
            found[animal].append(tuple(tag))
    return found


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
