"""Judges operations as lines of a field file are judged: what is clear is written, the rest waits for a person."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

from django.db import transaction

from herd.intake.deciding.context import Line
from herd.intake.deciding.day import DayDecision
from herd.intake.matching.numbers import Row
from herd.intake.models import FindingKind, MergedLine, ProcessingDay, RowState
from herd.intake.steps.proposals import make_batch, name_by_row
from herd.intake.steps.settle import decide
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from herd.sync.models import OperationStatus
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Sent, refused
from herd.sync.staging import stage

Pairs = Sequence[tuple[Sent, Row]]
NOT_USED = (RowState.UNUSABLE, RowState.SET_ASIDE)


def judge_rows(run: Run, pairs: Pairs, title: str) -> dict[UUID, Answer]:
    """Judge rows and return an answer for each by its operation's id; doubtful ones are staged for review.

    Rows are judged day by day, because an animal may have been sold between two days.
    """
    by_day: dict[date, list[tuple[Sent, Row]]] = defaultdict(list)
    for sent, row in pairs:
        by_day[run.day(sent)].append((sent, row))
    answers: dict[UUID, Answer] = {}
    for day, some in sorted(by_day.items()):
        answers.update(_judge_day(run, day, some, title))
    return answers


def _judge_day(run: Run, day: date, pairs: Pairs, title: str) -> dict[UUID, Answer]:
    carrier = ProcessingDay(outfit=run.outfit, worked_on=day, name=run.device.name)
    decision = decide(carrier, [row for _, row in pairs])
    asked = {str(row.id) for doubt in decision.doubts for row in doubt.rows}
    lines = _clear(carrier, decision, asked)
    sources = {str(sent.op_id): run.source(sent) for sent, _ in pairs}
    batch = make_batch(carrier, lines, sources)
    name_by_row(batch)
    try:
        with transaction.atomic():
            write(run.entry(title), batch)
    except Refused as problem:
        return _one_by_one(run, day, pairs, title, problem)
    return _answers(run, day, pairs, decision, asked)


def _one_by_one(run: Run, day: date, pairs: Pairs, title: str, problem: Refused) -> dict[UUID, Answer]:
    """One that the record refuses must not stop the others."""
    if len(pairs) == 1:
        sent, _ = pairs[0]
        return {sent.op_id: refused_by_record(problem)}
    answers: dict[UUID, Answer] = {}
    for pair in pairs:
        answers.update(_judge_day(run, day, [pair], title))
    return answers


def refused_by_record(problem: Refused) -> Answer:
    """Keep aside what the record refuses, with all its reasons."""
    answer = refused("")
    answer.reasons = [{"pointer": f"/data/{one.field}", "detail": one.reason} for one in problem.refusals]
    return answer


def _clear(carrier: ProcessingDay, decision: DayDecision, asked: set[str]) -> list[MergedLine]:
    """What is proposed without a doubt on any of its rows, as lines."""
    clear = []
    for line in decision.lines.values():
        proposals = [one for one in line.proposals if not asked & set(one["rows"])]
        if proposals and not line.is_open:
            clear.append(_merged(carrier, line, proposals))
    return clear


def _merged(carrier: ProcessingDay, line: Line, proposals: list[dict[str, object]]) -> MergedLine:
    return MergedLine(day=carrier, key=line.key, animal_id=line.animal_id, proposals=proposals)


def _answers(
    run: Run, day: date, pairs: Pairs, decision: DayDecision, asked: set[str]
) -> dict[UUID, Answer]:
    whose = {one.row.id: one for one in decision.whose}
    kinds: Mapping[str, FindingKind] = {
        str(row.id): doubt.kind for doubt in reversed(decision.doubts) for row in doubt.rows
    }
    ruled = _left_by_rule(decision)
    answers: dict[UUID, Answer] = {}
    doubtful: list[tuple[Sent, Row]] = []
    for sent, row in pairs:
        one, key = whose[row.id], str(row.id)
        if one.state in NOT_USED:
            answers[row.id] = refused(ruled.get(key, one.reason))
        elif one.doubt is not None or key in asked:
            kind = one.doubt.kind if one.doubt is not None else kinds[key]
            is_unknown = kind == FindingKind.UNKNOWN_TAG
            status = OperationStatus.HELD if is_unknown else OperationStatus.REVIEW
            answers[row.id] = Answer(status, [{"pointer": "", "detail": kind.label}], one.animal_id, row=row.id)
            doubtful.append((sent, row))
        elif key in ruled:
            answers[row.id] = refused(ruled[key])
        else:
            answers[row.id] = Answer(OperationStatus.APPLIED, animal=one.animal_id)
    if doubtful:
        stage(run, day, doubtful)
    return answers


def _left_by_rule(decision: DayDecision) -> dict[str, str]:
    """The rows of which nothing is written because a standing rule says so, each with what it says."""
    written = {row for line in decision.lines.values() for one in line.proposals for row in one["rows"]}
    ruled = {str(row.id): choice.label for doubt, choice in decision.by_rule.values() for row in doubt.rows}
    return {row: f"By a standing rule: {label}." for row, label in ruled.items() if row not in written}
