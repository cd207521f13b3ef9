"""The status screen in the terminal; without a terminal, plain sentences."""

import sys
import time

from rich.console import Console, Group, RenderableType
from rich.live import Live as Drawn
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from herd.bridge import pairs
from herd.bridge.keeping import Keeping, PairState, State
from herd.bridge.live import Live, Shown
from herd.bridge.reading import ReadingKind

DRAW_SECONDS = 0.5
PAIRS_SHOWN = 5
KEPT_SHOWN = 4
HANDED = {PairState.OPEN: "on the scale", PairState.READY: "stored", PairState.GIVEN: "handed on"}


def picture(shown: Shown, keeping: Keeping) -> RenderableType:
    """The whole screen."""
    head = Table.grid(expand=True, padding=(0, 2))
    head.add_column(ratio=1)
    head.add_column(ratio=1)
    head.add_column(ratio=1)
    head.add_row(
        _box("On the scale", shown.scale), _box("Number", shown.number or "none yet"),
        _box("Stored last", shown.last or "nothing yet"),
    )  # fmt: skip
    # What matters most stands first: a low terminal cuts the rest off at its end.
    return Group(head, _ports(shown), _kept(keeping), _pairs(keeping), _lines(shown))


def _box(title: str, said: str) -> Panel:
    # What came from a port is text, never markup.
    return Panel(Text(said, style="bold"), title=title, title_align="left", border_style="cyan")


def _ports(shown: Shown) -> Text:
    ports = "   ".join(f"{name}: {state}" for name, state in shown.ports.items())
    said = [ports or "no port is open yet", f"Delivery: {shown.delivery}", shown.folder, shown.trouble]
    said.append(f"Page: {shown.page}" if shown.page else "")
    return Text("\n".join(filter(None, said)))


def _lines(shown: Shown) -> Table:
    table = _table("Lines as they come", ("Port", "Line", "Understood as"))
    for port, line, understood in shown.lines:
        table.add_row(Text(port), Text(line), Text(understood))
    return table


def _pairs(keeping: Keeping) -> Table:
    table = _table("Stored", ("Time", "Number", "Weight", "Where"))
    for one in reversed(pairs.pairs(keeping, tuple(HANDED), PAIRS_SHOWN)):
        cells = (one.weight.at[11:19], one.number, one.weight.in_words(), HANDED[one.state])
        table.add_row(*(Text(cell) for cell in cells))
    return table


def _kept(keeping: Keeping) -> RenderableType:
    kept = keeping.counts().get("reading kept", 0)
    if not kept:
        return Text("Nothing to look at: every weight has its number.", style="green")
    table = _table(f"To look at: {kept}; settle it on the page", ("Time", "What", "Reading", "Why"))
    for one in reversed(keeping.readings(State.KEPT, KEPT_SHOWN)):
        what = "number alone" if one.kind is ReadingKind.NUMBER else "weight alone"
        table.add_row(*(Text(cell) for cell in (one.at[11:19], what, one.in_words(), one.reason)))
    return table


def _table(title: str, heads: tuple[str, ...]) -> Table:
    table = Table(title=title, title_justify="left", expand=True, show_edge=False, header_style="dim")
    for head in heads:
        table.add_column(head, overflow="fold")
    return table


class Screen:
    """Draws the screen twice a second at most."""

    def __init__(self, console: Console) -> None:
        self._console = console
        self._drawn = Drawn(console=console, screen=True, auto_refresh=False)
        self._next = 0.0

    def __enter__(self) -> "Screen":
        self._drawn.start()
        return self

    def __exit__(self, *fault: object) -> None:
        self._drawn.stop()

    def draw(self, live: Live, keeping: Keeping) -> None:
        """Draw how things stand, where it is time for it."""
        if time.monotonic() >= self._next:
            self._next = time.monotonic() + DRAW_SECONDS
            self._drawn.update(picture(live.now(), keeping), refresh=True)

    def say(self, sentence: str) -> None:
        """The screen shows what a sentence would say."""

    def ring(self) -> None:
        """Ring the terminal's bell."""
        self._console.bell()


class Plain:
    """Sentences on standard output, one to a line."""

    def draw(self, live: Live, keeping: Keeping) -> None:
        """Nothing is drawn."""

    def say(self, sentence: str) -> None:
        """Say a sentence at once."""
        sys.stdout.write(sentence + "\n")
        sys.stdout.flush()

    def ring(self) -> None:
        """Ring the terminal's bell."""
        sys.stdout.write("\a")
        sys.stdout.flush()
