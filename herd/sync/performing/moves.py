"""Moves between groups, and rulings given on a device."""

from collections.abc import Sequence
from uuid import UUID

from django.db import transaction

from herd.intake import review
from herd.intake.models import Finding, Ruling
from herd.registry.models import Group
from herd.registry.queries.stays import judge_move
from herd.registry.services import groups
from herd.registry.services.refused import Refused
from herd.sync.judging import judge_rows, refused_by_record
from herd.sync.models import OperationStatus
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Sent, refused

NAMED = ("finding", "day", "device")


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
    finding = _finding(run, sent)
    if isinstance(finding, Answer):
        return finding
    if finding is None or not finding.is_open:
        return _settled_already(sent, finding)
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


def _finding(run: Run, sent: Sent) -> Finding | Answer | None:
    """The finding that a ruling is about: by its id, or by its key where the same question was asked elsewhere."""
    findings = Finding.objects.filter(day__outfit=run.outfit).select_related("day")
    try:
        key, day, device = (UUID(str(one)) if (one := sent.data.get(name)) else None for name in NAMED)
    except ValueError:
        return refused("A ruling names its finding.", "/data/finding")
    if key is None and not sent.data.get("key"):
        return refused("A ruling names its finding.", "/data/finding")
    found = findings.filter(pk=key).first() if key else None
    if found is None and sent.data.get("key"):
        same = findings.filter(key=str(sent.data["key"])[:160]).order_by("-is_open", "pk")
        found = same.filter(day=day).first() if day else None
        found = found or (same.filter(day__device_id=device).first() if device else None)
    return found


def _settled_already(sent: Sent, finding: Finding | None) -> Answer:
    """The first ruling stands; one that says something else is told so."""
    first = Ruling.objects.filter(day=finding.day, finding_key=finding.key).first() if finding else None
    if first is not None and first.choice == str(sent.data.get("choice", "")):
        return Answer(OperationStatus.APPLIED)
    said = f"It was settled already: {first.label}." if first else "It was settled already."
    return Answer(OperationStatus.MERGED, [{"pointer": "", "detail": said}])
