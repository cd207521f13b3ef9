"""Tries again what was held: operations whose animal or event had not come, and numbers that were unknown."""

import logging
from collections import defaultdict
from collections.abc import Callable, Iterator
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.intake.models import DayState, ProcessingDay, RowState, Ruling, StagedRow
from herd.intake.steps.apply import apply_clear
from herd.intake.steps.settle import feed_position, settle_day
from herd.registry.services.refused import Refused
from herd.sync.keeping import AWAY
from herd.sync.models import Operation, OperationStatus
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Malformed, Sent
from herd.sync.pushing import PERFORM, group_of, perform_group
from herd.sync.reading import read_operation
from herd.sync.subjects import resolve
from herd.values.deviceclock import Told

LOG = logging.getLogger(__name__)
# So many held operations are looked at together; all are, since the first of them may wait for ever.
STEP = 500
MOST_ROUNDS = 10
WAITING = (OperationStatus.HELD, OperationStatus.REVIEW)
# What an operation has come to by the end of its staged row.
ENDS = {
    OperationStatus.APPLIED: (RowState.APPLIED, RowState.KNOWN),
    OperationStatus.QUARANTINED: (RowState.SET_ASIDE, RowState.UNUSABLE),
}


def try_again(outfit: Outfit) -> None:
    """Perform what can be performed by now; called after each push, and when work is taken up."""
    _settle_days(outfit)
    _follow_rows(outfit)
    # What one was held for may have been held itself.
    for _ in range(MOST_ROUNDS):
        if not sum([_alone(_perform_held, held) for held in _ready(outfit)]):
            break


def _alone(work: Callable[[Any], bool], subject: Any) -> bool:
    """Do one piece of work in its own transaction and say whether it came to anything; its fault stops no other."""
    try:
        with transaction.atomic():
            return work(subject)
    except AWAY:
        raise
    except Exception:
        LOG.exception("What was held could not be worked out.")
        return False


def _settle_days(outfit: Outfit) -> None:
    """Decide days of devices again where the record has moved on, and apply what nobody needs to look at now."""
    days = ProcessingDay.objects.filter(outfit=outfit, device_id__isnull=False, state=DayState.REVIEW, home="")
    for day in days.order_by("made_at"):
        # What a person is ruling on is applied by that person.
        if day.decided_at == feed_position(day) or Ruling.objects.filter(day=day, by_rule=False).exists():
            continue
        _alone(_settle, day)


def _settle(day: ProcessingDay) -> bool:
    settle_day(day)
    try:
        with transaction.atomic():
            apply_clear(day, None)
    except Refused:
        # It stays in review, where applying by hand tells the reason.
        return False
    return True


def _follow_rows(outfit: Outfit) -> None:
    """Say of operations what became of their staged rows, by themselves or in the hands of a person."""
    waiting = Operation.objects.filter(outfit=outfit, status__in=WAITING, row_id__isnull=False)
    for status, states in ENDS.items():
        ended = StagedRow.objects.filter(pk__in=waiting.values("row_id"), state__in=states)
        waiting.filter(row_id__in=list(ended.values_list("pk", flat=True))).update(status=status)


def _ready(outfit: Outfit) -> Iterator[list[Operation]]:
    """Held operations that may go by now, those of one group together, in the order they came.

    What waits for an animal that has not come costs a look at its id, in one query for STEP of them, and no more:
    so those that wait for ever keep none behind them waiting.
    """
    rows = Operation.objects.filter(outfit=outfit, status=OperationStatus.HELD, row_id=None)
    ordered = rows.order_by("received_at", "dseq", "id")
    ids = list(ordered.values_list("pk", flat=True))
    grouped: dict[tuple[UUID, str], list[Operation]] = defaultdict(list)
    for start in range(0, len(ids), STEP):
        some = list(ordered.filter(pk__in=ids[start : start + STEP]).select_related("device__outfit"))
        known = resolve(outfit, {one.subject_id for one in some if one.subject_id})
        for one in some:
            group = str((one.body or {}).get("group") or "")
            if group:
                grouped[one.device_id, group].append(one)
            elif one.subject_id is None or one.subject_id in known:
                yield [one]
    yield from grouped.values()


def _perform_held(held: list[Operation]) -> bool:
    # Two pushes may try again at once; the second finds what the first has done.
    still = Operation.objects.select_for_update().filter(pk__in=[one.pk for one in held], status=OperationStatus.HELD)
    sents = {one.pk: _sent(one) for one in held}
    some = [one for one in sents.values() if one is not None]
    if len(some) < len(held) or len(still) < len(held):
        return False
    run = Run(held[0].device, timezone.now(), resolve(held[0].outfit, (one.animal for one in some if one.animal)))
    answers: dict[UUID, Answer]
    answers = perform_group(run, some) if group_of(some[0]) else PERFORM[some[0].kind](run, some)
    changed = [one for one in held if one.op_id and answers[one.op_id].status != OperationStatus.HELD]
    for one in changed:
        answer = answers[one.op_id]  # type: ignore[index]
        one.status, one.answer, one.row_id = answer.status, answer.as_dict(), answer.row
        one.save(update_fields=["status", "answer", "row_id"])
    return bool(changed)


def _sent(one: Operation) -> Sent | None:
    """The operation as it was read when it came, with the time that was made out then."""
    read = read_operation(one.body, None, one.received_at)
    if isinstance(read, Malformed) or one.happened_at is None:
        return None
    told = Told(one.happened_at, one.clock_note)
    return Sent(
        read.op_id, read.dseq, read.kind, read.body, read.digest, told, read.at_sent, read.animal, read.numbers
    )
