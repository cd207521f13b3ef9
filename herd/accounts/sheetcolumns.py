"""What the cells of a list's columns may say: yes or no, a whole number, a day; nothing is guessed."""

from datetime import date
from typing import Any

TRUE_WORDS = frozenset({"yes", "y", "true", "1", "x"})
FALSE_WORDS = frozenset({"no", "n", "false", "0", ""})


class YesNo:
    """A word for yes or no; anything else is refused rather than taken for no."""

    def clean(self, value: Any, row: Any = None, **kwargs: Any) -> bool:
        word = str(value).strip().casefold()
        if word not in TRUE_WORDS | FALSE_WORDS:
            raise ValueError("Write yes or no.")
        return word in TRUE_WORDS

    def render(self, value: Any, obj: Any = None, **kwargs: Any) -> str:
        return "yes" if value else "no"


class WholeNumber:
    """A whole number, or nothing."""

    def clean(self, value: Any, row: Any = None, **kwargs: Any) -> int | None:
        text = str(value).strip()
        if not text:
            return None
        if not (text.isascii() and text.isdigit()):
            raise ValueError("Write a whole number.")
        return int(text)

    def render(self, value: Any, obj: Any = None, **kwargs: Any) -> str:
        return "" if value is None else str(value)


class Day:
    """A day as 2026-03-14; other spellings leave open which number is the month."""

    def clean(self, value: Any, row: Any = None, **kwargs: Any) -> date | None:
        text = str(value).strip()
        try:
            return date.fromisoformat(text) if text else None
        except ValueError as problem:
            raise ValueError("Write the day as year-month-day, such as 2026-03-14.") from problem

    def render(self, value: Any, obj: Any = None, **kwargs: Any) -> str:
        return value.isoformat() if value else ""
