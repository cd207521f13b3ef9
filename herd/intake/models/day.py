"""The processing day: one working of one group, with its field files merged together."""

from typing import ClassVar

from django.db import models

from herd.accounts.models import Outfit, Person
from herd.registry.models import Group
from herd.values.identity import new_id


class DayState(models.TextChoices):
    """How far a processing day has come."""

    WORKING = "working", "being read"
    REVIEW = "review", "in review"
    APPLYING = "applying", "being applied"
    APPLIED = "applied", "applied"
    FAILED = "failed", "stopped"


class ProcessingDay(models.Model):
    """A day's work with its files. `step` and `done_rows` of `all_rows` tell how far the work on it is.

    `lease_until` is renewed while a worker is on the day; once it lies in the past the work may be taken up
    again by another, from the step it had come to.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="days")
    name = models.CharField(max_length=120)
    worked_on = models.DateField()
    group = models.ForeignKey(Group, on_delete=models.PROTECT, null=True, related_name="+")
    makes_animals = models.BooleanField(
        default=False, help_text="A herd list came first: its unknown animals are new ones."
    )
    state = models.CharField(max_length=10, choices=DayState.choices, default=DayState.WORKING)
    step = models.CharField(max_length=20, blank=True, default="")
    done_rows = models.PositiveIntegerField(default=0)
    all_rows = models.PositiveIntegerField(default=0)
    lease_until = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(
        default=0, db_default=0, help_text="Decidings and applyings that came to no end: the worker died over them."
    )
    problem = models.CharField(max_length=300, blank=True, default="")
    decided_at = models.BigIntegerField(
        default=0, help_text="The feed position against which it was decided."
    )
    device_id = models.UUIDField(
        null=True, db_index=True, help_text="The device whose doubtful operations it holds, where it is one's."
    )
    home = models.CharField(
        max_length=60,
        blank=True,
        default="",
        help_text="The other installation where it is decided and applied, for a day that is a copy here.",
    )
    copied = models.JSONField(default=dict, help_text="Of a copy: the state that it was taken in, and its rulings.")
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    asked_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+", help_text="Who asked for the apply under way."
    )
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-worked_on", "-id"]
        indexes: ClassVar = [models.Index(fields=["outfit", "state"], name="day_by_state")]

    def __str__(self) -> str:
        return self.name

    @property
    def is_busy(self) -> bool:
        """Whether a worker has it."""
        return self.state in {DayState.WORKING, DayState.APPLYING}
