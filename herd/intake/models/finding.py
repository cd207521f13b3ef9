"""What a person must decide, and how it was decided."""

from typing import ClassVar

from django.db import models

from herd.accounts.models import Outfit, Person
from herd.intake.models.day import ProcessingDay
from herd.intake.models.row import MergedLine
from herd.values.identity import new_id


class FindingKind(models.TextChoices):
    """Kinds of finding, in the order in which they are worth deciding: whose data it is comes first."""

    DATE_ORDER = "date_order", "day and month could be swapped"
    LINED_UP = "lined_up", "weights without numbers"
    DAMAGED_TAG = "damaged_tag", "tag damaged by a spreadsheet"
    NUMBERS_DISAGREE = "numbers_disagree", "numbers of two animals in one line"
    UNKNOWN_TAG = "unknown_tag", "unknown tag"
    WORN_BEFORE = "worn_before", "tag worn before"
    WHICH_ANIMAL = "which_animal", "which animal"
    NOT_ON_HAND = "not_on_hand", "animal not on hand"
    REPEATED_SCAN = "repeated_scan", "scanned again with other values"
    FILES_DISAGREE = "files_disagree", "files disagree"
    DIFFERS = "differs_from_record", "differs from the record"
    DOUBTFUL = "doubtful_value", "doubtful value"
    TUBE_TWICE = "tube_used_twice", "sample tube used twice"
    IN_WITHDRAWAL = "in_withdrawal", "sold while in withdrawal"
    UNREADABLE = "unreadable_value", "cell that can't be read"
    NOT_SEEN = "not_seen", "expected and not seen"


class Finding(models.Model):
    """One question for a person.

    `key` is the same each time the day is decided, so that a ruling outlives a new run. `sides` is what stands
    against what: a list of {"says", "value", "rows"}; `reasons` are sentences; `choices` is a list of
    {"choice", "label", "effect"}, of which the first is the one suggested where `is_suggested`.
    Findings with the same `alike` can be ruled together.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    day = models.ForeignKey(ProcessingDay, on_delete=models.CASCADE, related_name="findings")
    line = models.ForeignKey(MergedLine, on_delete=models.SET_NULL, null=True, related_name="findings")
    key = models.CharField(max_length=160)
    kind = models.CharField(max_length=20, choices=FindingKind.choices)
    field = models.CharField(max_length=30, blank=True, default="")
    alike = models.CharField(max_length=80)
    title = models.CharField(max_length=200)
    animal_id = models.UUIDField(null=True)
    rows = models.JSONField(default=list)
    sides = models.JSONField(default=list)
    reasons = models.JSONField(default=list)
    choices = models.JSONField(default=list)
    is_suggested = models.BooleanField(default=False)
    is_open = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["kind", "id"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["day", "key"], name="one_finding_per_key")]
        indexes: ClassVar = [models.Index(fields=["day", "is_open", "kind"], name="finding_by_kind")]

    def __str__(self) -> str:
        return self.title


class Ruling(models.Model):
    """A person's answer to a finding; rulings given together share `together`."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    day = models.ForeignKey(ProcessingDay, on_delete=models.CASCADE, related_name="rulings")
    finding_key = models.CharField(max_length=160)
    title = models.CharField(max_length=200)
    choice = models.CharField(max_length=80)
    typed = models.CharField(max_length=80, blank=True, default="")
    rows = models.JSONField(default=list, help_text="The rows of the side that the choice is about.")
    label = models.CharField(max_length=200)
    together = models.UUIDField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    by_rule = models.BooleanField(default=False)
    ruled_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-ruled_at", "-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["day", "finding_key"], name="one_ruling_per_finding")
        ]

    def __str__(self) -> str:
        return f"{self.title}: {self.label}"


class StandingRule(models.Model):
    """A ruling kept for the future, for one outfit: findings alike are answered so without asking."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.CASCADE, related_name="standing_rules")
    alike = models.CharField(max_length=80)
    choice = models.CharField(max_length=80)
    label = models.CharField(max_length=200)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["alike"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["outfit", "alike"], name="one_standing_rule_per_likeness")
        ]

    def __str__(self) -> str:
        return f"{self.alike}: {self.label}"
