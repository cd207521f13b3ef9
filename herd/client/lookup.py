"""Finds animals without the server: by EID, by visual tag, by the last digits, by group; what is pending on top."""

from collections.abc import Iterable, Sequence
from datetime import tzinfo
from uuid import UUID
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from herd.client.copy import Card, card, ending_with, ids_of, in_group, rows_of, standing_for, wearing
from herd.client.faults import NotHere, Unfit
from herd.client.overlay import Pending, all_pending, pending_of, shown
from herd.client.store import Store
from herd.client.subjects import KINDS, Subject, as_id, read_subject, read_typed

MOST_FOUND = 50
FEWEST_DIGITS = 3


def find(store: Store, number: str, colour: str = "") -> list[Card]:
    """The animals that wear a number; where none does, those with a number that ends so, if it has three digits."""
    try:
        typed = read_typed(number)
    except Unfit:
        # What is no whole number may still be the end of one.
        return _ending(store, number)
    kinds = ("eid",) if typed.kind == "eid" else tuple(kind for kind in KINDS if kind != "eid")
    wanted = wearing(store, kinds, typed.number, colour or typed.colour)
    found = [one for one in _cards(store, wanted) if _wears(one, typed.number)]
    return found or _ending(store, typed.number)


def _ending(store: Store, number: str) -> list[Card]:
    digits = "".join(number.split()).upper()
    if len(digits) < FEWEST_DIGITS:
        return []
    some = _cards(store, ending_with(store, digits, MOST_FOUND))
    return [one for one in some if any(tag["number"].endswith(digits) for tag in one["tags"])]


def _wears(found: Card, number: str) -> bool:
    return any(tag["number"] == number for tag in found["tags"])


def _cards(store: Store, ids: Iterable[str]) -> list[Card]:
    once = dict.fromkeys(standing_for(store, one) for one in ids)
    return [found for one in once if (found := animal(store, one)) is not None]


def animal(store: Store, key: str, more: Sequence[Pending] = ()) -> Card | None:
    """An animal's card with what is pending on top, `more` last; by any id that it has been known by here."""
    key = standing_for(store, key)
    found, ids = card(store, "animal", key), ids_of(store, key)
    names = [f"animal:{one}" for one in ids]
    pending = pending_of(store, [*names, *_numbers(store, ids)])
    return shown(found, [*pending, *(one for one in more if one.who in names)], zone_of(store))


def _numbers(store: Store, names: Sequence[str]) -> list[str]:
    """The numbers that name this animal alone here, as operations say whose they are: with or without a colour."""
    marks = ",".join("?" for _ in names)
    found = []
    mine = store.run(f"SELECT DISTINCT kind, number, colour FROM number WHERE animal IN ({marks})", list(names))
    for kind, number, colour in mine.fetchall():
        others = store.run(
            f"SELECT colour FROM number WHERE number = ? AND kind = ? AND animal NOT IN ({marks})",
            [number, kind, *names],
        ).fetchall()
        if not others:
            found.append(f"{kind}:{number}")
        if colour and (colour,) not in others:
            found.append(f"{kind}:{number}:{colour}")
    return found


def expected(store: Store, group: str) -> list[Card]:
    """The animals of a group that are on hand, with moves, sales and registrations of ours already counted."""
    pending = all_pending(store)
    touched = {standing_for(store, who.partition(":")[2]) for who in pending if who.startswith("animal:")}
    for who in pending:
        kind, _, rest = who.partition(":")
        if kind != "animal":
            touched |= set(wearing(store, [kind], *rest.split(":")[:2]))
    zone, found = zone_of(store), []
    for key in sorted({*in_group(store, group), *touched}):
        one = animal(store, key) if key in touched else shown(card(store, "animal", key), [], zone)
        if one is not None and one["group"] == group and one["status"] == "on_hand":
            found.append(one)
    return found


def the_animal(store: Store, subject: Subject) -> str:
    """The id of the one animal that is meant, for work that needs its card; raises NotHere, Unfit."""
    sent, _ = read_subject(subject)
    if "animal" in sent:
        return sent["animal"]
    kind = next((one for one in KINDS if one in sent), "")
    if not kind:
        raise NotHere("A sample tube alone does not name an animal here.")
    found = wearing(store, [kind], sent[kind], sent.get("vid_colour", ""))
    found = list(dict.fromkeys(standing_for(store, one) for one in found))
    if len(found) != 1:
        how = "No animal wears" if not found else f"{len(found)} animals wear"
        raise NotHere(f"{how} {sent[kind]} here: name the animal by another number, or after the next sync.")
    return found[0]


def group_called(store: Store, group: UUID | str) -> str:
    """The id of a group, given as such or by its name; raises NotHere."""
    key = as_id(group)
    if key is not None:
        return str(key)
    wanted = " ".join(str(group).split()).casefold()
    found = [one["id"] for one in rows_of(store, "group") if str(one["name"]).casefold() == wanted]
    if len(found) != 1:
        raise NotHere(f"There is no one group called {str(group)[:60]!r} here.")
    return str(found[0])


def zone_of(store: Store) -> tzinfo | None:
    """The outfit's time zone; this machine's until the outfit's is known."""
    try:
        return ZoneInfo(store.get("time_zone")) if store.get("time_zone") else None
    except (ZoneInfoNotFoundError, ValueError):
        return None

