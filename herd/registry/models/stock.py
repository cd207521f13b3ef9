"""Tag stock: boxes of numbers bought, and the numbers that went missing from them."""

from typing import ClassVar

from django.db import models

from herd.registry.models.record import Record
from herd.registry.models.tag import TagKind


class TagBox(Record):
    """A run of numbers of one kind, first to last, both included."""

    SUBJECT = "tag_box"

    kind = models.CharField(max_length=6, choices=TagKind.choices)
    first = models.CharField(max_length=30)
    last = models.CharField(max_length=30)
    colour = models.CharField(max_length=12, blank=True, default="")
    issuer_year = models.PositiveSmallIntegerField(default=0, help_text="Of visual tags that begin anew each year.")
    received_on = models.DateField(null=True)
    supplier = models.CharField(max_length=80, blank=True, default="")

    class Meta:
        ordering: ClassVar = ["received_on", "first"]
        verbose_name_plural = "tag boxes"

    def __str__(self) -> str:
        return f"{self.first} to {self.last}"


class MissingTag(Record):
    """A number of a box that is not to be had: never arrived, spoiled, or lost before it was used."""

    SUBJECT = "missing_tag"

    box = models.ForeignKey(TagBox, on_delete=models.PROTECT, related_name="missing")
    number = models.CharField(max_length=30)
    reason = models.CharField(max_length=120, blank=True, default="")

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["box", "number"], condition=models.Q(is_void=False), name="a_tag_is_missing_once"
            )
        ]

    def __str__(self) -> str:
        return self.number
