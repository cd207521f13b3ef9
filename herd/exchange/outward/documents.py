"""The collections of an outfit's record, and the files they are written to: one whole, or one for each collection."""

import json
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import IO, Any

from herd.exchange.kinds.table import RESOURCES, kinds_of
from herd.exchange.outward.animals import say_animals, say_births
from herd.exchange.outward.events import say_events
from herd.exchange.outward.places import say_joins, say_leaves, say_locations, say_sets
from herd.exchange.outward.scope import Scope

Collection = Callable[[Scope], Iterator[dict[str, Any]]]

# What others name comes before what names it.
COLLECTIONS: dict[str, Collection] = {
    "locations": say_locations,
    "animal-sets": say_sets,
    "animals": say_animals,
    "births": say_births,
    "animal-set-joins": say_joins,
    "animal-set-leaves": say_leaves,
    **{one.plural: partial(say_events, kinds=kinds_of(one.plural)) for one in RESOURCES.values()},
}


def say_all(scope: Scope) -> Iterator[dict[str, Any]]:
    """Yield every resource of the scope."""
    for collection in COLLECTIONS.values():
        yield from collection(scope)


def write_document(members: Iterable[dict[str, Any]], file: IO[str]) -> int:
    """Write one collection, a resource a line, and return how many there are."""
    count = 0
    file.write('{"member": [')
    for member in members:
        file.write((",\n" if count else "\n") + json.dumps(member, ensure_ascii=False, separators=(",", ":")))
        count += 1
    file.write(f'\n], "view": {{"totalItems": {count}}}}}\n')
    return count


def write_file(scope: Scope, path: Path) -> dict[str, int]:
    """Write all into one file; returns how many resources of each collection."""
    counts: dict[str, int] = {}
    with path.open("w", encoding="utf-8") as file:
        write_document(_counted(scope, counts), file)
    return counts


def _counted(scope: Scope, counts: dict[str, int]) -> Iterator[dict[str, Any]]:
    for name, collection in COLLECTIONS.items():
        counts[name] = 0
        for member in collection(scope):
            counts[name] += 1
            yield member


def write_folder(scope: Scope, folder: Path) -> dict[str, int]:
    """Write one file for each collection; returns how many resources each has."""
    folder.mkdir(parents=True, exist_ok=True)
    counts: dict[str, int] = {}
    for place, (name, collection) in enumerate(COLLECTIONS.items()):
        with (folder / f"{place + 1:02}-{name}.json").open("w", encoding="utf-8") as file:
            counts[name] = write_document(collection(scope), file)
    return counts
