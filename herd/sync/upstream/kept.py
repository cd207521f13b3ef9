"""Keeps standing rules and recipes in step with the other installation; where both changed one, the other's stands."""

import json
from typing import Any

from django.db import transaction

from herd.accounts.models import Outfit
from herd.client import faults
from herd.client.wire import Wire
from herd.registry.services.refused import Refused
from herd.sync.models import Upstream
from herd.sync.siblings.kept import SORTS, Row, Rows, digest, digests, kept_here, write
from herd.sync.upstream.epochs import check_epoch

STRANGE = "The other installation's answer can't be read"
OFFICE = "the office"


def exchange_kept(upstream: Upstream, wire: Wire) -> int:
    """Send what was changed here since both were the same, then keep what is there; return how many were sent.

    Each goes in a call of its own, since a recipe of many columns is long; they are changed seldom.
    """
    there = _asked(upstream, wire.get("sync/kept/"))
    ours = kept_here(upstream.outfit)
    own = _changed_here(ours, digests(there), upstream.kept)
    for name, row in own:
        body = {**dict.fromkeys(SORTS, []), name: [row]}
        try:
            there = _asked(upstream, wire.post("sync/kept/", json.dumps(body).encode()))
        except faults.Refused:
            # What the office does not take, such as a recipe longer than a call may be, is kept here alone.
            key = SORTS[name].key
            ours = {**ours, name: [one for one in ours[name] if one[key] != row[key]]}
    try:
        _follow(upstream, ours, there)
    except (Refused, KeyError, TypeError) as problem:
        raise faults.Offline(f"{STRANGE} ({problem}).") from problem
    return len(own)


def _asked(upstream: Upstream, answer: dict[str, Any]) -> Rows:
    check_epoch(upstream, answer)
    return {name: list(answer[name]) for name in SORTS}


def _changed_here(ours: Rows, theirs: dict[str, str], base: dict[str, str]) -> list[tuple[str, Row]]:
    """What we changed and they did not, each with its sort and with what was seen."""
    changed: list[tuple[str, Row]] = []
    for name, sort in SORTS.items():
        rows = {str(row[sort.key]): row for row in ours[name]}
        before = {key.partition(" ")[2] for key in base if key.partition(" ")[0] == name}
        for key in sorted(before | rows.keys()):
            seen, row = base.get(f"{name} {key}", ""), rows.get(key)
            if (digest(sort, row) if row else "") == seen or theirs.get(f"{name} {key}", "") != seen:
                continue
            told = row or {sort.key: key, **{one: None for one in sort.says}}
            changed.append((name, {**told, "is_dropped": row is None, "seen": seen}))
    return changed


@transaction.atomic
def _follow(upstream: Upstream, ours: Rows, there: Rows) -> None:
    """Keep what they keep; what someone has changed here meanwhile is left for the next round."""
    Outfit.objects.select_for_update().get(pk=upstream.outfit_id)
    sent, now, theirs = digests(ours), digests(kept_here(upstream.outfit)), digests(there)
    for name, sort in SORTS.items():
        rows = {f"{name} {row[sort.key]}": {**row, "is_dropped": False} for row in there[name]}
        gone = {key: {sort.key: key.partition(" ")[2], "is_dropped": True} for key in now if key.startswith(f"{name} ")}
        wanted = {**gone, **rows}
        fresh = [key for key in wanted if now.get(key, "") == sent.get(key, "") != theirs.get(key, "")]
        write(upstream.outfit, name, [wanted[key] for key in fresh], OFFICE)
    upstream.kept = theirs
    upstream.save(update_fields=["kept"])
