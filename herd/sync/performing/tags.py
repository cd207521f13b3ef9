"""Tags put on, lost and replaced on a device; a number that another animal wears is put to a person."""

from collections.abc import Sequence
from uuid import UUID

from django.db import transaction

from herd.registry.models import TagKind, TagWearing, WearingEnded
from herd.registry.queries.tags import wearings_of
from herd.registry.services import tags
from herd.registry.services.batch import PutOn
from herd.registry.services.refused import Refused
from herd.sync.judging import judge_rows, refused_by_record
from herd.sync.models import OperationStatus
from herd.sync.performing.events import WAITS
from herd.sync.performing.run import READING_KEYS, Run
from herd.sync.protocol import Answer, Sent, refused
from herd.values.problems import Unreadable
from herd.values.tagnumbers import TypedTag, read_tag_number


def put_on(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Put tags on."""
    return {sent.op_id: _put_on(run, sent) for sent in sents}


def take_off(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Take tags off, and put on what took their place."""
    return {sent.op_id: _take_off(run, sent) for sent in sents}


def _put_on(run: Run, sent: Sent) -> Answer:
    animal, kind = run.subject(sent), str(sent.data.get("kind", ""))
    read = _number(sent, kind, "number")
    if isinstance(read, Answer):
        return read
    if animal is None:
        return _unplaced(run, sent, kind, read)
    worn = _worn(run, kind, read)
    if any(one.animal_id == animal for one in worn):
        return Answer(OperationStatus.APPLIED, animal=animal)
    if worn:
        return _ask(run, sent, kind, read)
    reason = str(sent.data.get("second_reason", ""))[:120]
    tag = PutOn(animal, kind, read.number, read.colour, worn_from=run.day(sent), second_reason=reason)
    try:
        with transaction.atomic():
            tags.put_on(entry=run.entry(f"Put on {read.number}"), tag=tag)
    except Refused:
        # It wears an EID, of which the device did not know: a person says which is right.
        return _ask(run, sent, kind, read)
    return Answer(OperationStatus.APPLIED, animal=animal)


def _take_off(run: Run, sent: Sent) -> Answer:
    animal, kind = run.subject(sent), str(sent.data.get("kind", ""))
    ended = str(sent.data.get("ended", "lost"))
    if ended not in WearingEnded.values:
        return refused(f"{ended[:40]!r} is no reason for taking a tag off.", "/data/ended")
    old = _number(sent, kind, "number")
    new = _number(sent, kind, "new_number") if sent.data.get("new_number") else None
    if isinstance(old, Answer) or isinstance(new, Answer):
        return old if isinstance(old, Answer) else new  # type: ignore[return-value]
    if animal is None and sent.animal is None:
        # The tag that came off tells whose it was, where one animal alone wears it.
        worn = _worn(run, kind, old)
        animal = worn[0].animal_id if len(worn) == 1 else None
    if animal is None:
        return Answer(OperationStatus.HELD, [{"pointer": "/subject", "detail": WAITS}])
    wearing = next((one for one in _worn(run, kind, old) if one.animal_id == animal), None)
    if new is not None and any(one.animal_id == animal for one in _worn(run, kind, new)):
        return Answer(OperationStatus.APPLIED, animal=animal)
    if new is not None and (wearing is None or _worn(run, kind, new)):
        return _ask(run, sent, kind, new)
    if wearing is None:
        return Answer(OperationStatus.MERGED, animal=animal)
    return _end(run, sent, wearing, ended, new)


def _end(run: Run, sent: Sent, wearing: TagWearing, ended: str, new: TypedTag | None) -> Answer:
    day, number = run.day(sent), wearing.tag.number
    try:
        with transaction.atomic():
            if new is None:
                tags.take_off(entry=run.entry(f"Took off {number}"), wearing_id=wearing.pk, on=day, ended=ended)
            else:
                colour = new.colour or wearing.tag.colour
                tag = PutOn(wearing.animal_id, wearing.kind, new.number, colour, worn_from=day, began="retagged")
                entry = run.entry(f"Replaced {number} by {new.number}")
                tags.replace(entry=entry, old=wearing, ended=ended, new=tag)
    except Refused as problem:
        return refused_by_record(problem)
    return Answer(OperationStatus.APPLIED, animal=wearing.animal_id)


def _number(sent: Sent, kind: str, member: str) -> TypedTag | Answer:
    if kind not in TagKind.values:
        return refused("A tag needs its kind.", "/data/kind")
    try:
        read = read_tag_number(kind, str(sent.data.get(member, "")))
    except Unreadable as problem:
        return refused(problem.reason, f"/data/{member}")
    colour = str(sent.data.get("colour") or read.colour)[:12] if kind == TagKind.VID else ""
    return TypedTag(read.number, colour)


def _worn(run: Run, kind: str, read: TypedTag) -> list[TagWearing]:
    rows = wearings_of(run.outfit, kind, read.number)
    rows = rows.filter(tag__colour=read.colour) if read.colour else rows
    return list(rows.select_related("tag"))


def _ask(run: Run, sent: Sent, kind: str, read: TypedTag) -> Answer:
    """Put it to a person as a line that names the animal and a new number for it."""
    key = {"eid": "new_eid", "vid": "new_vid"}.get(kind, READING_KEYS.get(kind, "note"))
    return judge_rows(run, [(sent, run.row(sent, **{key: read.number}))], "Tags sent by a device")[sent.op_id]


def _unplaced(run: Run, sent: Sent, kind: str, read: TypedTag) -> Answer:
    """A tag for an animal that is known by another number only, or not yet."""
    if not sent.numbers:
        return Answer(OperationStatus.HELD, [{"pointer": "/subject", "detail": WAITS}])
    return _ask(run, sent, kind, read)
