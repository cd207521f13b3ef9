"""What was written here and has to be sent: changesets, packed once and sent as packed, and operations of devices."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from herd.ledger.models import Change, Changeset
from herd.ledger.rows import in_steps
from herd.registry.models import GroupMembership, Tag, TagWearing
from herd.sync.models import Operation, Receipt, Upstream
from herd.sync.siblings.carrying import head_as_json, lines_of

# What a changeset says of itself that the other installation finds out by itself.
FOUND_THERE = ("is_undone", "is_performed", "person")


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to be sent, a packed changeset or an operation of a device, and when it was written here."""

    at: datetime
    key: UUID
    receipt: Receipt | None = None
    operation: Operation | None = None


def pack_changesets(upstream: Upstream) -> None:
    """Pack the changesets that were written here since both records were the same and were never packed.

    What came of operations is left out, since the operations themselves are sent. A changeset is sent as it was
    packed, however often, so that the other installation knows it again.
    """
    with transaction.atomic():
        own = Change.objects.filter(outfit=upstream.outfit, position__gt=upstream.settled_to)
        packed = Receipt.objects.filter(outfit=upstream.outfit).values("op_id")
        rows = Changeset.objects.filter(pk__in=own.values("changeset"), is_performed=False).exclude(pk__in=packed)
        Receipt.objects.bulk_create(pack(upstream, one) for one in rows.order_by("recorded_at", "pk"))


def pack(upstream: Upstream, one: Changeset) -> Receipt:
    """A changeset packed to be sent."""
    changes = list(one.changes.order_by("position"))
    head = {name: value for name, value in head_as_json(one).items() if name not in FOUND_THERE}
    body = {
        **head,
        "seen": {"epoch": str(upstream.epoch), "position": upstream.cursor},
        "names": _names(changes),
        "changes": lines_of(changes),
    }
    return Receipt.to_send(upstream, one.pk, body, one.recorded_at)


def _names(changes: Sequence[Change]) -> dict[str, dict[str, Any]]:
    """What wearings, memberships and tags are called in the field that the changes name and do not bring in."""
    said = [one.after or {} for one in changes]
    worn = _about(TagWearing.SUBJECT, changes) | {UUID(one["replaces_id"]) for one in said if one.get("replaces_id")}
    tags = _about(Tag.SUBJECT, changes) | {UUID(one["tag_id"]) for one in said if one.get("tag_id")}
    found: dict[str, dict[str, Any]] = {}
    for ids in in_steps(worn):
        found.update(
            {
                str(one.pk): {**_tag(one.tag), "of": one.SUBJECT, "animal_id": str(one.animal_id)}
                for one in TagWearing.objects.filter(pk__in=ids).select_related("tag")
            }
        )
    for ids in in_steps(tags):
        found.update({str(tag.pk): _tag(tag) for tag in Tag.objects.filter(pk__in=ids)})
    for ids in in_steps(_about(GroupMembership.SUBJECT, changes)):
        found.update({str(stay.pk): _stay(stay) for stay in GroupMembership.objects.filter(pk__in=ids)})
    return found


def _about(kind: str, changes: Sequence[Change]) -> set[UUID]:
    return {one.subject_id for one in changes if one.subject_kind == kind}


def _stay(stay: GroupMembership) -> dict[str, Any]:
    columns = {"animal_id": str(stay.animal_id), "group_id": str(stay.group_id)}
    return {"of": stay.SUBJECT, "joined_on": stay.joined_on.isoformat(), **columns}


def _tag(tag: Tag) -> dict[str, Any]:
    columns = {name: getattr(tag, name) for name in ("kind", "number", "colour", "issuer_year")}
    return {"of": tag.SUBJECT, **columns}


def due(upstream: Upstream) -> Iterator[Due]:
    """What is to be sent, in the order in which it was written; the bodies are fetched as they are needed."""
    packed = Receipt.objects.filter(outfit=upstream.outfit, status="").values_list("written_at", "pk")
    waiting = Operation.objects.filter(outfit=upstream.outfit, awaits=True).values_list("received_at", "pk")
    order = [(at, 0, key) for at, key in packed] + [(at, 1, key) for at, key in waiting]
    for some in in_steps(sorted(order)):
        receipts = Receipt.objects.in_bulk([key for _, kind, key in some if kind == 0])
        operations = Operation.objects.select_related("device").in_bulk([key for _, kind, key in some if kind == 1])
        for at, kind, key in some:
            yield Due(at, key, receipts.get(key) if kind == 0 else None, operations.get(key) if kind == 1 else None)


def has_unsent(upstream: Upstream) -> bool:
    """Whether something was written here that the other installation has not answered yet."""
    pack_changesets(upstream)
    waits = Receipt.objects.filter(outfit=upstream.outfit, status="").exists()
    return waits or Operation.objects.filter(outfit=upstream.outfit, awaits=True).exists()
