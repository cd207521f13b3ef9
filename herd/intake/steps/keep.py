"""Keeps what deciding came to: merged lines, findings, and the state of each staged row."""

from uuid import UUID, uuid4

from herd.intake.deciding.context import Line
from herd.intake.deciding.day import DayDecision
from herd.intake.deciding.doubts import Doubt
from herd.intake.deciding.who import Whose
from herd.intake.deciding.wishes import wishes_of
from herd.intake.models import (
    Finding,
    LineState,
    MergedLine,
    ProcessingDay,
    RowState,
    Ruling,
    StagedRow,
)
from herd.ledger.rows import in_steps, insert_rows, new_row, part_of_row, update_rows
from herd.values.identity import new_id

LINE_COLUMNS = ("animal_id", "name", "state", "proposals", "notes")
FINDING_COLUMNS = (
    "line_id", "title", "alike", "animal_id", "rows", "sides", "reasons", "choices", "is_suggested", "is_open",
)
KEPT = ("state", "reason", "animal_id", "merged_id", "match")
LEFT_OUT = frozenset({"leave_out", "keep_record", "set_aside"})


def keep_decision(day: ProcessingDay, decision: DayDecision) -> None:
    """Bring lines, findings and row states up to the decision; what did not change is not written."""
    line_ids = _keep_lines(day, decision)
    _keep_rulings_by_rule(day, decision)
    left_out = _keep_findings(day, decision, line_ids)
    _keep_rows(day, decision, line_ids, left_out)


def _keep_lines(day: ProcessingDay, decision: DayDecision) -> dict[str, UUID]:
    known = dict(MergedLine.objects.filter(day=day).values_list("key", "id"))
    stale = [key for name, key in known.items() if name not in decision.lines]
    for some in in_steps(stale):
        MergedLine.objects.filter(pk__in=some).delete()
    rows = {
        line.key: new_row(
            MergedLine,
            id=known.get(line.key) or new_id(),
            day_id=day.pk,
            key=line.key,
            animal_id=line.animal_id,
            name=line.name[:60],
            state=_line_state(line).value,
            proposals=line.proposals,
            notes=list(dict.fromkeys(line.notes)),
        )
        for line in decision.lines.values()
    }
    insert_rows(row for key, row in rows.items() if key not in known)
    update_rows((row for key, row in rows.items() if key in known), LINE_COLUMNS)
    return {row.key: row.pk for row in rows.values()}


def _line_state(line: Line) -> LineState:
    if line.is_open or line.doubts:
        return LineState.WAITING
    if line.proposals:
        return LineState.CLEAR
    return LineState.APPLIED if any(row.was_applied for row in line.rows) else LineState.KNOWN


def _keep_rulings_by_rule(day: ProcessingDay, decision: DayDecision) -> None:
    """Write down what standing rules answered, so that the day's report can say so."""
    given = set(Ruling.objects.filter(day=day).values_list("finding_key", flat=True))
    together = uuid4()
    Ruling.objects.bulk_create(
        Ruling(
            day=day,
            finding_key=key,
            title=doubt.title[:200],
            choice=choice.choice,
            label=choice.label[:200],
            together=together,
            by_rule=True,
        )
        for key, (doubt, choice) in decision.by_rule.items()
        if key not in given
    )


def _keep_findings(day: ProcessingDay, decision: DayDecision, line_ids: dict[str, UUID]) -> set[str]:
    """Write open findings, close ruled ones, drop those that arise no more; return rows left out by rulings."""
    ruled = {one.finding_key: one.choice.partition(":")[0] for one in Ruling.objects.filter(day=day)}
    known = {one.key: one for one in Finding.objects.filter(day=day)}
    doubts = {doubt.key: doubt for doubt in decision.doubts}
    gone = [one.pk for key, one in known.items() if key not in doubts and key not in ruled]
    for some in in_steps(gone):
        Finding.objects.filter(pk__in=some).delete()
    closed = [one.pk for key, one in known.items() if key not in doubts and key in ruled and one.is_open]
    Finding.objects.filter(pk__in=closed).update(is_open=False)
    rows = {key: _finding(day, doubt, known.get(key), line_ids) for key, doubt in doubts.items()}
    insert_rows(row for key, row in rows.items() if key not in known)
    update_rows((row for key, row in rows.items() if key in known), FINDING_COLUMNS)
    return {
        row
        for key, one in known.items()
        if key not in doubts and ruled.get(key) in LEFT_OUT
        for row in one.rows
    }


def _finding(day: ProcessingDay, doubt: Doubt, known: Finding | None, line_ids: dict[str, UUID]) -> Finding:
    return Finding(
        id=known.pk if known else new_id(),
        day=day,
        line_id=line_ids.get(doubt.line_key),
        key=doubt.key,
        kind=doubt.kind,
        field=doubt.field[:30],
        alike=doubt.likeness[:80],
        title=doubt.title[:200],
        animal_id=doubt.animal_id,
        rows=[str(row.id) for row in doubt.rows],
        sides=[side.as_dict() for side in doubt.sides],
        reasons=list(doubt.reasons),
        choices=[choice.as_dict() for choice in doubt.choices],
        is_suggested=doubt.is_suggested,
    )


def _keep_rows(
    day: ProcessingDay, decision: DayDecision, line_ids: dict[str, UUID], left_out: set[str]
) -> None:
    asked = {str(row.id) for doubt in decision.doubts for row in doubt.rows}
    wanted = {row for line in decision.lines.values() for one in line.proposals for row in one["rows"]}
    changed = []
    for one in decision.whose:
        state, reason = _row_state(one, day, asked, wanted, left_out)
        match = (
            {"bits": round(_bits(one), 1), "reasons": list(one.verdict.reasons)}
            if one.verdict.reasons
            else {}
        )
        merged = line_ids.get(one.line_key)
        animal_id = one.animal_id
        if one.row.was_applied and animal_id == one.row.applied_to:
            # Written to a record that was merged since: the row names it still, so that a split finds it there.
            animal_id = one.row.kept[KEPT.index("animal_id")]
        now = (state.value, reason[:300], animal_id, merged, match)
        if one.row.kept != now:
            changed.append(part_of_row(StagedRow, id=one.row.id, **dict(zip(KEPT, now, strict=True))))
    update_rows(changed, KEPT)


def _bits(one: Whose) -> float:
    return one.verdict.candidates[0].bits if one.verdict.candidates else 0.0


def _row_state(
    one: Whose, day: ProcessingDay, asked: set[str], wanted: set[str], left_out: set[str]
) -> tuple[RowState, str]:
    row, key = one.row, str(one.row.id)
    if one.state is not None:
        return one.state, one.reason
    if one.doubt is not None or key in asked:
        return RowState.WAITING, "Waits for a person."
    if key in wanted:
        return RowState.WAITING, "Ready to be applied."
    if row.was_applied:
        return RowState.APPLIED, ""
    if key in left_out:
        return RowState.SET_ASIDE, "Left out by a person."
    if row.problems and not wishes_of(row, day.worked_on):
        return RowState.UNUSABLE, str(row.problems[0]["reason"])
    return RowState.KNOWN, "Nothing in it that the record does not know."
