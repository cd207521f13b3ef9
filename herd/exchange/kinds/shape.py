"""What an event is on its way out and in, and how a kind says and reads it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from herd.exchange.moments import When
from herd.exchange.names import Identifier
from herd.exchange.node import Node


@dataclass(frozen=True, slots=True)
class Occurrence:
    """An event of the record to be said.

    `until` is the last day that is not free of what was given, as text, where its days are known; `genders` are
    those of the animals that the events of this stretch name, by their ids.
    """

    kind: str
    data: Mapping[str, Any]
    when: When
    until: str = ""
    genders: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Told:
    """An event as a resource tells it; `animals` are the fields that name an animal, by its identifier."""

    kind: str
    data: dict[str, Any] = field(default_factory=dict)
    animals: dict[str, Identifier] = field(default_factory=dict)


Say = Callable[[Occurrence], dict[str, Any]]
Read = Callable[[Node, When], list[Told]]


@dataclass(frozen=True, slots=True)
class Resource:
    """A resource of the standard: its name, its collection's name in addresses, and how it is read."""

    name: str
    plural: str
    read: Read


def filled(data: Mapping[str, Any]) -> dict[str, Any]:
    """The members that say something."""
    return {key: value for key, value in data.items() if value not in (None, "", [], {})}
