"""A question about the herd kept under a name."""

from typing import ClassVar

from django.db import models

from herd.registry.models.record import Record


class HerdList(Record):
    """A list that the office asks for again: `question` holds its filters, sort and columns as a query string."""

    SUBJECT = "herd_list"

    name = models.CharField(max_length=80)
    question = models.CharField(max_length=2000)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "name"], condition=models.Q(is_void=False), name="one_herd_list_per_name"
            )
        ]

    def __str__(self) -> str:
        return self.name
