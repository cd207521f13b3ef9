"""Puts doubtful operations where doubtful lines of field files are: staged in a day of the device, for review."""

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from herd.intake.matching.numbers import Row
from herd.intake.models import DayState, FieldFile, ProcessingDay, StagedRow
from herd.intake.steps.read import digest
from herd.intake.steps.settle import settle_day
from herd.ledger.rows import insert_rows
from herd.sync.performing.run import Run
from herd.sync.protocol import Sent
from herd.values.eventkinds import EVENT_KINDS

HEADER = ["when", "what", "whose", "said"]


def stage(run: Run, day: date, pairs: Sequence[tuple[Sent, Row]]) -> None:
    """Stage operations as the lines of a file of the device's day, and decide the day."""
    found = _day_of(run, day)
    content = "".join(f"{json.dumps(sent.body, sort_keys=True)}\n" for sent, _ in pairs).encode()
    file = FieldFile.objects.create(
        day=found,
        position=found.files.count(),
        name=f"{run.device.name}, sent {run.now.astimezone(run.outfit.zone):%Y-%m-%d %H:%M}",
        sha256=digest(content),
        size=len(content),
        content=content,
        header=HEADER,
        row_count=len(pairs),
        is_read=True,
    )
    insert_rows(_staged(found, file, number, sent, row) for number, (sent, row) in enumerate(pairs))
    settle_day(found)


def _day_of(run: Run, day: date) -> ProcessingDay:
    """The device's day in review, opened where there is none."""
    open_days = ProcessingDay.objects.filter(outfit=run.outfit, device_id=run.device.pk, worked_on=day)
    found = open_days.filter(state=DayState.REVIEW).order_by("made_at").first()
    return found or ProcessingDay.objects.create(
        outfit=run.outfit,
        device_id=run.device.pk,
        name=f"{run.device.name}, for review",
        worked_on=day,
        state=DayState.REVIEW,
    )


def _staged(day: ProcessingDay, file: FieldFile, number: int, sent: Sent, row: Row) -> StagedRow:
    return StagedRow(
        id=sent.op_id,
        day=day,
        file=file,
        line=number + 1,
        number=number,
        cells=_cells(sent),
        readings=row.readings,
        problems=row.problems,
    )


def _cells(sent: Sent) -> list[str]:
    """The operation in a few words for the page that lists lines."""
    whose = " ".join(sent.numbers.values()) or str(sent.animal or "")
    return [sent.at_sent, _what(sent), whose, _said(sent.data)]


def _what(sent: Sent) -> str:
    kind = EVENT_KINDS.get(str(sent.data.get("kind", "")))
    return kind.label if kind else sent.kind


def _said(data: dict[str, Any]) -> str:
    inner = data.get("data", data)
    return ", ".join(f"{key} {value}" for key, value in inner.items())[:300] if isinstance(inner, dict) else ""
