"""Moves between groups, and rulings given on a device."""

from collections.abc import Sequence
from uuid import UUID

from django.db import transaction

from herd.intake import review
from herd.intake.models import Finding
from herd.registry.models import Group
from herd.registry.queries.stays import judge_move
from herd.registry.services import groups
from herd.registry.services.refused import Refused
from herd.sync.judging import judge_rows, refused_by_record
from herd.sync.models import OperationStatus
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Sent, refused


def move(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Move animals into groups."""
    return {sent.op_id: _move(run, sent) for sent in sents}


def _move(run: Run, sent: Sent) -> Answer:
    group = _group(run, sent)
    if group is None:
        return refused("That group is not in this outfit's record.", "/data/group")
    animal, day = run.subject(sent), run.day(sent)
    if animal is None or animal in judge_move(run.outfit, [animal], group.pk, day).refused:
        # A stray that only its number names, or one that is sold or was moved since: judged as a line is.
        row = run.row(sent, group=group.name)
        return judge_rows(run, [(sent, row)], f"Moves sent by {run.device.name}")[sent.op_id]
    try:
        with transaction.atomic():
            groups.move(entry=run.entry(f"Moved to {group.name}"), animal_ids=[animal], group_id=group.pk, on=day)
    except Refused as problem:
        return refused_by_record(problem)
    return Answer(OperationStatus.APPLIED, animal=animal)


def _group(run: Run, sent: Sent) -> Group | None:
    try:
        key = UUID(str(sent.data.get("group")))
    except ValueError:
        return None
    return Group.objects.of(run.outfit).filter(pk=key).first()


def rule(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Answer findings; one that was ruled on already stays as it was ruled."""
    return {sent.op_id: _rule(run, sent) for sent in sents}


def _rule(run: Run, sent: Sent) -> Answer:
    try:
        key = UUID(str(sent.data.get("finding")))
    except ValueError:
        return refused("A ruling names its finding.", "/data/finding")
    finding = Finding.objects.filter(pk=key, day__outfit=run.outfit).select_related("day").first()
    if finding is None or not finding.is_open:
        return Answer(OperationStatus.MERGED, [{"pointer": "", "detail": "It was settled already."}])
    try:
        review.rule(
            day=finding.day,
            finding=finding,
            choice=str(sent.data.get("choice", ""))[:80],
            typed=str(sent.data.get("typed", ""))[:80],
        )
    except Refused as problem:
        return refused_by_record(problem)
    return Answer(OperationStatus.APPLIED)
