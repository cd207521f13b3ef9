"""What goes together or not at all: an animal's tags, its stays with a leaving, its facts; any other row alone."""

from collections.abc import Iterable, Mapping, Sequence
from uuid import UUID

from herd.ledger.models import Change
from herd.registry.models import Event, GroupMembership, TagWearing
from herd.registry.services.replaying.carried import Clash, creates, is_merge
from herd.values.eventkinds import EVENT_KINDS, LEAVING

Unit = tuple[str, UUID | None]
TOGETHER = "It belongs to something that can't stand beside what others wrote."


def units_of(changes: Sequence[Change]) -> dict[UUID, Unit]:
    """The unit of each change, by the change's id."""
    if is_merge(changes):
        return {one.pk: ("all", None) for one in changes}
    tags = {_uuid((one.after or {}).get("tag_id")): one for one in changes if one.subject_kind == TagWearing.SUBJECT}
    return {one.pk: _unit(one, tags) for one in changes}


def _unit(change: Change, wearings: Mapping[UUID | None, Change]) -> Unit:
    kind = change.subject_kind
    if kind == TagWearing.SUBJECT:
        return "tags", change.animal_id
    if kind == GroupMembership.SUBJECT or _leaves(change):
        return "stays", change.animal_id
    if kind == "tag" and change.subject_id in wearings:
        return "tags", wearings[change.subject_id].animal_id
    return kind, change.subject_id


def _leaves(change: Change) -> bool:
    if change.subject_kind != Event.SUBJECT:
        return False
    kind = EVENT_KINDS.get(str((change.after or {}).get("kind", "")))
    return kind is not None and kind.effect in LEAVING


def _uuid(value: object) -> UUID | None:
    return UUID(str(value)) if value else None


def whole_clashes(changes: Sequence[Change], clashes: Iterable[Clash]) -> list[Clash]:
    """The clashes with all that goes down with them, in the order of the changes."""
    found = {one.change.pk: one for one in clashes}
    units = units_of(changes)
    gone = {units[key] for key, one in found.items() if not one.columns}
    # A new animal whose number is on another may be that animal: it is asked about with its number, not without.
    new = {one.animal_id for one in changes if creates(one) and one.subject_kind == "animal"}
    for name, key in list(gone):
        if name in {"tags", "animal"} and key in new:
            gone |= {("animal", key), ("tags", key), ("stays", key)}
    for one in changes:
        if units[one.pk] in gone and (one.pk not in found or found[one.pk].columns):
            found[one.pk] = Clash(one, TOGETHER)
    return [found[one.pk] for one in changes if one.pk in found]
