"""Events that the record has already: which one each equals, so that no captured event is without its own id there."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any
from uuid import UUID

from herd.intake.matching.numbers import Row
from herd.ledger.rows import in_steps
from herd.registry.models import Event
from herd.sync.models import OperationStatus
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Sent
from herd.values.eventkinds import EVENT_KINDS

# An animal is sold or dies once, whichever day a device says it was.
ONCE = frozenset({"sale", "death"})


def name_equals(run: Run, pairs: Sequence[tuple[Sent, Row]], answers: dict[UUID, Answer]) -> None:
    """Say of each event that is in the record, and not under its operation's id, under which id it is there."""
    done = [(sent, row) for sent, row in pairs if answers[sent.op_id].status == OperationStatus.APPLIED]
    own: set[UUID] = set()
    for ids in in_steps(sent.op_id for sent, _ in done):
        own.update(Event.objects.filter(outfit=run.outfit, pk__in=ids).values_list("pk", flat=True))
    known = [(sent, row) for sent, row in done if sent.op_id not in own]
    there = _events(run, {one for sent, _ in known if (one := answers[sent.op_id].animal)})
    for sent, row in known:
        answer = answers[sent.op_id]
        mine: dict[str, Any] = row.readings["event"]
        some = there[answer.animal, mine["kind"]]
        day = run.day(sent)
        found = next((one for one in some if _equals(mine, one) and (one.happened_on == day or one.kind in ONCE)), None)
        answer.event = found.pk if found else None


def _events(run: Run, animals: set[UUID]) -> dict[tuple[UUID | None, str], list[Event]]:
    found: dict[tuple[UUID | None, str], list[Event]] = defaultdict(list)
    for ids in in_steps(animals):
        for event in Event.objects.of(run.outfit).filter(animal__in=ids).order_by("pk"):
            found[event.animal_id, event.kind].append(event)
    return found


def _equals(mine: dict[str, Any], one: Event) -> bool:
    """Whether an event says the same, by what tells two of its kind apart."""
    if one.kind in ONCE:
        return True
    if one.kind == "weight":
        return one.weight_ng == mine["ng"]
    main = EVENT_KINDS[one.kind].main
    return not main or str(one.data.get(main, "")).lower() == str(mine["data"].get(main, "")).lower()
