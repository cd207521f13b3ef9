"""Faults put into the protocol on purpose: a test that does not see them is none."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from unittest.mock import patch

from django.db.models import Max

from api.views import sync as views
from herd.ledger.models import FeedCounter
from herd.registry.models import Animal, TagWearing
from herd.registry.services import tags as tag_services
from herd.registry.services.batch import PutOn
from herd.sync import cursors, feed, judging, pushing, reading, snapshot, subjects
from herd.sync.models import Operation
from herd.sync.performing import animals, tags
from herd.sync.protocol import Answer, OperationStatus
from herd.values.threeway import Merge, merge_field
from tests.sync.properties import scenarios
from tests.sync.properties.fieldphone import FieldPhone


@dataclass(frozen=True)
class Mutant:
    """One fault, how it is put in, the history by hand in which it shows; `at_random`: random ones find it too."""

    name: str
    put_in: Callable[[], Any]
    shows_in: scenarios.Scenario
    at_random: bool = False


def _put(where: Any, name: str, instead: Any) -> Callable[[], Any]:
    return lambda: patch.object(where, name, instead)


def _head_after_the_page(head: cursors.Head, position: int, scope: str) -> str:
    now = FeedCounter.objects.get(epoch=head.epoch).position
    return WRITE_CURSOR(head, now if position == head.position else position, scope)


def _copy_as_of_its_end(outfit: Any, groups: Any, after: Any = None, cursor: Any = None) -> Iterator[bytes]:
    lines = [snapshot._line(one) for some in snapshot._portions(outfit, groups, after) for one in some]
    head = snapshot.head_of(outfit)
    yield snapshot._line({"start": snapshot._start(head, head.position, groups)})
    yield from lines
    yield snapshot._line({"end": True})


def _by_number_of_device(device: Any, some: Any) -> dict[Any, Operation]:
    highest = Operation.objects.filter(device=device).aggregate(Max("dseq"))["dseq__max"] or 0
    done = [one for one in some if one.op_id and one.dseq <= highest]
    return {one.op_id: Operation(op_id=one.op_id, digest=one.digest, answer={"status": "applied"}) for one in done}


def _answers_anew(device: Any, one: Any, known: Any, stored: Any, answers: Any) -> dict[str, Any]:
    if one.op_id in known:
        return {"op_id": str(one.op_id), "status": "quarantined", "replayed": True}
    return ANSWER(device, one, known, stored, answers)


def _believes(*, epoch: bool, head: bool) -> Callable[[str, Any, str], int]:
    def read(text: str, now: cursors.Head, scope: str) -> int:
        try:
            return READ_CURSOR(text, now, scope)
        except cursors.Outdated as problem:
            from_cursor = int(cursors.json.loads(cursors.base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))["q"])
            if (problem.word == "epoch-changed" and epoch) or (problem.word == "cursor-expired" and head):
                return min(from_cursor, now.position)
            raise

    return read


def _steals(run: Any, sent: Any, kind: str, read: Any) -> Answer:
    for worn in TagWearing.objects.of(run.outfit).filter(kind=kind, tag__number=read.number, ended=""):
        tag_services.take_off(entry=run.entry("x"), wearing_id=worn.pk, on=run.day(sent), ended="removed")
    tag = PutOn(run.subject(sent), kind, read.number, read.colour, worn_from=run.day(sent), second_reason="x")
    tag_services.put_on(entry=run.entry("x"), tag=tag)
    return Answer(OperationStatus.APPLIED)


def _each_alone(run: Any, sents: Any) -> dict[Any, Answer]:
    answers: dict[Any, Answer] = {}
    for sent in sents:
        here = pushing.Run(run.device, run.now, subjects.resolve(run.outfit, [sent.animal] if sent.animal else []))
        answers |= pushing.PERFORM[sent.kind](here, [sent])
    return answers


@contextmanager
def _later_clock_wins() -> Iterator[None]:
    latest: dict[Any, datetime] = {}

    def edit(run: Any, sent: Any) -> Answer:
        at = datetime.fromisoformat(sent.at_sent)
        wins = at > latest.get(sent.animal, at.replace(year=1990))
        latest[sent.animal] = max(at, latest.get(sent.animal, at))
        with patch.object(animals, "merge_field", _last_write_wins if wins else merge_field):
            return EDIT(run, sent)

    with patch.object(animals, "_edit", edit):
        yield


def _last_write_wins(seen: object, wanted: object, current: object) -> Merge:
    return Merge.SAME if current == wanted else Merge.TAKE


def _cursor_first(self: FieldPhone, page: dict[str, Any]) -> None:
    self.cursor = page["cursor"]
    for item in page["items"]:
        self._take(item)


def _all_known(self: Any, request: Any) -> Any:
    known = [{"op_id": one, "status": "applied"} for one in request.data["op_ids"]]
    return views.Response({"epoch": str(views.head_of(self.device().outfit).epoch), "known": known})


def _without_out(*given: Any) -> list[dict[str, Any]]:
    return [one for one in ANIMAL_ITEMS(*given) if one["state"] != "out"]


def _whatever_scope(key: Any, card: Any, scope: Any, merged: Any) -> dict[str, Any]:
    return ANIMAL_ITEM(key, card, set(), merged)


def _of_anyone(self: Any, outfit: Any) -> Any:
    return self.filter(is_void=False)


WRITE_CURSOR, READ_CURSOR, ANSWER, EDIT = feed.write_cursor, feed.read_cursor, pushing._answer, animals._edit
ANIMAL_ITEMS, ANIMAL_ITEM = feed.animal_items, feed._animal_item

MUTANTS = (
    Mutant(
        "head read after the page",
        _put(feed, "write_cursor", _head_after_the_page),
        scenarios.written_while_a_page_is_made,
    ),
    Mutant("copy as of its end", _put(views, "snapshot", _copy_as_of_its_end), scenarios.written_while_a_copy_is_made),
    Mutant("nothing known again", _put(pushing, "_known", lambda *_: {}), scenarios.sent_twice, at_random=True),
    Mutant("digest ignored", _put(reading, "digest_of", lambda _: "x"), scenarios.one_id_for_two),
    Mutant("watermark of the device's numbers", _put(pushing, "_known", _by_number_of_device), scenarios.cloned_phone),
    Mutant("no word of leaving", _put(feed, "animal_items", _without_out), scenarios.leaves_the_group, at_random=True),
    Mutant(
        "last write wins",
        _put(animals, "merge_field", _last_write_wins),
        scenarios.same_field_twice, at_random=True,
    ),
    Mutant("later clock wins", _later_clock_wins, scenarios.later_clock),
    Mutant("tag is taken from the other", _put(tags, "_ask", _steals), scenarios.one_tag_for_two),
    Mutant(
        "another answer to a replay",
        _put(pushing, "_answer", _answers_anew),
        scenarios.answer_lost, at_random=True,
    ),
    Mutant(
        "epoch of a cursor ignored",
        _put(feed, "read_cursor", _believes(epoch=True, head=False)),
        scenarios.old_cursor_after_a_restore,
    ),
    Mutant(
        "cursor ahead believed",
        _put(feed, "read_cursor", _believes(epoch=False, head=True)),
        scenarios.cursor_ahead,
    ),
    Mutant("all said to be known after a restore", _put(views.Known, "post", _all_known), scenarios.put_back),
    Mutant(
        "cursor kept before the page",
        _put(FieldPhone, "_keep", _cursor_first),
        scenarios.power_goes_while_a_page_is_kept,
    ),
    Mutant(
        "group in pieces",
        _put(pushing, "perform_group", _each_alone),
        scenarios.half_of_a_group_is_doubtful,
    ),
    Mutant("held for ever", _put(views, "try_again", lambda _: None), scenarios.comes_before_what_it_needs),
    Mutant(
        "event under an id of its own",
        _put(judging, "name_by_row", lambda _: None),
        scenarios.sent_twice, at_random=True,
    ),
    Mutant(
        "scope ignored in changes",
        _put(feed, "_animal_item", _whatever_scope),
        scenarios.other_group_changes, at_random=True,
    ),
    Mutant(
        "retired device reads",
        _put(views.Sync, "device", lambda self, **_: self.request.auth.device),
        scenarios.retired,
    ),
    Mutant("records of any outfit", _put(type(Animal.objects), "of", _of_anyone), scenarios.strangers),
    Mutant("merged animal not followed", _put(subjects, "standing_for", lambda _: {}), scenarios.merged_meanwhile),
)
