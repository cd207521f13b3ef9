"""Where one answer of the API leads on to: OpenAPI links, made from the addresses, the bodies and their examples.

An answer that tells the id of a thing leads to the addresses below it, and to the calls that take the id in their
body or address, such as from an animal to a tag that is put on it.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from herd.exchange.names import LOCATION

# An address of one thing, or of something about it.
ONE = re.compile(r"^(?P<all>.*/)\{(?P<name>id|day)\}/(?P<more>[^{}]*)$")
CARRIED = re.compile(r"\{(\w+)\}")
# Where answers tell an id: of a thing that was made, and of the first in a list.
PLACES = (("post", "201", "/id"), ("post", "202", "/id"), ("get", "200", "/items/0/id"))
# The members by which calls name a thing of another collection.
NAMED = {
    "animal": "animals/",
    "dam": "animals/",
    "animals": "animals/",
    "group": "groups/",
    "location": "locations/",
    "changeset": "changesets/",
}
# What a call takes that an answer tells elsewhere than at an id: the call, its member, where it is told.
TOLD = (("findings/{id}/rule/", "choice", "$response.body#/items/0/choices/0/choice"),)
ROOT = "/api/v1/"
PLACE = "{scheme}/{key}/"
# Stands in examples for an id of the reader's own.
SOME_ID = "0190a5e4-7b6c-7d9e-8f10-2a3b4c5d6e7f"
# Stands for the place of the id until a link is filled in.
ID = "$response.body#ID"


@dataclass(frozen=True, slots=True)
class Operation:
    """A call of the document: its address, its method, what is said of it."""

    path: str
    method: str
    told: dict[str, Any]

    @property
    def id(self) -> str:
        """Its name in the document."""
        return str(self.told["operationId"])

    @property
    def example(self) -> Any:
        """The example of its body, or None."""
        content = self.told.get("requestBody", {}).get("content", {}).get("application/json", {})
        shown = [one["value"] for one in content.get("examples", {}).values()]
        return shown[0] if shown else None

    @property
    def takes_state(self) -> bool:
        """Whether it has to name the state that was read."""
        return any(one["name"] == "If-Match" for one in self.told.get("parameters", ()))

    @property
    def asked(self) -> set[str]:
        """What its address may ask."""
        return {one["name"] for one in self.told.get("parameters", ()) if one["in"] == "query"}


def link(result: dict[str, Any]) -> None:
    """Name, beside each answer that tells an id, the calls that take it."""
    paths = result["paths"]
    for target in _operations(paths):
        for collection, where, found in _ways_to(target):
            for method, status, place in PLACES:
                answer = paths.get(collection, {}).get(method, {}).get("responses", {}).get(status)
                if answer is not None and _tells(method, target):
                    told = _filled(found, place)
                    if method == "post" and target.takes_state:
                        told["parameters"]["header.If-Match"] = "$response.header.ETag"
                    answer.setdefault("links", {})[f"{target.id}_{where}"] = told


def _operations(paths: dict[str, Any]) -> Iterator[Operation]:
    for path, methods in paths.items():
        for method, told in methods.items():
            yield Operation(path, method, told)


def _ways_to(target: Operation) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """The collections that lead to a call, the member that takes the id there, and the link with `ID` for the id."""
    one = ONE.match(target.path)
    if one is not None:
        carried = {name: f"$request.path.{name}" for name in CARRIED.findall(one["all"])}
        yield one["all"], one["name"], _told(target, {one["name"]: ID, **carried}, _body(target))
        return
    if PLACE in target.path:
        named = {"scheme": LOCATION, "key": ID, **_shown(target, "plural")}
        yield f"{ROOT}locations/", "key", _told(target, named, None)
    if "{" in target.path:
        return
    example = target.example
    for member, collection in NAMED.items():
        if (filled := _with_id(example, member)) != example:
            yield f"{ROOT}{collection}", member, _told(target, {}, filled)
        elif member in target.asked:
            yield f"{ROOT}{collection}", member, _told(target, {member: ID}, None)


def _with_id(node: Any, member: str) -> Any:
    """An example with `ID` in each place where a member shows SOME_ID."""
    if isinstance(node, dict):
        return {key: _put(value) if key == member else _with_id(value, member) for key, value in node.items()}
    return [_with_id(value, member) for value in node] if isinstance(node, list) else node


def _put(value: Any) -> Any:
    return {SOME_ID: ID}.get(value, value) if isinstance(value, str) else [ID] if value == [SOME_ID] else value


def _shown(target: Operation, name: str) -> dict[str, str]:
    """The first of the values that a part of the address may have, where it has that part."""
    parts = [one for one in target.told.get("parameters", ()) if one["name"] == name and "enum" in one["schema"]]
    return {name: parts[0]["schema"]["enum"][0]} if parts else {}


def _body(target: Operation) -> Any:
    """The example of a body, with what the answer tells in its place."""
    more = {member: place for path, member, place in TOLD if target.path.endswith(path)}
    return {**(target.example or {}), **more} or None


def _told(target: Operation, parameters: dict[str, str], body: Any) -> dict[str, Any]:
    told: dict[str, Any] = {"operationId": target.id}
    if parameters:
        told["parameters"] = parameters
    if body is not None:
        told["requestBody"] = body
    return told


def _tells(method: str, target: Operation) -> bool:
    """Whether an answer has all that the link takes: a choice is told by the list alone."""
    return method == "get" or not any(target.path.endswith(path) for path, _, _ in TOLD)


def _filled(node: Any, place: str) -> Any:
    """The link with the place of the id put in."""
    if isinstance(node, dict):
        return {key: _filled(value, place) for key, value in node.items()}
    if isinstance(node, list):
        return [_filled(value, place) for value in node]
    return f"$response.body#{place}" if node == ID else node
