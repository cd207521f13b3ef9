"""The two ways a written value can be answered with words: not read, or read with a caution."""

from dataclasses import dataclass

_LONGEST_SHOWN = 40


class Unreadable(ValueError):  # noqa: N818
    """A written value that was not read; nothing is guessed and the writing is kept.

    `value` is the text as it came, `code` a short slug, `reason` one plain sentence naming the value.
    """

    def __init__(self, value: str, code: str, reason: str) -> None:
        super().__init__(value, code, reason)
        self.value = value
        self.code = code
        self.reason = reason

    def __str__(self) -> str:
        return self.reason


@dataclass(frozen=True, slots=True)
class Caution:
    """Something a person should know about a value that was read."""

    code: str
    text: str


def shown(value: str) -> str:
    """The value in quotes for a sentence, on one line and cut after 40 characters."""
    line = "".join(mark if mark.isprintable() else " " for mark in value[: _LONGEST_SHOWN + 1])
    if len(value) > _LONGEST_SHOWN:
        line = line[:_LONGEST_SHOWN] + "..."
    return f'"{line}"'
