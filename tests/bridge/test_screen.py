"""The terminal's screen shows what is heard, stored and to be looked at, and takes nothing sent for markup."""

import io

from rich.console import Console

from herd.bridge.keeping import Keeping
from herd.bridge.live import Live
from herd.bridge.screen import picture
from tests.bridge.saying import FIRST
from tests.bridge.test_flow import Chute


def drawn(live: Live, keeping: Keeping, width: int = 100) -> str:
    console = Console(record=True, width=width, file=io.StringIO())
    console.print(picture(live.now(), keeping))
    return console.export_text()


def test_the_screen_of_a_morning(tmp_path):
    chute = Chute(tmp_path)
    chute.live.port("reader", "open")
    assert "Nothing to look at" in drawn(chute.live, chute.keeping)
    chute.weigh(450, FIRST)
    chute.weigh(431)
    text = drawn(chute.live, chute.keeping)
    assert "reader: open" in text
    assert f"{FIRST}  450 kg" in text
    assert "To look at: 1; settle it on the page" in text
    assert "No number was read for it." in text


def test_what_a_port_sends_is_never_markup(tmp_path):
    chute = Chute(tmp_path)
    chute.reader("[red]x[/red] \x1b[31m")
    text = drawn(chute.live, chute.keeping)
    assert "[red]x[/red]" in text
    assert "\x1b" not in text


def test_a_narrow_terminal_shows_the_same(tmp_path):
    chute = Chute(tmp_path)
    chute.weigh(450, FIRST)
    assert "450 kg" in drawn(chute.live, chute.keeping, width=50)
