"""Something that happened to an animal on a day."""

from typing import ClassVar

from django.db import models

from herd.registry.models.animal import PRECISION_CHOICES, Animal
from herd.registry.models.record import Record
from herd.values.eventkinds import EVENT_KINDS


class Event(Record):
    """One event. Its `data` holds what its kind declares in herd.values.eventkinds.

    `weight_ng` is the weight in nanograms, exact for pounds and kilograms alike, beside the entered figure
    and unit in `data`. `happened_on` and `happened_at` are the field's clock, `recorded_at` is ours.
    """

    SUBJECT = "event"

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="events", db_index=False)
    kind = models.CharField(max_length=20, choices=[(kind.key, kind.label) for kind in EVENT_KINDS.values()])
    happened_on = models.DateField(null=True)
    happened_at = models.DateTimeField(null=True)
    precision = models.CharField(max_length=8, choices=PRECISION_CHOICES, default="day")
    recorded_at = models.DateTimeField()
    data = models.JSONField(default=dict)
    weight_ng = models.BigIntegerField(null=True)
    tube = models.CharField(max_length=20, blank=True, default="")
    supersedes = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="superseded_by")

    class Meta:
        ordering: ClassVar = ["happened_on", "id"]
        indexes: ClassVar = [
            models.Index(fields=["animal", "kind", "happened_on"], name="event_by_animal"),
            models.Index(fields=["outfit", "tube"], condition=~models.Q(tube=""), name="event_by_tube"),
            models.Index(
                fields=["outfit", "weight_ng"],
                condition=models.Q(is_void=False, weight_ng__isnull=False),
                name="event_by_weight",
            ),
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "tube"],
                condition=models.Q(kind="sample", is_void=False) & ~models.Q(tube=""),
                name="one_animal_per_sample_tube",
            ),
            models.CheckConstraint(
                condition=models.Q(weight_ng__isnull=True) | models.Q(weight_ng__gt=0),
                name="weights_are_positive",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.animal_id} on {self.happened_on}"
