"""A count of a group made in the field, kept beside what the record expected that day."""

from typing import ClassVar

from django.db import models

from herd.registry.models.group import Group
from herd.registry.models.record import Record


class HeadCheck(Record):
    """One count of one group: a bare figure, by class where it was counted so, or the numbers that were scanned.

    `by_class` has a figure for each class counted apart; `numbers` are as they were read or typed. `expected` is
    what the record held when the count was kept; who was missing or extra is asked of the record anew, since late
    files change it.
    """

    SUBJECT = "head_check"

    group = models.ForeignKey(Group, on_delete=models.PROTECT, related_name="head_checks")
    counted_on = models.DateField()
    counted = models.PositiveIntegerField(null=True)
    by_class = models.JSONField(default=dict)
    numbers = models.JSONField(default=list)
    expected = models.PositiveIntegerField()
    note = models.CharField(max_length=500, blank=True, default="")

    class Meta:
        ordering: ClassVar = ["-counted_on", "-id"]

    def __str__(self) -> str:
        return f"count of {self.group_id} on {self.counted_on}"

    @property
    def difference(self) -> int:
        """Head counted less head expected when the count was kept."""
        return (self.counted or 0) - self.expected
