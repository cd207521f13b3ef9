"""Writes a changeset that was written in another installation: what is clear with its ids, what clashes is told."""

from collections.abc import Sequence
from uuid import UUID

from django.db import DatabaseError, IntegrityError, OperationalError

from herd.ledger.entry import Entry
from herd.ledger.models import Change, Changeset
from herd.ledger.record import changeset
from herd.registry.models import Animal, Group
from herd.registry.services.put_rows import put_rows
from herd.registry.services.replaying.aliases import find_aliases
from herd.registry.services.replaying.carried import Carried, Clash, Replayed, creates
from herd.registry.services.replaying.contested import contested
from herd.registry.services.replaying.desk import Desk, lay_out
from herd.registry.services.replaying.judging import judge
from herd.registry.services.replaying.leaning import leaned_upon, left_unseen
from herd.registry.services.replaying.units import whole_clashes
from herd.registry.services.standing import correct_standing
from herd.registry.services.undone import mark_undone

BREAKS = "It can't stand beside what others wrote meanwhile."


def replay(entry: Entry, carried: Carried) -> Replayed:
    """Write what of a carried changeset is clear, as one changeset with the id that the entry gives.

    Each field is merged by what its author saw; what goes together is written together or not at all. Nothing is
    written of what clashes: the caller puts it to a person. Rows that were here already under another id stand for
    those that come, and the caller keeps these aliases. Runs in the transaction of the caller.
    """
    aliases = find_aliases(entry.outfit, carried)
    found = _judged(entry, carried, aliases)
    found.aliases = {key: own for key, own in aliases.items() if key not in carried.aliases}
    return found


def _judged(entry: Entry, carried: Carried, aliases: dict[UUID, UUID]) -> Replayed:
    desk = lay_out(entry.outfit, carried.changes, aliases)
    clashes = left_unseen(desk, carried.changes, carried.seen_to)
    while True:
        found = _pass(desk, carried.changes, whole_clashes(carried.changes, clashes))
        more = whole_clashes(carried.changes, found.clashes)
        if {(one.change.pk, one.columns) for one in more} == {(one.change.pk, one.columns) for one in clashes}:
            break
        clashes = more
    found.clashes = clashes
    _drop_unused_tags(desk, found)
    try:
        _write(entry, desk, found)
    except OperationalError:
        raise
    except (IntegrityError, DatabaseError):
        return Replayed(clashes=[Clash(one, BREAKS) for one in carried.changes])
    return found


def _pass(desk: Desk, changes: Sequence[Change], clashes: Sequence[Clash]) -> Replayed:
    """Take all that is not known to clash, in memory, and say what clashes now."""
    desk.clear()
    blocked = {one.change.pk for one in clashes if not one.columns}
    found = Replayed(clashes=[one for one in clashes if not one.columns])
    for change in changes:
        if change.pk not in blocked:
            judge(desk, change, found)
    sources = {desk.own(one.subject_id): one for one in changes if one.pk not in blocked}
    found.clashes += [Clash(sources[key], says) for key, says in contested(desk).items() if key in sources]
    found.clashes += leaned_upon(desk)
    return found


def _drop_unused_tags(desk: Desk, found: Replayed) -> None:
    """Make no tag whose wearing is not written."""
    worn = {str((one.after or {}).get("tag_id")) for one in found.written if one.subject_kind == "wearing"}
    refused = {str((one.change.after or {}).get("tag_id")) for one in found.clashes}
    unused = {
        one.subject_id
        for one in found.written
        if one.subject_kind == "tag" and creates(one) and str(one.subject_id) in refused - worn
    }
    found.written = [one for one in found.written if one.subject_id not in unused]
    for key in unused:
        desk.new.pop(key, None)


def _write(entry: Entry, desk: Desk, found: Replayed) -> None:
    with changeset(entry) as pen:
        for one in found.written:
            pen.carry(one)
        put_rows(desk.new.values(), desk.changed.values())
        correct_standing(entry.outfit, _animals(desk, found.written))
    if found.written and any(one.undoes for one in found.written):
        mark_undone(pen.changeset)


def _animals(desk: Desk, written: Sequence[Change]) -> set[UUID]:
    found = {one.animal_id for one in written if one.animal_id}
    for row in [*desk.changed.values(), *desk.new.values()]:
        if isinstance(row, Animal):
            found.add(row.pk)
    moved = [one.subject_id for one in written if one.subject_kind == Group.SUBJECT]
    return found | set(Animal.objects.filter(group__in=moved, is_void=False).values_list("pk", flat=True))


def is_here(key: UUID) -> bool:
    """Whether a changeset is in the ledger."""
    return Changeset.objects.filter(pk=key).exists()
