"""A processing day as lines of JSON, its files' bytes among them; and the mark by which a copy is known to be old."""

import base64
import hashlib
import json
from collections.abc import Iterator
from datetime import date
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import Count, Max, Sum

from herd.intake.models import FieldFile, Finding, MergedLine, ProcessingDay, Ruling, StagedRow

# In an order in which rows come after those that they name.
TABLES: dict[str, type[models.Model]] = {
    "day": ProcessingDay,
    "file": FieldFile,
    "line": MergedLine,
    "row": StagedRow,
    "finding": Finding,
    "ruling": Ruling,
}
# What a copy says in its own words.
OWN = frozenset({"outfit_id", "home", "copied", "lease_until"})


def columns_of(model: type[models.Model]) -> dict[str, Any]:
    """The columns that travel, by name."""
    return {one.attname: one for one in model._meta.concrete_fields if one.attname not in OWN}


def marks(days: models.QuerySet[ProcessingDay]) -> dict[UUID, str]:
    """For each day a short word that is another one as soon as the day has changed in a way that can be seen."""
    found: dict[UUID, list[Any]] = {
        one.pk: [one.name, one.state, one.decided_at, one.problem, str(one.worked_on), one.done_rows, str(one.group_id)]
        for one in days
    }
    own = {"day__in": list(found)}
    counted: list[Any] = [
        *FieldFile.objects.filter(**own).order_by("day").values_list("day").annotate(Count("pk"), Sum("row_count")),
        *Finding.objects.filter(**own).order_by("day", "is_open").values_list("day", "is_open").annotate(Count("pk")),
        *Ruling.objects.filter(**own).order_by("day").values_list("day").annotate(Count("pk"), Max("ruled_at")),
        *StagedRow.objects.filter(**own).order_by("day", "state").values_list("day", "state").annotate(Count("pk")),
    ]
    for key, *said in counted:
        found[key].append([str(one) for one in said])
    return {key: hashlib.sha256(json.dumps(said).encode()).hexdigest()[:20] for key, said in found.items()}


def lines_of(day: ProcessingDay) -> Iterator[str]:
    """The day line by line; the last says how many there were."""
    count = 0
    for table, model in TABLES.items():
        own = {"pk": day.pk} if model is ProcessingDay else {"day": day}
        # A field file's bytes are held one at a time.
        step = 1 if model is FieldFile else 500
        for row in model._default_manager.filter(**own).order_by("pk").iterator(chunk_size=step):
            count += 1
            yield _line({"table": table, "row": {name: _plain(getattr(row, name)) for name in columns_of(model)}})
    yield _line({"end": count})


def _line(said: Any) -> str:
    return json.dumps(said, separators=(",", ":")) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode()
    return value
