"""The animal: one head, with an id of ours that never changes."""

from typing import ClassVar
from uuid import UUID

from django.db import models

from herd.registry.models.record import Record
from herd.values.classes import AnimalClass
from herd.values.fielddates import DatePrecision


class AnimalStatus(models.TextChoices):
    """Whether the animal is in the herd."""

    ON_HAND = "on_hand", "on hand"
    SOLD = "sold", "sold"
    DEAD = "dead", "dead"
    MISSING = "missing", "missing"
    TRANSFERRED = "transferred", "transferred"


CLASS_CHOICES = [(word.value, word.value) for word in AnimalClass]
PRECISION_CHOICES = [(word.value, word.value) for word in DatePrecision]


class Animal(Record):
    """One head.

    `entry_class` is the class it had when it came into the record. `animal_class`, `status`, `status_since`,
    `group` and `location` are a fold over its events and memberships by effective time, kept here for speed.
    """

    SUBJECT = "animal"

    entry_class = models.CharField(max_length=10, choices=CLASS_CHOICES, blank=True, default="")
    entered_on = models.DateField(null=True)
    born_on = models.DateField(null=True)
    born_precision = models.CharField(
        max_length=8, choices=PRECISION_CHOICES, default=DatePrecision("unknown").value
    )
    breed = models.CharField(max_length=60, blank=True, default="")
    coat = models.CharField(max_length=40, blank=True, default="")
    origin = models.CharField(max_length=80, blank=True, default="")
    dam = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="calves")
    sire = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="get")
    # A record that was merged into another is void and points at the one that stands for both.
    same_as = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="merged_into_it")

    animal_class = models.CharField(max_length=10, choices=CLASS_CHOICES, blank=True, default="")
    status = models.CharField(max_length=12, choices=AnimalStatus.choices, default=AnimalStatus.ON_HAND)
    status_since = models.DateField(null=True)
    group = models.ForeignKey("Group", on_delete=models.PROTECT, null=True, related_name="animals")
    location = models.ForeignKey("Location", on_delete=models.PROTECT, null=True, related_name="animals")

    class Meta:
        ordering: ClassVar = ["id"]
        indexes: ClassVar = [
            models.Index(fields=["outfit", "status", "group"], name="animal_by_group"),
            models.Index(fields=["outfit", "status", "animal_class"], name="animal_by_class"),
        ]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~models.Q(dam=models.F("id")) & ~models.Q(sire=models.F("id")),
                name="no_animal_is_its_own_parent",
            )
        ]

    def __str__(self) -> str:
        return f"animal {self.pk}"

    @property
    def about(self) -> UUID | None:
        """The animal itself."""
        return self.pk

    @property
    def is_on_hand(self) -> bool:
        """Whether the animal is in the herd now."""
        return self.status == AnimalStatus.ON_HAND
