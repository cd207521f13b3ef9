"""Changesets of a sibling: what is clear is written with its ids, what clashes is judged like a device's work."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from herd.ledger.entry import Entry
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal
from herd.registry.services.replay import replay
from herd.registry.services.replaying.carried import Carried, Replayed
from herd.sync.cursors import head_of
from herd.sync.models import Alias, Operation, OperationStatus
from herd.sync.performing.clashing import put_to_a_person
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Sent, refused
from herd.sync.reading import Unfit
from herd.sync.siblings.carrying import Head, read_changes, read_head, read_names
from herd.sync.subjects import resolve

MOST_PARTS = 10_000
NOT_WHOLE = "Another part of it has not come yet."


def write_again(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Write changesets of a sibling into the record."""
    return {sent.op_id: _write_again(run, sent) for sent in sents}


def _write_again(run: Run, sent: Sent) -> Answer:
    data = sent.data
    part, parts = data.get("part", 1), data.get("parts", 1)
    if not all(isinstance(one, int) and 1 <= one <= MOST_PARTS for one in (part, parts)):
        return refused("A changeset has parts from 1 on.", "/data/part")
    if part < parts:
        return Answer(OperationStatus.APPLIED, [{"pointer": "", "detail": "It is kept until the last part comes."}])
    listed = _all_changes(run, sent, parts)
    if listed is None:
        return Answer(OperationStatus.HELD, [{"pointer": "/data/part", "detail": NOT_WHOLE}])
    try:
        head, changes, names = read_head(data), read_changes(listed), read_names(data.get("names", {}))
    except Unfit as unfit:
        return refused(str(unfit), unfit.pointer)
    if not changes:
        return Answer(OperationStatus.APPLIED)
    carried = Carried(changes, names, _seen_to(run, data.get("seen")), _aliases(run, changes))
    with transaction.atomic():
        found = replay(_entry(run, sent, head), carried)
        _keep_aliases(run, found)
        return put_to_a_person(run, sent, carried, found)


def part_id(changeset: UUID, part: int) -> UUID:
    """The id under which a part travels that is not the last."""
    return uuid5(changeset, f"part {part}")


def _all_changes(run: Run, sent: Sent, parts: int) -> list[Any] | None:
    """The changes of all parts in their order; None where one is missing."""
    before = {part_id(sent.op_id, part): part for part in range(1, parts)}
    rows = Operation.objects.filter(outfit=run.outfit, op_id__in=before, kind=sent.kind)
    came = {before[one.op_id]: one.body for one in rows if one.op_id and isinstance(one.body, dict)}
    if len(came) < parts - 1:
        return None
    bodies = [came[part].get("data", {}) for part in range(1, parts)] + [sent.data]
    lists = [body.get("changes") for body in bodies]
    return [change for some in lists for change in (some if isinstance(some, list) else [None])]


def _seen_to(run: Run, said: Any) -> int:
    """The position of our feed that the author had seen; from the beginning where it was of another epoch."""
    if not isinstance(said, dict) or said.get("epoch") != str(head_of(run.outfit).epoch):
        return 0
    position = said.get("position")
    return position if isinstance(position, int) and not isinstance(position, bool) else 0


def _aliases(run: Run, changes: Sequence[Change]) -> dict[UUID, UUID]:
    known = dict(Alias.objects.filter(outfit=run.outfit).values_list("theirs", "ours"))
    animals = {one.animal_id for one in changes if one.animal_id}
    animals |= {one.subject_id for one in changes if one.subject_kind == "animal"}
    # One that was merged here is followed where the changeset is judged, since a merge is about the records apart.
    here = set(Animal.objects.filter(outfit=run.outfit, pk__in=animals).values_list("pk", flat=True))
    known.update({key: own for key, own in resolve(run.outfit, animals - here).items() if key != own})
    return known


def _keep_aliases(run: Run, found: Replayed) -> None:
    known = set(Alias.objects.filter(outfit=run.outfit, theirs__in=found.aliases).values_list("theirs", flat=True))
    Alias.objects.bulk_create(
        Alias(outfit=run.outfit, device=run.device, theirs=key, ours=own)
        for key, own in found.aliases.items()
        if key not in known
    )


def _entry(run: Run, sent: Sent, head: Head) -> Entry:
    undoes = Changeset.objects.filter(outfit=run.outfit, pk=head.undoes).first() if head.undoes else None
    return Entry(
        run.outfit,
        None,
        head.kind,
        head.title,
        day_id=head.day_id,
        undoes=undoes,
        signed=head.person_name or run.device.name,
        id=sent.op_id,
        recorded_at=head.recorded_at,
    )
