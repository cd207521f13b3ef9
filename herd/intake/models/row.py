"""One line of a field file as it was written, and the lines of a day that are about one animal, merged."""

from typing import ClassVar

from django.db import models

from herd.intake.models.day import ProcessingDay
from herd.intake.models.fieldfile import FieldFile
from herd.values.identity import new_id


class LineState(models.TextChoices):
    """What a merged line has come to."""

    CLEAR = "clear", "ready"
    WAITING = "waiting", "waits for a person"
    KNOWN = "known", "known already"
    APPLIED = "applied", "applied"
    SET_ASIDE = "set_aside", "set aside"


class MergedLine(models.Model):
    """All rows of a day that are about one animal.

    `key` tells the line from the others of its day and stays the same when the day is decided again:
    "animal:<id>" for an animal of the record, "new:<number>" for one to be made, "?<number>" while nobody knows.
    `proposals` is what will be written: a list of {"do": ..., "says": words for a person, "rows": [row ids]}.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    day = models.ForeignKey(ProcessingDay, on_delete=models.CASCADE, related_name="lines")
    key = models.CharField(max_length=80)
    animal_id = models.UUIDField(null=True)
    name = models.CharField(max_length=60, blank=True, default="")
    state = models.CharField(max_length=10, choices=LineState.choices)
    proposals = models.JSONField(default=list)
    notes = models.JSONField(default=list)

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["day", "key"], name="one_line_per_key")]
        indexes: ClassVar = [models.Index(fields=["day", "state"], name="line_by_state")]

    def __str__(self) -> str:
        return self.name or self.key


class RowState(models.TextChoices):
    """How a staged row ended, or that it has not yet."""

    WAITING = "waiting", "waiting"
    APPLIED = "applied", "applied"
    KNOWN = "known", "known already"
    SET_ASIDE = "set_aside", "set aside"
    UNUSABLE = "unusable", "unusable"


class StagedRow(models.Model):
    """One line of a field file.

    `cells` is the line as written, `readings` what was read in it by column kind, `problems` the cells that
    could not be read: a list of {"column", "value", "code", "reason"}. `match` says which animal it is about
    and why: {"bits", "reasons": [...]}.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    day = models.ForeignKey(ProcessingDay, on_delete=models.CASCADE, related_name="rows")
    file = models.ForeignKey(FieldFile, on_delete=models.CASCADE, related_name="rows", db_index=False)
    line = models.PositiveIntegerField(help_text="Line in the file as it is, from 1.")
    number = models.PositiveIntegerField(help_text="Place among the file's rows, from 0.")
    cells = models.JSONField()
    readings = models.JSONField(default=dict)
    problems = models.JSONField(default=list)
    state = models.CharField(max_length=10, choices=RowState.choices, default=RowState.WAITING)
    reason = models.CharField(max_length=300, blank=True, default="")
    animal_id = models.UUIDField(null=True, db_index=True)
    match = models.JSONField(default=dict)
    was_applied = models.BooleanField(
        default=False, help_text="Something it says is in the record by this day."
    )
    merged = models.ForeignKey(MergedLine, on_delete=models.SET_NULL, null=True, related_name="rows")

    class Meta:
        ordering: ClassVar = ["file", "number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["file", "number"], name="one_row_per_place")]

    def __str__(self) -> str:
        return f"line {self.line}"
