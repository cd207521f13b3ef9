"""Reads operations as they come: nothing in one of them stops the others, whatever it is."""

import hashlib
import json
import re
from datetime import datetime
from typing import Any
from uuid import UUID

from herd.sync.protocol import KINDS, Malformed, Sent
from herd.values.deviceclock import Clock, Told, corrected
from herd.values.problems import Unreadable
from herd.values.tagnumbers import read_tag_number

NUMBER_KINDS = ("eid", "vid", "nues", "tattoo", "brand")
LARGEST_DSEQ = 2**63 - 1
UNKEPT = "It holds characters or numbers that can't be kept."
_NUL = re.compile(r"(?<!\\)((?:\\\\)*)\\u0000")
_SURROGATE = re.compile("[\ud800-\udfff]")


class Unfit(ValueError):  # noqa: N818
    """A member of an operation is not what it must be."""

    def __init__(self, pointer: str, reason: str) -> None:
        super().__init__(reason)
        self.pointer = pointer


def digest_of(body: Any) -> str:
    """The SHA-256 of an operation's content, the same however its members are ordered."""
    plain = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(plain.encode("utf-8", "surrogatepass")).hexdigest()


def keepable(body: Any) -> Any:
    """The content as every database can keep it; the same object where nothing had to be replaced.

    PostgreSQL's jsonb takes neither NUL nor half a surrogate pair, and no database an endless number.
    """
    if _is_plain(body):
        return body
    plain = json.dumps(body, ensure_ascii=False)
    found = json.loads(_SURROGATE.sub("\ufffd", _NUL.sub(r"\1\\ufffd", plain)), parse_constant=str)
    return body if json.dumps(found, ensure_ascii=False) == plain else found


def _is_plain(body: Any) -> bool:
    """Whether there is surely nothing in it to be replaced, which is soon seen of nearly all."""
    try:
        plain = json.dumps(body, ensure_ascii=False, allow_nan=False)
    except ValueError:
        return False
    return "\\u0000" not in plain and not _SURROGATE.search(plain)


def read_operation(body: Any, contact: Clock | None, now: datetime) -> Sent | Malformed:
    """Read one operation; what is wrong with it comes back as Malformed."""
    digest, op_id, kept = digest_of(body), None, keepable(body)
    if kept is not body:
        return Malformed(kept, digest, UNKEPT, op_id=_id_or_none(kept))
    try:
        if not isinstance(body, dict):
            raise Unfit("", "An operation is an object.")
        op_id = read_id(body.get("op_id"), "/op_id")
        kind = body.get("kind")
        if not isinstance(kind, str) or kind not in KINDS:
            raise Unfit("/kind", f"There is no kind of operation called {str(kind)[:40]!r}.")
        dseq = body.get("dseq", 0)
        if not isinstance(dseq, int) or isinstance(dseq, bool) or not 0 <= dseq <= LARGEST_DSEQ:
            raise Unfit("/dseq", "The device's own number of an operation is a whole number.")
        animal, numbers = _subject(body.get("subject"))
        at = read_moment(body.get("at"), "/at")
        told = _told(body, at, contact, now)
        return Sent(op_id, dseq, kind, body, digest, told, str(body["at"])[:40], animal, numbers)
    except Unfit as unfit:
        return Malformed(body, digest, str(unfit), unfit.pointer, op_id)


def read_id(value: Any, pointer: str) -> UUID:
    """Read an id; raises Unfit."""
    try:
        return UUID(str(value))
    except ValueError as problem:
        raise Unfit(pointer, "An id is a UUID (RFC 9562).") from problem


def _id_or_none(body: Any) -> UUID | None:
    try:
        return read_id(body.get("op_id"), "/op_id")
    except (Unfit, AttributeError):
        return None


def read_moment(value: Any, pointer: str) -> datetime:
    """Read a moment with its offset (RFC 3339); raises Unfit."""
    try:
        moment = datetime.fromisoformat(str(value))
    except ValueError as problem:
        raise Unfit(pointer, "A moment is written as 2026-03-14T08:30:00-07:00.") from problem
    if moment.tzinfo is None or not 1990 <= moment.year <= 2200:
        raise Unfit(pointer, "A moment needs its offset from universal time, and a year that can be.")
    return moment


def read_clock(value: Any) -> Clock | None:
    """Read what the device's clocks show as it calls; None where it does not say, raises Unfit."""
    if not isinstance(value, dict):
        return None
    at = read_moment(value.get("now"), "/clock/now")
    mono, boot = value.get("mono_ms"), value.get("boot")
    if mono is not None and (isinstance(mono, bool) or not isinstance(mono, int | float) or mono % 1):
        raise Unfit("/clock/mono_ms", "The steady clock shows whole milliseconds.")
    if not isinstance(boot, str | None):
        raise Unfit("/clock/boot", "The run of the device is named in words.")
    return Clock(at, int(mono) if mono is not None and mono >= 0 else None, (boot or "")[:64])


def _subject(value: Any) -> tuple[UUID | None, dict[str, str]]:
    """The animal that an operation is about: by our id, or by the numbers it was known by at the chute."""
    if value is None:
        return None, {}
    if not isinstance(value, dict):
        raise Unfit("/subject", "The subject is an object with our id as `animal`, or with its numbers.")
    if "animal" in value:
        return read_id(value["animal"], "/subject/animal"), {}
    numbers = _numbers(value)
    if not numbers:
        raise Unfit("/subject", "The subject names no animal: it needs our id or a number.")
    return None, numbers


def _numbers(value: dict[str, Any]) -> dict[str, str]:
    numbers: dict[str, str] = {}
    for kind in NUMBER_KINDS:
        if value.get(kind):
            try:
                read = read_tag_number(kind, str(value[kind]))
            except Unreadable as problem:
                raise Unfit(f"/subject/{kind}", problem.reason) from problem
            numbers[kind] = read.number
            if kind == "vid":
                numbers["vid_colour"] = str(value.get("vid_colour") or read.colour)[:12]
    if value.get("tube"):
        numbers["tube"] = str(value["tube"])[:20]
    return numbers


def _told(body: dict[str, Any], at: datetime, contact: Clock | None, now: datetime) -> Told:
    mono = body.get("mono_ms")
    steady = mono if isinstance(mono, int) and not isinstance(mono, bool) and mono >= 0 else None
    happened = Clock(at, steady, str(body.get("boot") or "")[:64])
    return corrected(happened, contact or Clock(now), now)
