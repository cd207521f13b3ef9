"""One object of a document that came in: members read with their type, or a bad value with its pointer."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from herd.values.problems import shown

LONGEST_TEXT = 2_000
LONGEST_NAME = 80


class BadValue(ValueError):  # noqa: N818
    """A value that can't be used: where it stands (RFC 6901), what it is, and why not."""

    def __init__(self, pointer: str, value: object, reason: str) -> None:
        super().__init__(reason)
        self.pointer, self.value, self.reason = pointer, value, reason


@dataclass(frozen=True, slots=True)
class Node:
    """A JSON object and the pointer to it; a member that is missing or null reads as nothing."""

    members: Mapping[str, Any]
    pointer: str = ""

    def at(self, key: str) -> str:
        """The pointer to a member."""
        return f"{self.pointer}/{key.replace('~', '~0').replace('/', '~1')}"

    def refuse(self, key: str, reason: str) -> BadValue:
        """A bad value of this object, to be raised."""
        return BadValue(self.at(key), self.members.get(key), reason)

    def text(self, key: str, most: int = LONGEST_TEXT) -> str:
        """A string; raises BadValue for anything else, and for one longer than `most` characters."""
        value = self.members.get(key)
        if value is None:
            return ""
        if not isinstance(value, str):
            raise self.refuse(key, f"{shown(str(value)[:40])} is no text.")
        if len(value) > most:
            raise self.refuse(key, f"The text has more than {most} characters.")
        return value

    def needed(self, key: str, most: int = LONGEST_TEXT) -> str:
        """A string that must be there and not be empty."""
        value = self.text(key, most)
        if not value.strip():
            raise self.refuse(key, f"{key} is missing.")
        return value

    def number(self, key: str) -> Decimal | None:
        """A number, exact; raises BadValue."""
        value = self.members.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, (int, float, Decimal)):
            raise self.refuse(key, f"{shown(str(value)[:40])} is no number.")
        found = Decimal(str(value)) if isinstance(value, float) else Decimal(value)
        if not found.is_finite() or len(found.as_tuple().digits) > 30 or abs(found.adjusted()) > 30:
            raise self.refuse(key, "The number is out of reach.")
        return found

    def whole(self, key: str) -> int | None:
        """A whole number; raises BadValue."""
        found = self.number(key)
        if found is not None and found % 1:
            raise self.refuse(key, f"{found} is no whole number.")
        return None if found is None else int(found)

    def flag(self, key: str) -> bool:
        """True or false; raises BadValue."""
        value = self.members.get(key)
        if value is not None and not isinstance(value, bool):
            raise self.refuse(key, f"{shown(str(value)[:40])} is neither true nor false.")
        return bool(value)

    def inside(self, key: str) -> "Node":
        """An object inside, empty where there is none; raises BadValue for anything else."""
        value = self.members.get(key)
        if value is not None and not isinstance(value, Mapping):
            raise self.refuse(key, f"{key} must be an object.")
        return Node(value or {}, self.at(key))

    def listed(self, key: str) -> Iterator["Node"]:
        """The objects of a list; raises BadValue for anything else."""
        value = self.members.get(key)
        if value is not None and not isinstance(value, list):
            raise self.refuse(key, f"{key} must be a list.")
        for place, one in enumerate(value or ()):
            pointer = f"{self.at(key)}/{place}"
            if not isinstance(one, Mapping):
                raise BadValue(pointer, one, "This must be an object.")
            yield Node(one, pointer)

    def words(self, key: str) -> list[str]:
        """The texts of a list; raises BadValue for anything else."""
        value = self.members.get(key) or []
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise self.refuse(key, f"{key} must be a list of texts.")
        return value

    def choice(self, key: str, words: Mapping[str, Any]) -> Any:
        """What one of some words stands for, None where none is said; raises BadValue for another word."""
        value = self.text(key)
        if not value:
            return None
        if value not in words:
            raise self.refuse(key, f"{shown(value[:40])} is none of {', '.join(words)}.")
        return words[value]

    def identifier(self, key: str) -> tuple[str, str] | None:
        """An identifier of scheme and id, None where there is none; raises BadValue for half of one."""
        if self.members.get(key) is None:
            return None
        return self.inside(key).as_identifier()

    def as_identifier(self) -> tuple[str, str]:
        """This object as an identifier of scheme and id."""
        return self.needed("scheme", 100).strip(), self.needed("id", 100).strip()
