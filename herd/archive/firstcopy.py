"""The first copy for an installation that will follow another: a code spent, an archive fetched and loaded."""

import json
import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import UUID

import httpx
from django.conf import settings
from django.db import connection, transaction

from herd.accounts.models import Outfit
from herd.archive.refused import ArchiveRefused
from herd.archive.restoring import Restored, restore
from herd.archive.tables import TABLES
from herd.archive.unpacking import Archive, open_archive
from herd.client.faults import Refused
from herd.client.wire import Wire
from herd.ledger.models import FeedCounter
from herd.sync.models import Upstream
from herd.sync.siblings.kept import digests, kept_here
from herd.sync.upstream.days import mark_copies

Say = Callable[[str], object]
SPENT = "The code is spent now; where it has to be done again, ask the office there for a new one."


@dataclass(frozen=True, slots=True)
class Enrolled:
    """What the other installation has told of itself and of us."""

    url: str
    token: str
    device_id: UUID
    name: str
    outfit_id: UUID
    outfit_code: str


@dataclass(frozen=True, slots=True)
class Followed:
    """The outfit that is followed from now on, and what came in where it was not here before."""

    upstream: Upstream
    restored: Restored | None


def enrol_here(url: str, code: str, transport: httpx.BaseTransport | None = None) -> Enrolled:
    """Spend a one-time code; raises Offline, Refused."""
    wire = Wire(url, lambda: "", transport)
    try:
        told = wire.post("enrol/", json.dumps({"code": code}).encode())
    finally:
        wire.close()
    wire = Wire(url, lambda: str(told["token"]), transport)
    try:
        outfit = UUID(str(wire.get("sync/info/")["outfit"]))
    finally:
        wire.close()
    return Enrolled(
        url.rstrip("/"), str(told["token"]), UUID(str(told["device"])), str(told["name"]), outfit, str(told["outfit"])
    )


def begin(enrolled: Enrolled, wire: Wire, say: Say = lambda _: None) -> Followed:
    """Take the first copy, or go on with the one that is here; raises Offline, Refused, ArchiveRefused.

    An outfit that came here in another way, or that is decided here, is refused: two records of their own can't be
    made one.
    """
    here = Outfit.objects.filter(pk=enrolled.outfit_id).first()
    other = Outfit.objects.filter(code__iexact=enrolled.outfit_code).exclude(pk=enrolled.outfit_id).first()
    if other is not None:
        raise ArchiveRefused(f"Another outfit is called {other.code} here ({other.name}); nothing was changed. {SPENT}")
    if here is not None:
        return Followed(_go_on(here, enrolled), None)
    with tempfile.TemporaryFile(dir=settings.VAR_DIR) as file:
        say("Fetching the record; that may take a while.")
        wire.save("sync/copy/", file)
        file.seek(0)
        with open_archive(file) as archive, transaction.atomic():
            counter = _counter(archive)
            restored = restore(archive, say=say)
            upstream = _follow(enrolled, counter)
            mark_copies(upstream.outfit)
            upstream.kept = digests(kept_here(upstream.outfit))
            upstream.save(update_fields=["kept"])
    _keep_private()
    return Followed(upstream, restored)


def _go_on(outfit: Outfit, enrolled: Enrolled) -> Upstream:
    """Take a new token for a record that was copied from there before."""
    upstream = Upstream.objects.filter(outfit=outfit).first()
    if upstream is None:
        raise ArchiveRefused(
            f"{outfit.name} ({outfit.code}) is here already, and not as a copy of the one at {enrolled.url}; it was "
            f"left as it is. Start an installation in another folder (NOTCHBOOK_VAR) for the copy. {SPENT}"
        )
    upstream.url, upstream.token, upstream.device_id = enrolled.url, enrolled.token, enrolled.device_id
    upstream.name = enrolled.name
    upstream.save(update_fields=["url", "token", "device_id", "name"])
    return upstream


def _counter(archive: Archive) -> dict[str, Any]:
    """Where the other installation's feed was when the copy was made: its epoch and position."""
    entry = next(table.entry for table in TABLES if table.model is FeedCounter)
    part = next((part for part in archive.contents.parts if part.name == entry), None)
    lines = list(archive.lines(part)) if part else []
    if len(lines) != 1:
        raise ArchiveRefused("The copy does not say where its feed is; nothing was changed.")
    return dict(json.loads(lines[0]))


def _follow(enrolled: Enrolled, counter: dict[str, Any]) -> Upstream:
    if str(counter["outfit_id"]) != str(enrolled.outfit_id):
        raise Refused("The copy is of another outfit than the code.", 409, {})
    position = int(counter["position"])
    return Upstream.objects.create(
        outfit_id=enrolled.outfit_id,
        url=enrolled.url,
        token=enrolled.token,
        device_id=enrolled.device_id,
        name=enrolled.name,
        epoch=UUID(str(counter["epoch"])),
        cursor=position,
        settled_to=position,
    )


def _keep_private() -> None:
    """Let only its owner read the database file, which holds the token from now on."""
    path = Path(str(connection.settings_dict["NAME"]))
    if connection.vendor == "sqlite" and path.is_file():
        os.chmod(path, 0o600)
