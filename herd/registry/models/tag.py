"""Tags and their wearing: which number was on which animal, from when to when, and why it ended."""

from typing import ClassVar

from django.db import models

from herd.registry.models.animal import PRECISION_CHOICES, Animal
from herd.registry.models.record import Record
from herd.registry.models.tagorder import NaturalKey


class TagKind(models.TextChoices):
    """Kinds of number fixed to an animal."""

    EID = "eid", "EID"
    VID = "vid", "visual tag"
    METAL = "nues", "official metal tag"
    TATTOO = "tattoo", "tattoo"
    BRAND = "brand", "brand"
    BACK = "back", "back tag"


class WearingBegan(models.TextChoices):
    """How a wearing began."""

    TAGGED = "tagged", "tagged"
    RETAGGED = "retagged", "retagged"
    FOUND = "found", "found"
    CORRECTED = "corrected", "corrected"


class WearingEnded(models.TextChoices):
    """Why a wearing ended."""

    LOST = "lost", "lost"
    BROKEN = "broken", "broken"
    UNREADABLE = "unreadable", "unreadable"
    REPLACED = "replaced", "replaced"
    REMOVED = "removed", "removed"
    DATA_ERROR = "data_error", "data error"


class Tag(Record):
    """A number of one kind. A visual number is told apart by colour and year of issue as well."""

    SUBJECT = "tag"

    kind = models.CharField(max_length=6, choices=TagKind.choices)
    number = models.CharField(max_length=30)
    backwards = models.CharField(max_length=30, help_text="The number from its end, to find last digits.")
    colour = models.CharField(max_length=12, blank=True, default="")
    issuer_year = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["kind", "number"]
        indexes: ClassVar = [
            models.Index(fields=["outfit", "number"], name="tag_by_number"),
            models.Index(fields=["outfit", "backwards"], name="tag_by_last_digits"),
            models.Index(
                "outfit", "kind", NaturalKey("number"), condition=models.Q(is_void=False), name="tag_in_natural_order"
            ),
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "kind", "number", "colour", "issuer_year"],
                condition=models.Q(is_void=False),
                name="one_tag_per_number",
            )
        ]

    def __str__(self) -> str:
        return " ".join(part for part in [self.number, self.colour] if part)


class TagWearing(Record):
    """One tag on one animal from a day to a day."""

    SUBJECT = "wearing"

    tag = models.ForeignKey(Tag, on_delete=models.PROTECT, related_name="wearings")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="wearings")
    kind = models.CharField(
        max_length=6, choices=TagKind.choices, help_text="The tag's, for the rule on EIDs."
    )
    worn_from = models.DateField(null=True)
    worn_from_precision = models.CharField(max_length=8, choices=PRECISION_CHOICES, default="day")
    began = models.CharField(max_length=10, choices=WearingBegan.choices, default=WearingBegan.TAGGED)
    worn_to = models.DateField(null=True)
    ended = models.CharField(max_length=10, choices=WearingEnded.choices, blank=True, default="")
    is_second = models.BooleanField(default=False, help_text="A second EID, allowed beside the first.")
    second_reason = models.CharField(max_length=120, blank=True, default="")
    # What 9 CFR 86.4(e) asks to keep of a tag that was replaced: why, where it came off, what took its place.
    ended_reason = models.CharField(max_length=120, blank=True, default="")
    removed_at = models.CharField(
        max_length=120, blank=True, default="", help_text="Where it came off, and how to reach the place."
    )
    replaces = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, related_name="replaced_by", db_index=False
    )

    class Meta:
        ordering: ClassVar = ["worn_from", "id"]
        indexes: ClassVar = [
            models.Index(fields=["outfit", "worn_from", "id"], name="wearing_by_day_on"),
            models.Index(
                fields=["outfit", "worn_to", "id"],
                condition=models.Q(worn_to__isnull=False),
                name="wearing_by_day_off",
            ),
            models.Index(
                fields=["replaces"], condition=models.Q(replaces__isnull=False), name="wearing_by_replaced"
            ),
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["tag"],
                condition=models.Q(ended="", is_void=False),
                name="a_tag_is_on_one_animal_at_a_time",
            ),
            models.UniqueConstraint(
                fields=["animal"],
                condition=models.Q(ended="", is_void=False, is_second=False, kind="eid"),
                name="one_open_eid_per_animal",
            ),
            models.CheckConstraint(
                condition=models.Q(ended="", worn_to__isnull=True) | ~models.Q(ended=""),
                name="an_open_wearing_has_no_end_day",
            ),
            models.CheckConstraint(
                condition=models.Q(worn_to__isnull=True)
                | models.Q(worn_from__isnull=True)
                | models.Q(worn_to__gte=models.F("worn_from")),
                name="a_wearing_ends_after_it_began",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tag_id} on {self.animal_id}"

    @property
    def is_open(self) -> bool:
        """Whether the tag is on the animal now."""
        return not self.ended
