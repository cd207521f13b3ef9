"""A file captured in the field, kept byte for byte, and the recipe by which its shape is read."""

from typing import ClassVar

from django.db import models

from herd.accounts.models import Outfit
from herd.intake.models.day import ProcessingDay
from herd.values.identity import new_id


class FieldFile(models.Model):
    """One field file of a processing day.

    `content` is the file as it came. `columns` says what each column is, as herd.intake.columns.mapping writes
    it: a list of {"index", "header", "kind", "confidence", "reasons", "settings"}.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    day = models.ForeignKey(ProcessingDay, on_delete=models.CASCADE, related_name="files")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveBigIntegerField()
    content = models.BinaryField()
    is_herd_list = models.BooleanField(default=False)
    header = models.JSONField(default=list)
    dialect = models.JSONField(default=dict)
    warnings = models.JSONField(default=list)
    columns = models.JSONField(default=list)
    layout = models.CharField(max_length=64, blank=True, default="")
    problem = models.CharField(max_length=400, blank=True, default="", help_text="Why it can't be read.")
    row_count = models.PositiveIntegerField(default=0)
    is_read = models.BooleanField(default=False)
    tries = models.PositiveSmallIntegerField(
        default=0, db_default=0, help_text="Readings that came to no end: the worker died over it."
    )

    class Meta:
        ordering: ClassVar = ["position", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["day", "sha256"], name="a_file_is_in_a_day_once")
        ]

    def __str__(self) -> str:
        return self.name


class Recipe(models.Model):
    """What the columns of a file layout are, kept for the next file of that shape."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.CASCADE, related_name="recipes")
    layout = models.CharField(max_length=64)
    name = models.CharField(max_length=200)
    columns = models.JSONField()
    kept_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["outfit", "layout"], name="one_recipe_per_layout")
        ]

    def __str__(self) -> str:
        return self.name
