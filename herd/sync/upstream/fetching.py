"""Fetches what was decided in the other installation: its ledger since the cursor, and rows as they are there."""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from herd.accounts.models import Person
from herd.client.faults import Offline
from herd.client.wire import Wire
from herd.ledger.copied import provisional
from herd.ledger.models import Changeset
from herd.registry.models import SUBJECTS
from herd.registry.services.following import News, RowThere
from herd.sync.models import Upstream
from herd.sync.reading import Unfit, read_id
from herd.sync.siblings.carrying import read_change, read_head
from herd.sync.upstream.epochs import check_epoch

MOST_ASKED = 1_000
STRANGE = "The other installation's answer can't be read"


@dataclass(slots=True)
class Fetched:
    """What came, and the cursor up to which it came."""

    cursor: int
    news: News = field(default_factory=News)


def fetch(upstream: Upstream, wire: Wire) -> Fetched:
    """Fetch all that was decided since the cursor, and the rows that our own work is about.

    Those rows are asked for first: what changes meanwhile comes with the changes. Nothing is written here.
    """
    found = Fetched(upstream.cursor)
    own = provisional(upstream.outfit, 0 if upstream.takes_anew else upstream.settled_to)
    for subjects in _in_lots((kind, key) for _, kind, key in own.values()):
        _add(found, upstream, _pull(upstream, wire, None, subjects))
    more = True
    while more:
        page = _pull(upstream, wire, found.cursor, {})
        _add(found, upstream, page)
        reached = int(page["reached"])
        if reached < found.cursor:
            raise Offline(f"{STRANGE}: its feed goes back.")
        found.cursor, more = reached, bool(page["more"])
    return found


def _in_lots(subjects: Iterable[tuple[str, UUID]]) -> Iterator[dict[str, list[str]]]:
    listed = sorted(set(subjects))
    for start in range(0, len(listed), MOST_ASKED):
        lot: dict[str, list[str]] = defaultdict(list)
        for kind, key in listed[start : start + MOST_ASKED]:
            lot[kind].append(str(key))
        yield lot


def _pull(upstream: Upstream, wire: Wire, after: int | None, subjects: Mapping[str, list[str]]) -> dict[str, Any]:
    page = wire.post("sync/pull/", json.dumps({"after": after, "subjects": subjects}).encode())
    check_epoch(upstream, page)
    return page


def _add(found: Fetched, upstream: Upstream, page: dict[str, Any]) -> None:
    try:
        _add_rows(found.news, page)
        _add_ledger(found.news, upstream, page)
    except (Unfit, KeyError, TypeError, AttributeError) as problem:
        raise Offline(f"{STRANGE} ({problem}).") from problem


def _add_rows(news: News, page: dict[str, Any]) -> None:
    for one in page["rows"]:
        key = read_id(one["id"], "/rows")
        if one["kind"] not in SUBJECTS:
            raise Unfit("/rows", f"it knows a {one['kind']}, and this program does not: bring it up to date")
        news.rows[key] = RowThere(one["kind"], key, bool(one["is_void"]), dict(one["columns"]))
        news.absent.pop(key, None)
    for one in page["absent"]:
        key = read_id(one["id"], "/absent")
        if key not in news.rows:
            news.absent[key] = str(one["kind"])


def _add_ledger(news: News, upstream: Upstream, page: dict[str, Any]) -> None:
    fresh = {read_id(key, "/changesets"): said for key, said in page["changesets"].items()}
    people = _people(fresh.values())
    for key, said in fresh.items():
        news.changesets[key] = _changeset(upstream, key, said, people)
    known = {one.pk for one in news.changes}
    for place, said in enumerate(page["changes"]):
        change = read_change(said, f"/changes/{place}")
        if change.pk not in known:
            change.outfit_id, change.changeset_id = upstream.outfit_id, read_id(said["changeset"], "/changeset")
            news.changes.append(change)


def _people(heads: Iterable[Mapping[str, Any]]) -> set[UUID]:
    ids = {str(one["person"]) for one in heads if one.get("person")}
    return set(Person.objects.filter(pk__in=ids).values_list("pk", flat=True))


def _changeset(upstream: Upstream, key: UUID, said: Any, people: set[UUID]) -> Changeset:
    head = read_head(said)
    return Changeset(
        id=key,
        outfit_id=upstream.outfit_id,
        kind=head.kind,
        title=head.title,
        person_id=head.person if head.person in people else None,
        person_name=head.person_name,
        day_id=head.day_id,
        recorded_at=head.recorded_at,
        undoes_id=head.undoes,
        is_undone=head.is_undone,
        is_performed=head.is_performed,
    )
