"""A value of herd arithmetic that the outfit has set for itself, from a day on."""

from typing import ClassVar

from django.db import models

from herd.registry.models.record import Record


class PolicyValue(Record):
    """One own value from a day on, until the next one of its key.

    `key` is a field of herd.values.policy.Policy, `text` the value as herd.values.policyvalues reads it. With
    `is_published` the published value counts again from that day.
    """

    SUBJECT = "policy_value"

    key = models.CharField(max_length=40)
    in_force_from = models.DateField()
    text = models.TextField(blank=True, default="")
    is_published = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["key", "-in_force_from"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "key", "in_force_from"],
                condition=models.Q(is_void=False),
                name="one_policy_value_per_day",
            )
        ]

    def __str__(self) -> str:
        value = "as published" if self.is_published else "; ".join(self.text.splitlines()) or "none"
        return f"{self.key.replace('_', ' ')} {value} from {self.in_force_from}"
