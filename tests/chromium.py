"""Where the browser for the real-browser tests lies on this machine."""

import os
import shutil

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
PLACES = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
    r"C:\Program Files (x86)\Google\Chrome\Application\chrome.exe",
)


def find_chromium() -> str | None:
    """Return the browser's path: NOTCHBOOK_CHROMIUM, else the first one found; None where there is none."""
    given = os.environ.get("NOTCHBOOK_CHROMIUM", "")
    for candidate in (given, *NAMES, *PLACES):
        found = shutil.which(candidate) if candidate else None
        if found:
            return found
    return None
