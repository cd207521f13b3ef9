"""One check value, and the document that lists them all with what is computed here."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

TEST = "tests/values/test_checkvalues.py"
HEAD = f"""# Check values

Every published value that the arithmetic of `herd.values` is held against, with its source, what is expected and what
comes out. Made by `python -m tests.values.checkvalues`; a test fails where it is not as made. Each line is a test of
its own: `pytest {TEST} -k NAME`. “Computed” or “constructed” as a source means own arithmetic on a published rule;
“from memory” that no text was at hand.
"""


@dataclass(frozen=True, slots=True)
class Check:
    """A check value: its name, what goes in, where it stands, what is expected, and how it is computed."""

    name: str
    given: str
    source: str
    expected: str
    compute: Callable[[], object]

    @property
    def computed(self) -> str:
        """What comes out, as it is written."""
        return str(self.compute())


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A value that is no test, and why."""

    name: str
    what: str
    reason: str


def document(parts: Iterable[tuple[str, Iterable[Check], Iterable[LeftOut]]]) -> str:
    """The whole document as Markdown."""
    return HEAD + "".join(_part(title, list(checks), list(left_out)) for title, checks, left_out in parts)


def _part(title: str, checks: list[Check], left_out: list[LeftOut]) -> str:
    rows = ["| value | given | source | expected | computed | test |", "|---|---|---|---|---|---|"]
    rows += [
        _row(one.name, one.given, one.source, one.expected, one.computed, f"test_check_value[{one.name}]")
        for one in checks
    ]
    out = ["| value | what it is | why it is no test here |", "|---|---|---|"]
    out += [_row(one.name, one.what, one.reason) for one in left_out]
    return "\n".join(["", f"## {title}", "", *rows, "", f"### Left out: {title.lower()}", "", *out, ""])


def _row(*cells: str) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"
