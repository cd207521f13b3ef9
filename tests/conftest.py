"""What all tests share: the cast, and the word about a missing browser."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright
from pytest_django.live_server_helper import LiveServer

from herd.config.locks import file_lock
from tests.answering import all_answered
from tests.chromium import find_chromium
from tests.config.installation import ROOT, environment

pytest_plugins = ["tests.cast"]

# The browser's driver keeps an event loop in the test's thread, where Django would refuse its own database.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

NO_BROWSER = "no Chromium was found on this machine; install it, or name it in NOTCHBOOK_CHROMIUM"
LEFT_OUT = pytest.StashKey[int]()


@pytest.fixture(scope="session")
def upgraded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of an installation on SQLite, up to date and empty, made once in a run; tests copy it."""
    base = tmp_path_factory.getbasetemp()
    # The processes of one run have folders side by side.
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "upgraded"
    with file_lock(folder.with_suffix(".lock")):
        if not (folder / "static" / ".collected").exists():
            command = [sys.executable, "manage.py", "upgrade"]
            subprocess.run(command, cwd=ROOT, env=environment(folder), check=True, capture_output=True)
    return folder


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser's path, for tests marked `browser`."""
    found = find_chromium()
    assert found, NO_BROWSER
    return found


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """Debian's Chromium without a window, for tests marked `browser`."""
    with sync_playwright() as player:
        opened = player.chromium.launch(
            executable_path=chromium,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield opened
        opened.close()


@pytest.fixture
def live_server(live_server: LiveServer) -> Iterator[LiveServer]:
    """A server that has answered all before its tables are emptied, which would wait for each other otherwise."""
    with all_answered():
        yield live_server


# The longest walks begin first, so that no core waits at the end for another's.
LONG_WALKS = ("/journeys/", "/properties/", "/config/", "/noisy/", "/archive/", "test_merging_of_any_two", "test_roles")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put the longest first, and leave the real-browser tests out where there is no browser; the end says so."""
    items.sort(key=lambda item: not any(part in item.path.as_posix() for part in LONG_WALKS))
    walks = [item for item in items if item.get_closest_marker("browser")]
    if not walks or find_chromium():
        return
    for item in walks:
        item.add_marker(pytest.mark.skip(reason=NO_BROWSER))
    config.stash[LEFT_OUT] = len(walks)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Say in words which tests were left out."""
    left_out = config.stash.get(LEFT_OUT, 0)
    if left_out:
        terminalreporter.write_line(f"The real-browser tests ({left_out}) did not run: {NO_BROWSER}.")
