"""What must hold when all is quiet, judged from what people and phones did and what records say, not by the code."""

import json
from collections import Counter
from typing import Any
from uuid import UUID

from herd.intake.models import Finding, ProcessingDay, Ruling
from herd.ledger.models import Change, ChangesetKind
from herd.registry.models import Animal, Event, TagWearing
from herd.sync.days.packing import lines_of
from herd.sync.models import Operation, Receipt, Upstream
from herd.sync.siblings.kept import kept_here
from tests.sync.properties.fieldphone import FINAL
from tests.sync.siblings.deeds import Done
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.world import Place, World

IN_RECORD = {"applied", "merged"}


def animals_at(place: Place) -> list[UUID]:
    """The animals in a place's record."""
    with place.at.here():
        return list(Animal.objects.filter(is_void=False).order_by("pk").values_list("pk", flat=True))


def all_hold(world: World, phones: list[PocketPhone], done: Done) -> None:
    """All that holds when the network is quiet."""
    world.is_one()
    nothing_is_on_its_way(world, phones)
    with world.office.at.here():
        said = {str(one.op_id): one for one in Operation.objects.exclude(op_id=None)}
        kept = json.dumps([one.body for one in said.values() if one.status not in IN_RECORD])
        operations_are_stored(phones, said)
        events_are_there_once(phones, said, done, kept)
        groups_are_whole(phones, said)
        values_are_meant(done)
        values_are_kept(done, kept)
        tags_are_worn_by_one(done, kept)
    copies_are_the_record(world, phones)
    days_are_copied(world)
    all_keep_the_same(world)
    rulings_stand(world, done)


def nothing_is_on_its_way(world: World, phones: list[PocketPhone]) -> None:
    """Outboxes are empty, and every phone has a final answer to all it did."""
    for place in world.places[1:]:
        with place.at.here():
            assert not Operation.objects.filter(awaits=True).exists(), f"operations wait at the {place.at.name}"
            assert not Receipt.objects.filter(status="").exists(), f"changesets wait at the {place.at.name}"
            assert Upstream.objects.get().problem == ""
    for phone in phones:
        assert not phone.outbox
        assert not phone.relayed, f"{list(phone.relayed)} is not final"
        assert set(phone.answers) == set(phone.captured)


def operations_are_stored(phones: list[PocketPhone], said: dict[str, Operation]) -> None:
    """Whatever a phone did is at the office as it was sent, with a final status, and the phone was told that one."""
    for phone in phones:
        for op_id, body in phone.captured.items():
            assert op_id in said, f"{body} never came to the office"
            assert said[op_id].body == body
            assert said[op_id].status in FINAL


def events_are_there_once(phones: list[PocketPhone], said: dict[str, Operation], done: Done, kept: str) -> None:
    """What was weighed is in the record once, or waits for a person; and it says what was weighed."""
    events = {one.pk: one for one in Event.objects.filter(kind="weight")}
    made = Counter(Change.objects.filter(subject_kind="event", action="created").values_list("subject_id", flat=True))
    for phone in phones:
        for op_id, body in phone.captured.items():
            if body["kind"] != "event" or body["data"]["kind"] != "weight":
                continue
            key, is_in = UUID(op_id), said[op_id].status in IN_RECORD
            assert made[key] == (1 if is_in else 0), f"{body} was {said[op_id].status}, and is there {made[key]} times"
            if is_in:
                assert events[key].data["weight"] == body["data"]["data"]["weight"]
    for deed in done.of("weight"):
        assert made[deed.subject] <= 1
        if made[deed.subject]:
            assert events[deed.subject].data["weight"] == deed.said[0]
        else:
            assert str(deed.subject) in kept or done.is_excused(deed), f"{deed} is nowhere"


def groups_are_whole(phones: list[PocketPhone], said: dict[str, Operation]) -> None:
    """Of operations that go together all are in the record, or none."""
    together: dict[str, set[bool]] = {}
    for phone in phones:
        for op_id, body in phone.captured.items():
            if body.get("group"):
                together.setdefault(body["group"], set()).add(said[op_id].status in IN_RECORD)
    assert all(len(found) == 1 for found in together.values())


