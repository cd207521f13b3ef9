"""What would be left hanging on rows that are taken out, and what comes for animals that left unseen."""

from collections.abc import Iterable
from uuid import UUID

from herd.ledger.models import Action, Change
from herd.ledger.rows import in_steps
from herd.registry.models import SUBJECTS, Animal, AnimalStatus, Event
from herd.registry.services.replaying.carried import Clash
from herd.registry.services.replaying.desk import Desk
from herd.values.eventkinds import EVENT_KINDS, LEAVING

LEAN_ON = {
    "animal": (
        ("membership", "animal_id"),
        ("wearing", "animal_id"),
        ("event", "animal_id"),
        ("animal", "dam_id"),
        ("animal", "sire_id"),
    ),
    "group": (("membership", "group_id"), ("head_check", "group_id")),
    "location": (("group", "location_id"),),
    "tag": (("wearing", "tag_id"),),
    "tag_box": (("missing_tag", "box_id"),),
}
LEANS = "Others had written more on it meanwhile."
LEFT = "The animal had left the herd meanwhile."
OF_ANIMALS = frozenset({"event", "membership", "wearing"})
LEAVING_KINDS = [kind.key for kind in EVENT_KINDS.values() if kind.effect in LEAVING]


def leaned_upon(desk: Desk) -> list[Clash]:
    """The changes that would take out a row on which another stands."""
    found = []
    for key, change in desk.voided.items():
        if any(_has_leaning(desk, kind, column, key) for kind, column in LEAN_ON.get(change.subject_kind, ())):
            found.append(Clash(change, LEANS))
    return found


def _has_leaning(desk: Desk, kind: str, column: str, key: UUID) -> bool:
    here = SUBJECTS[kind].objects.of(desk.outfit).filter(**{column: key})
    seen = [desk.rows.get(row.pk, row) for row in here]
    mine = [row for row in desk.new.values() if kind == row.SUBJECT]
    return any(not row.is_void and getattr(row, column) == key for row in [*seen, *mine])


def left_unseen(desk: Desk, changes: Iterable[Change], seen_to: int) -> list[Clash]:
    """What comes for animals that were sold, died or were lost after the author had last looked at the record."""
    coming = [one for one in changes if one.action == Action.CREATED and one.subject_kind in OF_ANIMALS]
    gone = _gone(desk, {desk.own(one.animal_id) for one in coming if one.animal_id}, seen_to)
    found = []
    for one in coming:
        since = gone.get(desk.own(one.animal_id)) if one.animal_id else None
        if since is not None and one.subject_id not in desk.known and _is_after(one, since):
            found.append(Clash(one, LEFT))
    return found


def _gone(desk: Desk, animals: set[UUID], seen_to: int) -> dict[UUID, str]:
    """The animals that left unseen, with the day as text."""
    found: dict[UUID, str] = {}
    for ids in in_steps(animals):
        left = Animal.objects.of(desk.outfit).filter(pk__in=ids).exclude(status=AnimalStatus.ON_HAND)
        days = {key: day.isoformat() if day else "" for key, day in left.values_list("pk", "status_since")}
        events = Event.objects.of(desk.outfit).filter(animal__in=days, kind__in=LEAVING_KINDS)
        told = dict(events.values_list("pk", "animal_id"))
        late = Change.objects.filter(outfit=desk.outfit, subject_id__in=told, position__gt=seen_to)
        found.update({told[key]: days[told[key]] for key in late.values_list("subject_id", flat=True)})
    return found


def _is_after(change: Change, since: str) -> bool:
    said = change.after or {}
    if change.subject_kind == "event" and said.get("kind") in LEAVING_KINDS:
        return True
    day = said.get("happened_on") or said.get("joined_on") or said.get("worn_from") or ""
    return not day or str(day) >= since
