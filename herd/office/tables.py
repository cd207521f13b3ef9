"""A table that leaves the site: its title, its columns, its rows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

Cell = str | int | Decimal | date | datetime | None


@dataclass(frozen=True, slots=True)
class Table:
    """What a list or report hands out; `about` is the sentence under the title, `rows` may be read only once.

    Numbers of tags are given as str, and leave as text; figures as int or Decimal, days as date.
    """

    title: str
    columns: Sequence[str]
    rows: Iterable[Sequence[Cell]]
    about: str = ""
