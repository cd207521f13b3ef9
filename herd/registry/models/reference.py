"""Reference lists: breeds, locations, products. A retired row is offered no more, but what names it still stands."""

from typing import ClassVar

from django.db import models

from herd.registry.models.record import Record


class Breed(Record):
    """A breed as this outfit writes it."""

    SUBJECT = "breed"

    code = models.CharField(max_length=10)
    name = models.CharField(max_length=60)
    is_retired = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "code"], condition=models.Q(is_void=False), name="one_breed_per_code"
            )
        ]

    def __str__(self) -> str:
        return self.name


class Location(Record):
    """A place where animals are kept, with its premises number where it has one."""

    SUBJECT = "location"

    name = models.CharField(max_length=80)
    premises_number = models.CharField(max_length=8, blank=True, default="")
    is_retired = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "name"], condition=models.Q(is_void=False), name="one_location_per_name"
            )
        ]

    def __str__(self) -> str:
        return self.name


class Product(Record):
    """A drug or vaccine with its label's withdrawal time; label and veterinarian decide, not this list."""

    SUBJECT = "product"

    name = models.CharField(max_length=80)
    ingredient = models.CharField(max_length=120, blank=True, default="")
    is_vaccine = models.BooleanField(default=False)
    meat_withdrawal_days = models.PositiveSmallIntegerField(null=True, blank=True)
    dose = models.CharField(max_length=60, blank=True, default="")
    route = models.CharField(max_length=30, blank=True, default="")
    needs_prescription = models.BooleanField(default=False)
    is_retired = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "name"], condition=models.Q(is_void=False), name="one_product_per_name"
            )
        ]

    def __str__(self) -> str:
        return self.name