def values_are_meant(done: Done) -> None:
    """No value was replaced by somebody who had not seen it."""
    meant = {deed.said for deed in done.of("edit")}
    for change in Change.objects.filter(subject_kind="animal", action="changed").select_related("changeset"):
        for name in set(change.after or {}) & {"breed", "coat"}:
            before, after = str((change.before or {})[name]), str((change.after or {})[name])
            is_taken_back = change.changeset.undoes_id or change.undoes or change.subject_id in done.undone
            is_ruled = change.changeset.kind == ChangesetKind.INTAKE
            is_meant = (name, before, after) in meant or _of_registration(before) or is_taken_back or is_ruled
            assert before == after or is_meant, f"{name} went from {before!r} to {after!r}, which nobody meant"


def _of_registration(before: str) -> bool:
    """A second registration of an animal tells more of it than was known."""
    return before == ""


def values_are_kept(done: Done, kept: str) -> None:
    """A value that somebody wrote stood in the record at some time, or is put to a person, or is kept aside."""
    stood: set[tuple[str, str]] = set()
    for change in Change.objects.filter(subject_kind="animal"):
        for side in (change.before or {}, change.after or {}):
            stood |= {(name, str(value)) for name, value in side.items()}
    for deed in done.of("edit"):
        name, _, to = deed.said
        waits = f'"{to}"' in kept and str(deed.subject) in kept
        assert (name, to) in stood or waits or done.is_excused(deed), f"{deed} is nowhere"


def tags_are_worn_by_one(done: Done, kept: str) -> None:
    """A number hangs on one animal at a time; who put it on is in the record, or the claim is kept."""
    worn = TagWearing.objects.filter(ended="", is_void=False).values_list("tag__number", "kind")
    twice = [one for one, count in Counter(worn).items() if count > 1]
    assert not twice, f"{twice} is worn by two"
    ever = set(TagWearing.objects.values_list("tag__number", flat=True))
    for deed in done.of("tag"):
        assert {deed.said[0]} & ever or deed.said[0] in kept or done.is_excused(deed), f"{deed} is nowhere"


def copies_are_the_record(world: World, phones: list[PocketPhone]) -> None:
    """What each phone has is what a first copy gives it now."""
    for place, phone in zip(world.places, phones, strict=True):
        fresh = PocketPhone(phone.token, phone.scope, phone.device)
        with place.at.here():
            fresh.first_copy()
        assert phone.base.keys() == fresh.base.keys(), f"{place.at.name}: {phone.base.keys() ^ fresh.base.keys()}"
        for key, card in fresh.base.items():
            assert _shown(phone.base[key]) == _shown(card), f"{place.at.name}: {key}"


def _shown(card: dict[str, Any]) -> dict[str, Any]:
    """A card without what counts the writes to it, which differs between what was told and what stands now."""
    return {name: value for name, value in card.items() if name not in {"rev", "revision"}}


def days_are_copied(world: World) -> None:
    """Each day is at the other places as it is at home; what devices sent is judged at the office alone."""
    for place in world.places:
        with place.at.here():
            home = {one.pk: list(lines_of(one)) for one in ProcessingDay.objects.filter(home="")}
            own = ProcessingDay.objects.filter(home="").exclude(device_id=None)
            assert place is world.office or not own.exists(), f"doubtful operations wait at the {place.at.name}"
        others = world.places[1:] if place is world.office else [world.office]
        for other in others:
            with other.at.here():
                for key, lines in home.items():
                    copy = ProcessingDay.objects.exclude(home="").filter(pk=key).first()
                    assert copy is not None, f"a day of the {place.at.name} is not at the {other.at.name}"
                    assert list(lines_of(copy)) == lines, f"a day of the {place.at.name}, at the {other.at.name}"


def all_keep_the_same(world: World) -> None:
    """Standing rules and recipes are the same everywhere."""
    kept = []
    for place in world.places:
        with place.at.here():
            kept.append(kept_here(place.at.outfit))
    assert kept[1:] == kept[:-1]


def rulings_stand(world: World, done: Done) -> None:
    """No question that was ruled on is open again without its ruling, and nobody's ruling is only in a copy."""
    for deed in done.of("ruling"):
        with world.places[deed.home].at.here():
            still_open = Finding.objects.filter(key=deed.said[0], is_open=True, day=deed.subject, day__home="")
            ruled = Ruling.objects.filter(finding_key=deed.said[0], day=deed.subject)
            is_lost = still_open.exists() and not ruled.exists()
            assert not is_lost or done.is_excused(deed), f"{deed} is nowhere"
