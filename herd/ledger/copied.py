"""The ledger of an installation that follows another: what is decided there takes the place of what was written here.

Our own part of the ledger, behind the position up to which both are the same, is provisional: it becomes what the
other installation has made of it. That is no deletion of history; the history is the other's ledger, copied.
"""

from collections.abc import Collection, Mapping, Sequence
from uuid import UUID

from django.db import connection
from django.db.models import Count, F

from herd.accounts.models import Outfit
from herd.ledger.models import Change, Changeset, FeedCounter
from herd.ledger.rows import in_steps, insert_rows, update_rows


class Moved(Exception):  # noqa: N818
    """Something was written here meanwhile, which has to be sent first."""


def provisional(outfit: Outfit, settled_to: int) -> dict[UUID, tuple[UUID, str, UUID]]:
    """Our own changes, by id: their changeset, and the kind and id of the row that each is about."""
    own = Change.objects.filter(outfit=outfit, position__gt=settled_to)
    rows = own.values_list("pk", "changeset_id", "subject_kind", "subject_id")
    return {key: (of, kind, subject) for key, of, kind, subject in rows}


def replace_ledger(
    outfit: Outfit, changesets: Mapping[UUID, Changeset], changes: Sequence[Change], own: Collection[UUID]
) -> set[UUID]:
    """Let these changes, in their order, stand at the end of the feed, and of our own no others.

    Changes that are here already keep their row and get a new place. Returns the changesets to look at again, since
    what took them back may be gone. The caller holds the transaction and takes positions with `number_changes`.
    """
    given = {one.pk for one in changes}
    gone = [key for key in own if key not in given]
    doubtful = _remove(gone, changesets)
    here = _here(Change, given)
    kept_heads = _here(Changeset, changesets)
    insert_rows([one for key, one in changesets.items() if key not in kept_heads])
    update_rows([one for key, one in changesets.items() if key in kept_heads], ["undoes_id", "day_id", "is_performed"])
    insert_rows([one for one in changes if one.pk not in here])
    update_rows([one for one in changes if one.pk in here], ["position", "undoes"])
    _count(changesets)
    return doubtful | {one.undoes_id for one in changesets.values() if one.undoes_id}


def _here(model: type[Change] | type[Changeset], ids: Collection[UUID]) -> set[UUID]:
    found: set[UUID] = set()
    for some in in_steps(ids):
        found.update(model._base_manager.filter(pk__in=some).values_list("pk", flat=True))
    return found


def _remove(changes: Collection[UUID], staying: Mapping[UUID, Changeset]) -> set[UUID]:
    """Take provisional changes out, with changesets of which nothing is left; return what those had taken back."""
    touched: set[UUID] = set()
    for ids in in_steps(changes):
        rows = Change._base_manager.filter(pk__in=ids)
        touched.update(rows.values_list("changeset_id", flat=True))
        rows._raw_delete(connection.alias)
    doubtful: set[UUID] = set()
    for ids in in_steps(touched - set(staying)):
        empty = Changeset._base_manager.filter(pk__in=ids, changes=None)
        found = list(empty.values_list("pk", "undoes_id"))
        doubtful.update(undoes for _, undoes in found if undoes)
        Changeset._base_manager.filter(pk__in=[key for key, _ in found])._raw_delete(connection.alias)
    return doubtful | (touched - set(staying))


def _count(changesets: Collection[UUID]) -> None:
    for ids in in_steps(changesets):
        counted = Changeset.objects.filter(pk__in=ids).annotate(found=Count("changes")).order_by()
        update_rows([Changeset(pk=one.pk, change_count=one.found) for one in counted], ["change_count"])


def number_changes(outfit: Outfit, changes: Sequence[Change], expected: int) -> int:
    """Give changes the next positions; raises Moved where the feed is not where it was. Returns its new end.

    The counter is the last lock taken: whoever wrote meanwhile has committed, and is seen.
    """
    counters = FeedCounter.objects.filter(outfit=outfit)
    counters.update(position=F("position") + len(changes))
    end = counters.get().position
    if end - len(changes) != expected:
        raise Moved
    for position, change in enumerate(changes, end - len(changes) + 1):
        change.position = position
    return end
