"""The resources of a JSON document one by one, within bounds: size, depth, number of members, values in one.

A document is a collection with its `member` list, a bare list, or one resource. Numbers stay exact; a name that
stands twice in one object, a lone surrogate or a null character make the resource unusable, not the document.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import ijson

MOST_MEMBERS = 1_000_000
MOST_DEPTH = 12
MOST_VALUES = 200_000
MOST_TEXT = 100_000
_SURROGATE = re.compile("[\ud800-\udfff]")
OPENS, CLOSES = ("start_map", "start_array"), ("end_map", "end_array")


class BadDocument(ValueError):  # noqa: N818
    """The bytes are no document that can be read; the sentence says why."""


@dataclass(frozen=True, slots=True)
class Member:
    """A resource with its place in the document and the pointer to it; `fault` says why it can't be used."""

    place: int
    pointer: str
    value: Any
    fault: str = ""


@dataclass(slots=True)
class _Builder:
    """One value in the making, event by event; what is too deep or too much is skipped but followed to its end."""

    value: Any = None
    fault: str = ""
    count: int = 0
    depth: int = 0

    def build(self, events: Iterator[tuple[str, Any]], event: str, value: Any) -> Any:
        """Take the value that begins with this event."""
        stack: list[Any] = []
        key: list[str] = []
        while True:
            self.count += 1
            if event in OPENS:
                self._open(stack, key, {} if event == "start_map" else [])
            elif event in CLOSES:
                self.depth -= 1
                done = stack.pop()
                key.pop()
                if not stack:
                    return done
            elif event == "map_key":
                self._name(stack[-1], key, value)
            else:
                if not stack:
                    return self._checked(value)
                self._put(stack[-1], key[-1], self._checked(value))
            event, value = next(events)

    def _open(self, stack: list[Any], key: list[str], empty: Any) -> None:
        self.depth += 1
        if self.depth > MOST_DEPTH:
            self.fault = self.fault or f"It is nested more than {MOST_DEPTH} levels deep."
        elif stack:
            self._put(stack[-1], key[-1], empty)
        stack.append(empty)
        key.append("")

    def _name(self, inside: Any, key: list[str], name: str) -> None:
        if name in inside:
            self.fault = self.fault or f"The name {name[:40]!r} stands twice in one object."
        key[-1] = self._checked(name)

    def _put(self, inside: Any, key: str, value: Any) -> None:
        if self.count > MOST_VALUES:
            self.fault = self.fault or f"It has more than {MOST_VALUES:,} values."
        elif isinstance(inside, list):
            inside.append(value)
        else:
            inside[key] = value

    def _checked(self, value: Any) -> Any:
        if isinstance(value, str):
            if len(value) > MOST_TEXT:
                self.fault = self.fault or f"A text has more than {MOST_TEXT:,} characters."
                return ""
            if "\0" in value or not (value.isascii() or _SURROGATE.search(value) is None):
                self.fault = self.fault or "A text has a null character or half of a character."
                return ""
        return value


def members_of(content: bytes) -> Iterator[Member]:
    """Yield the resources of a document; raises BadDocument where the bytes are none, at the place that shows it."""
    events = ijson.basic_parse(BytesIO(content), use_float=False)
    count = 0
    try:
        for pointer, event, value in _starts(events):
            if count >= MOST_MEMBERS:
                raise BadDocument(f"A document holds at most {MOST_MEMBERS:,} resources; send it in two.")
            builder = _Builder()
            found = builder.build(events, event, value)
            yield Member(count, pointer.format(count), found if not builder.fault else None, builder.fault)
            count += 1
    except ijson.JSONError as problem:
        raise BadDocument(f"This is not JSON, or it ends too soon: {str(problem).splitlines()[0][:120]}.") from problem
    except UnicodeDecodeError as problem:
        raise BadDocument("This is not JSON in UTF-8.") from problem
    except (StopIteration, RuntimeError) as problem:
        raise BadDocument("The document ends too soon.") from problem


def _starts(events: Iterator[tuple[str, Any]]) -> Iterator[tuple[str, str, Any]]:
    """Yield where each resource begins: a form of its pointer, and its first event."""
    event, value = next(events, ("", None))
    if event == "start_array":
        yield from _listed(events, "/{}")
    elif event == "start_map":
        yield from _in_object(events)
    else:
        raise BadDocument("The document is neither a collection, a list, nor a resource.")


def _listed(events: Iterator[tuple[str, Any]], form: str) -> Iterator[tuple[str, str, Any]]:
    for event, value in events:
        if event == "end_array":
            return
        yield form, event, value


def _in_object(events: Iterator[tuple[str, Any]]) -> Iterator[tuple[str, str, Any]]:
    """A collection with its members."""
    has_members = False
    for event, value in events:
        if event == "end_map":
            break
        name = value
        event, value = next(events)
        if name == "member" and event == "start_array":
            has_members = True
            yield from _listed(events, "/member/{}")
        else:
            _Builder().build(events, event, value)
    if not has_members:
        raise BadDocument("The document has no member list; one resource alone is sent as a list of one.")
