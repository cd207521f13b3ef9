"""Changesets, the changes in them, and each outfit's feed counter."""

from typing import Any, ClassVar, NoReturn

from django.db import models

from herd.accounts.models import Outfit, Person
from herd.values.identity import new_id


class ChangesetKind(models.TextChoices):
    """How a changeset came about. Retired kinds are never used again for something else."""

    OFFICE = "office", "entered in the office"
    INTAKE = "intake", "applied from field files"
    SETUP = "setup", "set up"
    UNDO = "undo", "undone"
    DEVICE = "device", "sent by a device"


class Action(models.TextChoices):
    """What a change did to its subject."""

    CREATED = "created", "created"
    CHANGED = "changed", "changed"
    VOIDED = "voided", "voided"
    REVIVED = "revived", "brought back"


class LedgerRows(models.QuerySet[Any]):
    """Rows of the ledger; they are never deleted, one by one or together."""

    def delete(self) -> NoReturn:
        """Refuse: the ledger only grows."""
        raise TypeError("The ledger only grows; undo writes another changeset.")


class Changeset(models.Model):
    """What was written together: by whom, when, from where."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="changesets")
    kind = models.CharField(max_length=10, choices=ChangesetKind.choices)
    title = models.CharField(max_length=200)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    person_name = models.CharField(max_length=150, blank=True, default="")
    day_id = models.UUIDField(null=True, db_index=True, help_text="The processing day it was applied from.")
    recorded_at = models.DateTimeField()
    change_count = models.PositiveIntegerField(default=0)
    undoes = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="undone_by")
    is_undone = models.BooleanField(default=False, help_text="Wholly taken back by a later changeset.")
    is_performed = models.BooleanField(
        default=False, help_text="Came of performing operations of a device, which can be performed elsewhere as well."
    )

    objects = LedgerRows.as_manager()

    class Meta:
        ordering: ClassVar = ["-recorded_at", "-id"]
        indexes: ClassVar = [models.Index(fields=["outfit", "-recorded_at"], name="changeset_recent")]

    def __str__(self) -> str:
        return f"{self.title} ({self.recorded_at:%Y-%m-%d %H:%M})"

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse: the ledger only grows."""
        raise TypeError("A changeset is never deleted; undo writes another one.")


class Change(models.Model):
    """One subject's fields before and after, with the source line they came from.

    The subject is named by kind and id rather than by a foreign key, so that the ledger knows nothing of the
    rooms above it. `position` is the place in the outfit's feed; no two changes of an outfit share one, and
    positions appear in the order of commits.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="+", db_index=False)
    changeset = models.ForeignKey(Changeset, on_delete=models.PROTECT, related_name="changes")
    position = models.BigIntegerField()
    subject_kind = models.CharField(max_length=20)
    subject_id = models.UUIDField(db_index=True)
    animal_id = models.UUIDField(null=True, db_index=True)
    action = models.CharField(max_length=10, choices=Action.choices)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)
    reason = models.CharField(max_length=200, blank=True, default="")
    source_row = models.UUIDField(null=True)
    source_file = models.CharField(max_length=200, blank=True, default="")
    source_line = models.PositiveIntegerField(null=True)
    undoes = models.UUIDField(null=True, help_text="The change that this one takes back.")

    objects = LedgerRows.as_manager()

    class Meta:
        ordering: ClassVar = ["position"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["outfit", "position"], name="one_change_per_feed_position"),
            models.UniqueConstraint(
                fields=["undoes"], condition=models.Q(undoes__isnull=False), name="a_change_is_undone_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.subject_kind} {self.subject_id} {self.action}"

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse: the ledger only grows."""
        raise TypeError("A change is never deleted; undo writes another one.")


class FeedCounter(models.Model):
    """An outfit's last feed position; locked last by each writing transaction."""

    outfit = models.OneToOneField(Outfit, on_delete=models.PROTECT, primary_key=True, related_name="+")
    position = models.BigIntegerField(default=0)
    epoch = models.UUIDField(default=new_id)

    def __str__(self) -> str:
        return f"{self.outfit_id}: {self.position}"
