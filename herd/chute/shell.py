"""The shell of the chute page: every file that it needs to start without a network, and the version they make."""

import hashlib
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse

STATIC = Path(__file__).resolve().parent / "static" / "chute"
# The worker is served with the shell's version in it, and is no part of the shell itself.
WORKER = "worker.js"


@dataclass(frozen=True, slots=True)
class Shell:
    """The page, the addresses of its files, and a version that changes with any of their bytes."""

    page: str
    addresses: tuple[str, ...]
    version: str


@cache
def shell() -> Shell:
    """The shell as it is installed; read once in the life of a process."""
    files = sorted(file for file in STATIC.iterdir() if file.name != WORKER)
    digest = hashlib.sha256()
    for file in [*files, STATIC / WORKER]:
        digest.update(file.name.encode() + b"\0" + file.read_bytes())
    page = render_to_string("chute/page.html")
    digest.update(page.encode())
    # Modules name each other by plain names, so that all are fetched under these.
    addresses = (reverse("chute:page"), reverse("chute:manifest"), *(f"{_folder()}{file.name}" for file in files))
    return Shell(page, addresses, digest.hexdigest()[:16])


def worker_script() -> str:
    """The service worker's script with the shell's version and files before it."""
    found = shell()
    said = json.dumps({"version": found.version, "addresses": found.addresses})
    return f"const SHELL = {said};\n{(STATIC / WORKER).read_text(encoding='utf-8')}"


def manifest_of() -> dict[str, object]:
    """What the page is called and looks like when it is put on a home screen (W3C Web Application Manifest)."""
    home, folder = reverse("chute:page"), _folder()
    return {
        "id": home,
        "name": "Notchbook chute",
        "short_name": "Chute",
        "start_url": home,
        "scope": home,
        "display": "standalone",
        "background_color": "#000000",
        "theme_color": "#000000",
        "icons": [
            {"src": f"{folder}icon-192.png", "sizes": "192x192", "type": "image/png"},
            {"src": f"{folder}icon-512.png", "sizes": "512x512", "type": "image/png", "purpose": "any maskable"},
        ],
    }


def _folder() -> str:
    """Where the files are served under the names that they have here."""
    return static("chute/")
