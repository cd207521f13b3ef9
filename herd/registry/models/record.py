"""What every table of the record has: our id, the outfit, a revision, and the void mark."""

from typing import Any, NoReturn, Self
from uuid import UUID

from django.db import models

from herd.accounts.models import Outfit
from herd.values.identity import new_id


class RecordRows(models.QuerySet[Any]):
    """Rows of one table of the record."""

    def of(self, outfit: Outfit) -> Self:
        """Rows of this outfit that stand: voided ones are kept in the table but answer no question."""
        return self.filter(outfit=outfit, is_void=False)

    def delete(self) -> NoReturn:
        """Refuse: rows of the record are voided, never deleted."""
        raise TypeError("Rows of the record are voided, never deleted.")


class Record(models.Model):
    """A row of the record.

    `revision` counts the writes to the row. A voided row is one whose creation was taken back; it is never
    deleted, so that the ledger's changes always have their subject.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="+")
    revision = models.PositiveIntegerField(default=1)
    is_void = models.BooleanField(default=False)

    objects = RecordRows.as_manager()

    # The word under which the ledger knows rows of this table.
    SUBJECT: str = ""

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return f"{self.SUBJECT} {self.pk}"

    @property
    def about(self) -> UUID | None:
        """The animal this row concerns, if it concerns one."""
        return getattr(self, "animal_id", None)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse: rows of the record are voided, never deleted."""
        raise TypeError("Rows of the record are voided, never deleted.")
