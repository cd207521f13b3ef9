"""Changes that clash, said as the operations a device would have sent for them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time
from typing import Any
from uuid import UUID, uuid5

from herd.ledger.models import Action, Change
from herd.registry.models import Tag, TagKind, TagWearing
from herd.registry.services.batch import EDITABLE_FACTS
from herd.registry.services.replaying.carried import Carried, Clash
from herd.registry.services.replaying.values import renamed
from herd.sync.models import Operation
from herd.sync.performing.run import Run
from herd.sync.protocol import Sent

Tagged = Mapping[str, Any]


@dataclass(slots=True)
class Wanted:
    """An operation to be judged, and the clashes that it says."""

    body: dict[str, Any]
    clashes: list[Clash]


@dataclass(slots=True)
class Translation:
    """Clashes of one changeset on their way to operations; `said` are the changes whose clash an operation covers."""

    run: Run
    sent: Sent
    carried: Carried
    wanted: list[Wanted] = field(default_factory=list)
    said: set[UUID] = field(default_factory=set)

    def add(self, kind: str, clashes: Sequence[Clash], op_id: UUID, day: Any, **members: Any) -> None:
        """Want an operation for these clashes, dated on the day at noon, or when the changeset was recorded."""
        body = {"op_id": str(op_id), "dseq": 0, "kind": kind, "at": self._moment(day), **members}
        self.wanted.append(Wanted(body, list(clashes)))
        self.said.update(one.change.pk for one in clashes)

    def _moment(self, day: Any) -> str:
        text = str(day or "")
        if "T" in text or not text:
            return text or str(self.sent.data.get("recorded_at"))
        noon = datetime.combine(datetime.fromisoformat(text).date(), time(12), tzinfo=self.run.outfit.zone)
        return noon.isoformat()

    def tag(self, key: Any) -> Tagged:
        """What a tag, or the tag of a wearing, is called; empty where nobody knows."""
        if not key:
            return {}
        own = UUID(str(key))
        for change in self.carried.changes:
            if change.subject_id == own and change.subject_kind == Tag.SUBJECT:
                return change.after or {}
        named = self.carried.names.get(own)
        if named:
            return named
        row = Tag.objects.filter(outfit=self.run.outfit, pk=own).first()
        if row is None:
            worn = TagWearing.objects.filter(outfit=self.run.outfit, pk=own).select_related("tag").first()
            row = worn.tag if worn else None
        return {"kind": row.kind, "number": row.number, "colour": row.colour} if row else {}


def translate(
    run: Run, sent: Sent, carried: Carried, clashes: Sequence[Clash]
) -> tuple[list[Wanted], list[Clash]]:
    """The operations that say what clashes, in the order of the changes, and the clashes that none says."""
    found = Translation(run, sent, carried)
    by_animal: dict[UUID, list[Clash]] = defaultdict(list)
    for one in clashes:
        if one.change.animal_id and not _is_merge(one.change):
            by_animal[one.change.animal_id].append(one)
    for animal, some in by_animal.items():
        _facts(found, animal, some)
        _tags(found, animal, some)
        _stays(found, animal, some)
        _events(found, animal, some)
    # A tag is made with its wearing.
    worn = {str(_after(one).get("tag_id")) for one in clashes if one.change.pk in found.said}
    left = [one for one in clashes if one.change.pk not in found.said]
    return found.wanted, [one for one in left if str(one.change.subject_id) not in worn]


def _is_merge(change: Change) -> bool:
    return "same_as_id" in {**(change.before or {}), **(change.after or {})}


def _of(kind: str, clashes: Iterable[Clash], *actions: str) -> list[Clash]:
    return [one for one in clashes if one.change.subject_kind == kind and one.change.action in actions]


def _facts(found: Translation, animal: UUID, some: list[Clash]) -> None:
    about = {"subject": {"animal": str(animal)}}
    for one in _of("animal", some, Action.CREATED):
        worn = _of("wearing", some, Action.CREATED)
        joined = [other for other in _of("membership", some, Action.CREATED) if not _after(other).get("left_on")]
        numbers = [_number(found.tag(_after(other).get("tag_id"))) for other in worn]
        facts = {name: value for name, value in _after(one).items() if name in EDITABLE_FACTS}
        data: dict[str, Any] = {"facts": facts, "tags": [number for number in numbers if number["number"]]}
        if joined:
            group = renamed(_after(joined[0]), found.carried.aliases).get("group_id")
            data["group"] = group
        made = [*worn, *_of("membership", some, Action.CREATED)]
        day = next((_after(other).get("worn_from") or _after(other).get("joined_on") for other in made), None)
        key = uuid5(one.change.pk, "animal.register")
        found.add("animal.register", [one, *made], key, day, data=data, **about)
    for one in _of("animal", some, Action.CHANGED):
        names = (one.columns or set(_after(one))) & set(EDITABLE_FACTS)
        if names and names >= (one.columns or set(_after(one))):
            before = one.change.before or {}
            edit = {name: {"from": before.get(name), "to": _after(one)[name]} for name in sorted(names)}
            found.add("animal.edit", [one], uuid5(one.change.pk, "animal.edit"), None, set=edit, **about)


def _tags(found: Translation, animal: UUID, some: list[Clash]) -> None:
    ended = [one for one in _of("wearing", some, Action.CHANGED) if _after(one).get("ended")]
    for one in _of("wearing", some, Action.CREATED):
        if one.change.pk in found.said or _after(one).get("ended"):
            continue
        new = _number(found.tag(_after(one).get("tag_id")))
        old = next((other for other in ended if _kind_of(found, other) == new["kind"]), None)
        if new["kind"] == TagKind.EID and _wears_another(found, animal, new["number"]):
            _ask_by_old_number(found, one, old)
        elif old is None:
            reason = str(_after(one).get("second_reason", ""))
            data = {**new, "second_reason": reason}
            _tag_operation(found, "tag.on", animal, [one], data)
        else:
            gone = _number(found.tag(old.change.subject_id))
            data = {**gone, "new_number": new["number"], "ended": _after(old)["ended"]}
            _tag_operation(found, "tag.off", animal, [one, old], data)
    for one in (one for one in ended if one.change.pk not in found.said):
        data = {**_number(found.tag(one.change.subject_id)), "ended": _after(one)["ended"]}
        if data["number"]:
            _tag_operation(found, "tag.off", animal, [one], data)


def _wears_another(found: Translation, animal: UUID, number: str) -> bool:
    worn = TagWearing.objects.of(found.run.outfit).filter(animal=animal, kind=TagKind.EID, ended="", is_second=False)
    return worn.exclude(tag__number=number).exists()


def _ask_by_old_number(found: Translation, new: Clash, old: Clash | None) -> None:
    """Ask which of two new EIDs is right, by the number that was on before; without one it is kept aside."""
    number = found.tag(old.change.subject_id).get("number") if old else None
    if old and number:
        data = _number(found.tag(_after(new).get("tag_id")))
        key, day = uuid5(new.change.pk, "tag.on"), _after(new).get("worn_from")
        found.add("tag.on", [new, old], key, day, data=data, subject={"eid": str(number)})


def _tag_operation(found: Translation, kind: str, animal: UUID, clashes: list[Clash], data: dict[str, Any]) -> None:
    said = _after(clashes[0])
    day = said.get("worn_from") or said.get("worn_to")
    key = uuid5(clashes[0].change.pk, kind)
    found.add(kind, clashes, key, day, data=data, subject={"animal": str(animal)})


def _kind_of(found: Translation, one: Clash) -> str:
    return str(found.tag(one.change.subject_id).get("kind", ""))


def _number(tag: Tagged) -> dict[str, Any]:
    return {name: str(tag.get(name, "")) for name in ("kind", "number", "colour")}


def _stays(found: Translation, animal: UUID, some: list[Clash]) -> None:
    opened = [one for one in _of("membership", some, Action.CREATED) if not _after(one).get("left_on")]
    opened = [one for one in opened if one.change.pk not in found.said]
    closed = _of("membership", some, Action.CHANGED)
    for one in opened:
        group = renamed(_after(one), found.carried.aliases).get("group_id")
        key = uuid5(one.change.pk, "move")
        about = {"subject": {"animal": str(animal)}}
        found.add("move", [one, *closed], key, _after(one)["joined_on"], data={"group": group}, **about)
    leaving = [one for one in _of("event", some, Action.CREATED) if _after(one).get("kind")]
    if leaving and not opened:
        # What takes an animal out of the herd closes its stay by itself.
        found.said.update(one.change.pk for one in closed)


def _events(found: Translation, animal: UUID, some: list[Clash]) -> None:
    about = {"subject": {"animal": str(animal)}}
    for one in _of("event", some, Action.CREATED):
        said = _after(one)
        if said.get("supersedes_id"):
            continue
        data = {"kind": said.get("kind"), "data": said.get("data") or {}}
        key = _event_id(found, one.change)
        found.add("event", [one], key, said.get("happened_at") or said.get("happened_on"), data=data, **about)
    for one in _of("event", some, Action.VOIDED):
        key = uuid5(one.change.pk, "event.void")
        data = {"event": str(one.change.subject_id), "reason": one.change.reason}
        found.add("event.void", [one], key, None, data=data, **about)


def _event_id(found: Translation, change: Change) -> UUID:
    """The event's own id, by which later work names it, unless an operation has it already."""
    taken = Operation.objects.filter(outfit=found.run.outfit, op_id=change.subject_id).exists()
    return uuid5(change.pk, "event") if taken else change.subject_id


def _after(one: Clash) -> dict[str, Any]:
    return one.change.after or {}
