"""Recipes: the shape of a file's layout, and the columns as they were settled for that shape before."""

from hashlib import sha256
from typing import Any

from herd.intake.columns.dateorders import ORDER_WORDS
from herd.intake.columns.guesses import ColumnGuess
from herd.intake.columns.headings import words_of
from herd.intake.columns.kinds import COLUMN_KINDS, DATED_KINDS
from herd.values.problems import shown


def layout_of(header: list[str], width: int, dialect_format: str) -> str:
    """The layout of a file as 64 hexadecimal digits: its header's words and its number of columns.

    Files of one header share a layout whatever their format. Without a header the format counts instead, and
    a single column without one has no layout, the empty string.
    """
    words = [" ".join(words_of(text)) for text in header]
    if not any(words):
        if width <= 1:
            return ""
        words = ["", dialect_format]
    return sha256("\x1f".join([str(width), *words]).encode()).hexdigest()


def apply_recipe(guesses: list[ColumnGuess], recipe_columns: list[dict[str, Any]]) -> list[ColumnGuess]:
    """The guesses with the kinds and settings of a recipe, matched by column index.

    What the cells prove about the order of day and month, or about the decimal mark, wins over the recipe.
    """
    kept = {column["index"]: column for column in recipe_columns if column.get("kind") in COLUMN_KINDS}
    return [_with_recipe(guess, kept[guess.index]) if guess.index in kept else guess for guess in guesses]


def _with_recipe(guess: ColumnGuess, column: dict[str, Any]) -> ColumnGuess:
    kind = column["kind"]
    reasons = ["Taken from the recipe kept for files of this layout."]
    settings = dict(column.get("settings") or {})
    if kind == "weight" and guess.kind == "weight":
        settings["decimal_mark"] = guess.settings.get("decimal_mark", ".")
    if kind in DATED_KINDS:
        reasons += _check_order(settings, guess.dates)
    return ColumnGuess(guess.index, guess.header, kind, 1.0, reasons, settings, guess.dates)


def _check_order(settings: dict[str, Any], dates: dict[str, Any]) -> list[str]:
    """Let a proof in the cells win over the order of the recipe, and say it."""
    kept, proved = settings.get("order"), dates.get("order")
    settings.update(mixed=False, proved_by=dates.get("proved_by"), against=dates.get("against"))
    if dates.get("mixed"):
        settings.update(order=None, mixed=True)
        return [dates["reason"]]
    if proved is None or proved == kept or (proved == "YMD" and kept is not None):
        return []
    settings["order"] = proved
    if kept is None:
        return [dates["reason"]]
    proof = shown(dates.get("proved_by") or "")
    return [f"The recipe reads dates {ORDER_WORDS[kept]}, but {proof} proves {ORDER_WORDS[proved]}."]
