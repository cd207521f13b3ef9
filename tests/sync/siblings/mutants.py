"""Faults put into the protocol between installations, each with the history that shows it."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pkgutil import resolve_name
from typing import Any
from unittest.mock import patch
from uuid import UUID

import httpx
from django.db import OperationalError

from herd.client.faults import ClientError
from herd.ledger import copied
from herd.ledger.models import Change, Changeset, FeedCounter
from herd.registry.models import Event
from herd.registry.services import following, replay
from herd.registry.services.replaying import judging
from herd.registry.undo import undo
from herd.sync.models import Operation, Receipt, Upstream
from herd.sync.siblings import relay
from herd.sync.upstream import fetching, outbox, relaying, rounds, sending
from herd.values.threeway import Merge
from tests.cast import entry
from tests.sync.properties.backup import Backup
from tests.sync.properties.fieldphone import crashing_after
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.world import World, eid_of

Scenario = Callable[[World], None]


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: what stands in whose place, and the history by hand that shows it."""

    name: str
    where: Any
    attribute: str
    instead: Any
    shows_in: Scenario

    @contextmanager
    def put_in(self) -> Iterator[None]:
        # The views are named, since they can be imported only once the site is set up.
        where = resolve_name(self.where) if isinstance(self.where, str) else self.where
        with patch.object(where, self.attribute, self.instead):
            yield


# Histories


def phone_with_a_weight(world: World) -> tuple[PocketPhone, str]:
    phone = world.laptop.phone("north")
    data = {"kind": "weight", "data": {"weight": "1180", "unit": "lb"}}
    phone.capture("event", {"animal": str(world.herd[0])}, data=data, hours=-48)
    with world.laptop.at.here():
        phone.delivers()
    return phone, next(iter(phone.captured))


def laptop_dies(world: World) -> None:
    """A phone keeps what the office has not got, and delivers it there once its laptop is gone."""
    phone, op_id = phone_with_a_weight(world)
    anew = world.office.phone("north again")
    anew.outbox = list(phone.relayed.values())
    with world.office.at.here():
        anew.delivers()
        assert Event.objects.filter(pk=op_id).exists(), "what the phone did is lost"


def old_receipt(world: World) -> None:
    """The office was put back; what it had said before is not final any more."""
    phone, op_id = phone_with_a_weight(world)
    with world.office.at.here():
        backup = Backup(world.office.at.outfit)
    world.settle()
    with world.office.at.here():
        backup.put_back()
        FeedCounter.objects.get()
    with world.laptop.at.here():
        # The laptop has seen the new epoch, and dies before it has sent again.
        Upstream.objects.update(epoch=UUID(int=7))
        phone.relayed[op_id] = phone.captured[op_id]
        phone.ask_again()
    assert op_id in phone.relayed, "a receipt of another epoch was taken for final"


def same_field(world: World) -> None:
    """One field changed at two places: the record stays, and both places say the same."""
    world.office.edits(world.herd[0], breed="CH")
    world.laptop.edits(world.herd[0], breed="HE", coat="red")
    world.settle()
    assert world.office.animal(world.herd[0]).breed == "CH", "overwritten unseen"
    world.is_one()


def crash_at_the_end(world: World) -> None:
    """The laptop's database goes away while it writes what came."""
    world.office.edits(world.herd[0], breed="CH")
    for statements in range(12, 60, 6):
        with world.laptop.at.here(), crashing_after(statements):
            try:
                world.laptop.at.sync()
            except (OperationalError, ClientError):
                continue
    world.settle()
    world.is_one()


def lost_push(world: World) -> None:
    """What was cut off on its way goes again."""
    world.laptop.edits(world.herd[0], coat="red")

    def cut(path: str, request: httpx.Request) -> str:
        return "lost" if path.endswith("/push/") else ""

    with suppress(ClientError):
        world.laptop.at.sync(cut)
    world.settle()
    assert world.office.animal(world.herd[0]).coat == "red", "what was written at the laptop is lost"
    world.is_one()


def written_meanwhile(world: World) -> None:
    """Someone writes at the laptop between two calls of a round."""
    world.office.edits(world.herd[1], breed="CH")

    def meanwhile(path: str, request: httpx.Request) -> str:
        if path.endswith("/pull/") and world.laptop.animal(world.herd[0]).coat == "":
            world.laptop.edits(world.herd[0], coat="red")
        return ""

    world.laptop.at.sync(meanwhile)
    world.settle()
    assert world.office.animal(world.herd[0]).coat == "red", "what was written meanwhile is lost"
    world.is_one()


def order_of_the_feed(world: World) -> None:
    """The history is the same at both places, in one order."""
    world.laptop.edits(world.herd[0], coat="red")
    world.office.edits(world.herd[0], breed="CH")
    world.settle()
    world.is_one()


def phone_retags(world: World) -> None:
    """What a phone did at the laptop is done once at the office, by itself."""
    phone = world.laptop.phone("north")
    data = {"kind": "eid", "number": eid_of(100), "new_number": eid_of(900), "ended": "lost"}
    phone.capture("tag.off", {"animal": str(world.herd[0])}, data=data)
    with world.laptop.at.here():
        phone.delivers()
    world.settle()
    with world.office.at.here():
        assert Operation.objects.count() == 1, "what came of the operation was sent as well"
    world.is_one()


def wrong_clock(world: World) -> None:
    """The moment that the laptop made out with the phone's steady clock is kept."""
    phone = world.laptop.phone("north")
    phone.steady, phone.offset = 10_000_000, phone.offset
    data = {"kind": "weight", "data": {"weight": "1180", "unit": "lb"}}
    body = phone.capture("event", {"animal": str(world.herd[0])}, data=data, mono_ms=9_000_000, boot=phone.boot)
    with world.laptop.at.here():
        phone.delivers()
        ours = Operation.objects.get(op_id=body["op_id"]).happened_at
    world.settle()
    with world.office.at.here():
        theirs = Operation.objects.get(op_id=body["op_id"]).happened_at
    assert ours == theirs, "the office reads the phone's clock as the laptop's"
    assert ours is not None
    assert abs((ours - datetime.now(UTC)).total_seconds()) < 7_200


