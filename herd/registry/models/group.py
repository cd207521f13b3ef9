"""Groups of animals run together, and who was in them from when to when."""

from typing import ClassVar

from django.db import models

from herd.registry.models.animal import Animal
from herd.registry.models.record import Record
from herd.registry.models.reference import Location


class GroupKind(models.TextChoices):
    """Kinds of group."""

    HERD = "herd", "herd"
    PASTURE = "pasture", "pasture"
    PEN = "pen", "pen"
    LOT = "lot", "lot"


class Group(Record):
    """A set of animals run together."""

    SUBJECT = "group"

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=8, choices=GroupKind.choices, default=GroupKind.HERD)
    location = models.ForeignKey(Location, on_delete=models.PROTECT, null=True, related_name="groups")
    is_closed = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "name"], condition=models.Q(is_void=False), name="one_group_per_name"
            )
        ]

    def __str__(self) -> str:
        return self.name


class GroupMembership(Record):
    """One animal in one group from a day to a day."""

    SUBJECT = "membership"

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="memberships")
    group = models.ForeignKey(Group, on_delete=models.PROTECT, related_name="memberships")
    joined_on = models.DateField()
    left_on = models.DateField(null=True)

    class Meta:
        ordering: ClassVar = ["joined_on", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=models.Q(left_on__isnull=True, is_void=False),
                name="one_open_membership_per_animal",
            ),
            models.CheckConstraint(
                condition=models.Q(left_on__isnull=True) | models.Q(left_on__gte=models.F("joined_on")),
                name="a_membership_ends_after_it_began",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal_id} in {self.group_id}"
