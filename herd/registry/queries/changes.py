"""Which changes stand: one may be taken back, and that may be taken back in turn, any number of times."""

from collections.abc import Collection, Iterable
from uuid import UUID

from django.db.models import QuerySet

from herd.ledger.models import Action, Change, Changeset
from herd.ledger.rows import in_steps


def changes_about(changes: QuerySet[Change], animal_ids: Collection[UUID]) -> list[Change]:
    """Return the changes about these animals, oldest first.

    A row that came over from another animal brings what was written about it there, up to the day it came.
    """
    own = list(changes.filter(animal_id__in=animal_ids).order_by("position"))
    moves = [one for one in own if one.action == Action.CHANGED and "animal_id" in (one.after or {})]
    if not moves:
        return own
    standing = standing_ids(own)
    came = {one.subject_id: one.position for one in moves if one.pk in standing and one.undoes is None}
    there = [
        one
        for ids in in_steps(came)
        for one in changes.filter(subject_id__in=ids).exclude(animal_id__in=animal_ids)
        if one.position < came[one.subject_id]
    ]
    return sorted([*own, *there], key=lambda one: one.position)


def facts_of(changes: Iterable[Change]) -> list[Change]:
    """Of the changes of some rows, return those that wrote a fact and stand, oldest first.

    All changes of those rows must be among them, those that take others back as well.
    """
    ordered = sorted(changes, key=lambda change: change.position)
    standing = standing_ids(ordered)
    return [change for change in ordered if change.undoes is None and change.pk in standing]


def standing_ids(changes: Iterable[Change]) -> set[UUID]:
    """The changes among these that stand: not taken back, or taken back and brought back again.

    All changes of their rows must be among them, those that take others back as well.
    """
    undone: set[UUID] = set()
    listed = sorted(changes, key=lambda change: change.position, reverse=True)
    for change in listed:
        if change.undoes and change.pk not in undone:
            undone.add(change.undoes)
    return {change.pk for change in listed} - undone


def last_words(changes: Iterable[Change]) -> dict[UUID, Change]:
    """For each change that stands, by its id, return the change whose reversal would take it back.

    That is the change itself, or where it was taken back and brought back, the last that brought it back.
    """
    listed = list(changes)
    takers: dict[UUID, Change] = {}
    layer = listed
    while layer:
        steps = in_steps(change.pk for change in layer)
        layer = [taker for ids in steps for taker in Change.objects.filter(undoes__in=ids)]
        takers.update({taker.undoes: taker for taker in layer if taker.undoes})
    found = {}
    for change in listed:
        word, depth = change, 0
        while word.pk in takers:
            word, depth = takers[word.pk], depth + 1
        if depth % 2 == 0:
            found[change.pk] = word
    return found


def animals_made(changeset: Changeset) -> list[UUID]:
    """The animals that a changeset brought into the record, in the order in which it did."""
    made = Change.objects.filter(changeset=changeset, subject_kind="animal", action=Action.CREATED)
    return list(made.order_by("position").values_list("subject_id", flat=True))
