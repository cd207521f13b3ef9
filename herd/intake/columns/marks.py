"""The decimal mark of a column of numbers, from the cells that can only be read one way."""

import re
from collections.abc import Iterable
from typing import Literal

from herd.values.cells import strip_guards

_COMMA = re.compile(
    r"[0-9]+,[0-9]{1,2}(?![0-9])(?:[^0-9,.].*)?|[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+.*|[0-9]{4,},[0-9]+.*|0,[0-9]+.*"
)
_POINT = re.compile(
    r"[0-9]+\.[0-9]{1,2}(?![0-9])(?:[^0-9,.].*)?|[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+.*|[0-9]{4,}\.[0-9]+.*|0\.[0-9]+.*"
)


def decimal_mark(cells: Iterable[str]) -> Literal[".", ","]:
    """The mark that more cells prove, the point where neither is proved."""
    commas = points = 0
    for cell in cells:
        if "," in cell or "." in cell:
            inner = strip_guards(cell)
            commas += _COMMA.fullmatch(inner) is not None
            points += _POINT.fullmatch(inner) is not None
    return "," if commas > points else "."
