"""The numbers of an animal as its resource tells them: by the standard those it wears now, by the extension all."""

from datetime import date
from typing import Any

from herd.accounts.models import Outfit
from herd.exchange.moments import read_day
from herd.exchange.names import EXTENSION, TAG_SCHEMES, as_uuid, counterpart, source_of
from herd.exchange.node import BadValue, Node
from herd.exchange.whole import PRECISIONS
from herd.intake.deciding.tags import READING_KEYS
from herd.registry.models import TagKind, WearingBegan, WearingEnded
from herd.values.problems import Unreadable
from herd.values.tagnumbers import read_tag_number

KINDS = {kind.value: kind.value for kind in TagKind}
BEGAN = {one.value: one.value for one in WearingBegan}
ENDED = {one.value: one.value for one in WearingEnded}
MOST_WORN = 60
LAST_YEAR = 2_200


def read_numbers(node: Node) -> tuple[dict[str, str], list[BadValue]]:
    """The numbers it wears, as readings of a row, and those that can't be taken, each with its reason."""
    found: dict[str, str] = {}
    bad: list[BadValue] = []
    for one in node.listed("alternativeIdentifiers"):
        try:
            _add(found, one, one.as_identifier())
        except BadValue as problem:
            bad.append(problem)
    main, short = node.identifier("identifier"), node.text("managementTag", 40).strip()
    if main is not None and main[0] in TAG_SCHEMES:
        _add(found, node.inside("identifier"), main)
    if short and "vid" not in found:
        try:
            _put(found, "vid", read_tag_number("vid", short))
        except Unreadable as problem:
            bad.append(node.refuse("managementTag", problem.reason))
    return found, bad


def _add(found: dict[str, str], node: Node, identifier: tuple[str, str]) -> None:
    kind = TAG_SCHEMES.get(identifier[0])
    if kind is None:
        raise node.refuse("scheme", f"Numbers of the scheme {identifier[0][:60]!r} are of no kind of tag kept here.")
    if READING_KEYS[kind] not in found:
        _put(found, kind, number_of(node, "id", kind))


def number_of(node: Node, key: str, kind: str) -> Any:
    """A tag's number in the record's spelling; raises BadValue."""
    text = node.needed(key, 40).strip()
    if kind == "eid" and text.startswith("USA") and len(text) == 16:
        # The two spellings of an official number: USA and thirteen figures, 840 and twelve.
        text = f"840{text[4:]}" if text[3] == "0" else text
    try:
        return read_tag_number(kind, text)
    except Unreadable as problem:
        raise node.refuse(key, problem.reason) from problem


def _put(found: dict[str, str], kind: str, tag: Any) -> None:
    found[READING_KEYS[kind]] = tag.number
    if kind == "vid" and tag.colour:
        found["vid_colour"] = tag.colour


def worn_now(worn: list[dict[str, Any]]) -> dict[str, str]:
    """Of wearings told whole, the numbers that are on the animal, as readings of a row."""
    found: dict[str, str] = {}
    for one in sorted(worn, key=lambda one: bool(one["is_second"])):
        key = READING_KEYS[one["kind"]]
        if not one["ended"] and key not in found:
            found[key] = one["number"]
            if one["kind"] == "vid" and one["colour"]:
                found["vid_colour"] = one["colour"]
    return found


def read_wearings(node: Node, outfit: Outfit, today: date) -> list[dict[str, Any]]:
    """All wearings that the extension tells, as a row carries them; raises BadValue."""
    source = node.inside("meta").text("source", 200) or source_of(outfit)
    found = [_wearing(one, outfit, source, today) for one in node.inside(EXTENSION).listed("tags")]
    own = node.inside(EXTENSION)
    if len(found) > MOST_WORN:
        raise own.refuse("tags", f"An animal with more than {MOST_WORN} tags is not taken.")
    on = [one for one in found if not one["ended"]]
    if sum(one["kind"] == "eid" and not one["is_second"] for one in on) > 1:
        raise own.refuse("tags", "An animal wears one EID, unless a second has its reason.")
    if len({(one["kind"], one["number"], one["colour"], one["issuer_year"]) for one in on}) < len(on):
        raise own.refuse("tags", "One tag is told twice.")
    return found


def _wearing(node: Node, outfit: Outfit, source: str, today: date) -> dict[str, Any]:
    kind = node.choice("kind", KINDS)
    if kind is None:
        raise node.refuse("kind", "The kind of tag is missing.")
    given = node.needed("id", 100)
    start, end, year = read_day(node, "from"), read_day(node, "to"), node.whole("issuerYear") or 0
    if (start and start > today) or (end and end > today):
        raise node.refuse("to" if end and end > today else "from", "The day lies in the future.")
    if start and end and end < start:
        raise node.refuse("to", f"It went on on {start}; it can't have come off on {end}.")
    if not 0 <= year <= LAST_YEAR:
        raise node.refuse("issuerYear", "This is no year.")
    ended = node.choice("ended", ENDED) or ""
    if end and not ended:
        raise node.refuse("ended", "A tag that came off needs a reason why.")
    replaces, second = node.text("replaces", 100), node.text("secondReason", 120)
    own = str(counterpart(outfit, source, given))
    return {
        "id": own,
        "ids": [own, *([given] if as_uuid(given) else [])],
        "kind": kind,
        # A visual number with its colour is kept apart in the record; others have a spelling of their own.
        "number": node.needed("number", 30) if kind == "vid" else number_of(node, "number", kind).number,
        "colour": node.text("colour", 12),
        "issuer_year": year,
        "from": start.isoformat() if start else None,
        "precision": node.choice("precision", PRECISIONS) or ("day" if start else "unknown"),
        "began": node.choice("began", BEGAN) or "tagged",
        "to": end.isoformat() if end else None,
        "ended": ended,
        "is_second": node.flag("isSecond"),
        "second_reason": second,
        "ended_reason": node.text("endedReason", 120),
        "removed_at": node.text("removedAt", 120),
        "replaces": str(counterpart(outfit, source, replaces)) if replaces else None,
    }