def sold_meanwhile(world: World) -> None:
    """What was written about an animal that had been sold unseen is asked."""
    world.office.sells(world.herd[0])
    event = world.laptop.weighs(world.herd[0], 510)
    world.settle()
    with world.office.at.here():
        assert not Event.objects.filter(pk=event).exists(), "a weight of a sold animal was written unasked"
    world.is_one()


def taken_out_from_under(world: World) -> None:
    """What others have built on is not taken out from under them."""
    made = world.laptop.registers(eid_of(900))
    world.settle()
    assert made is not None
    with world.laptop.at.here():
        target = Changeset.objects.get(pk=Change.objects.get(subject_id=made, action="created").changeset_id)
        undo(entry(world.laptop.at.outfit, title="taken back"), target)
    world.office.weighs(made, 400)
    world.settle()
    assert not world.office.animal(made).is_void, "an animal was taken out with what others wrote about it"
    world.is_one()


def office_put_back(world: World) -> None:
    """What the office lost by an old backup comes again from the laptop."""
    with world.office.at.here():
        backup = Backup(world.office.at.outfit)
    _, op_id = phone_with_a_weight(world)
    world.laptop.edits(world.herd[1], coat="red")
    world.settle()
    with world.office.at.here():
        backup.put_back()
    world.settle()
    with world.office.at.here():
        assert Event.objects.filter(pk=op_id).exists(), "the phone's work is lost"
    assert world.office.animal(world.herd[1]).coat == "red", "the laptop's work is lost"
    world.is_one()


# Faults


def _final_at_once(outfit: Any, answers: Any) -> Any:
    return list(answers)


def _any_epoch(outfit: Any, answers: Any) -> Any:
    told = {one.op_id: one for one in Receipt.objects.filter(outfit=outfit).exclude(status="")}
    return [relaying._told(one, told) for one in answers]


def _last_wins(seen: object, wanted: object, current: object) -> Merge:
    return Merge.SAME if current == wanted else Merge.TAKE


def _cursor_first(upstream: Any, wire: Any) -> Any:
    found = _FETCH(upstream, wire)
    Upstream.objects.filter(pk=upstream.pk).update(cursor=found.cursor)
    upstream.cursor = found.cursor
    return found


_FETCH = fetching.fetch


def _marked_first(upstream: Any, wire: Any, portion: Any) -> None:
    for one in portion.things:
        if one.receipt is not None:
            sending.keep_answer(upstream, one.receipt, {"status": "applied"})
    _SEND(upstream, wire, portion)


_SEND = sending._send


def _whatever_was_written(outfit: Any, changes: Any, expected: int) -> int:
    end = FeedCounter.objects.get(outfit=outfit).position
    return _NUMBER(outfit, changes, end)


_NUMBER = copied.number_changes


def _old_places(rows: Any, columns: Any) -> int:
    wanted = [one for one in columns if one != "position"]
    return _UPDATE(rows, wanted)


_UPDATE = copied.update_rows


def _all_changesets(upstream: Any) -> None:
    own = Change.objects.filter(outfit=upstream.outfit, position__gt=upstream.settled_to)
    packed = Receipt.objects.filter(outfit=upstream.outfit).values("op_id")
    rows = Changeset.objects.filter(pk__in=own.values("changeset")).exclude(pk__in=packed)
    Receipt.objects.bulk_create(outbox.pack(upstream, one) for one in rows)


def _with_our_clock(said: Any, pointer: str) -> Any:
    return _READ({**said, "happened_at": None}, pointer)


_READ = relay.read_relayed


def _all_known(upstream: Any, wire: Any) -> None:
    epoch = UUID(str(wire.get("sync/info/")["epoch"]))
    Receipt.objects.filter(outfit=upstream.outfit).update(epoch=epoch)
    upstream.epoch, upstream.cursor, upstream.takes_anew = epoch, 0, True
    upstream.save()


MUTANTS = (
    Mutant("a relayed operation is final", "api.views.sync", "as_relayed", _final_at_once, laptop_dies),
    Mutant("a receipt of any epoch counts", "api.views.sync", "as_relayed", _any_epoch, old_receipt),
    Mutant("own rows are not set back", fetching, "provisional", lambda outfit, settled: {}, sold_meanwhile),
    Mutant("the last writer wins", judging, "merge_field", _last_wins, same_field),
    Mutant("the cursor is saved before the page", rounds, "fetch", _cursor_first, crash_at_the_end),
    Mutant("marked as sent before the answer", sending, "_send", _marked_first, lost_push),
    Mutant("written meanwhile, passed over", following, "number_changes", _whatever_was_written, written_meanwhile),
    Mutant("own changes keep their place", copied, "update_rows", _old_places, order_of_the_feed),
    Mutant("what operations came to is sent as well", sending, "pack_changesets", _all_changesets, phone_retags),
    Mutant("the laptop's clock for the phone's", "api.views.siblings", "read_relayed", _with_our_clock, wrong_clock),
    Mutant("sold unseen", replay, "left_unseen", lambda *_: [], sold_meanwhile),
    Mutant("nothing leans", replay, "leaned_upon", lambda _: [], taken_out_from_under),
    Mutant("old answers count in a new epoch", rounds, "ask_what_is_known", _all_known, office_put_back),
)
SCENARIOS = tuple(dict.fromkeys(one.shows_in for one in MUTANTS))
