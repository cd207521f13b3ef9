"""The outfit, the person, the person's role in an outfit, one-time codes, and what was changed about all these."""

from typing import ClassVar
from zoneinfo import ZoneInfo

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.db import models

from herd.values.identity import new_id
from herd.values.weights import WeightUnit


def check_time_zone(name: str) -> None:
    """Raise ValidationError unless the name is in the IANA time zone database."""
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError) as problem:
        raise ValidationError(f"{name!r} is not a time zone; write it as in America/Denver.") from problem


class Outfit(models.Model):
    """The business whose herd it is; every row of the record belongs to exactly one."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    code = models.SlugField(max_length=40, unique=True, help_text="Short name used on the command line.")
    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=60, default="America/Denver", validators=[check_time_zone])
    weight_unit = models.CharField(
        max_length=2,
        choices=[(unit.value, unit.value) for unit in WeightUnit],
        default=WeightUnit("lb").value,
    )
    premises_number = models.CharField(max_length=8, blank=True, default="")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        """The outfit's time zone."""
        return ZoneInfo(self.time_zone)

    @property
    def unit(self) -> WeightUnit:
        """The unit in which this outfit weighs."""
        return WeightUnit(self.weight_unit)


class Person(AbstractUser):
    """Someone who signs in."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)

    def __str__(self) -> str:
        return self.get_full_name() or self.username


class Role(models.TextChoices):
    """What a person may do in an outfit, from most to least."""

    OWNER = "owner", "owner"
    OFFICE = "office", "office"
    CREW = "crew", "crew"
    READER = "reader", "read only"


class OutfitPerson(models.Model):
    """A person's role in one outfit."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.CASCADE, related_name="people")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="outfits")
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.CREW)

    class Meta:
        verbose_name = "person and role"
        verbose_name_plural = "people and roles"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["outfit", "person"], name="one_role_per_person_and_outfit")
        ]

    def __str__(self) -> str:
        return f"{self.person} ({self.get_role_display()}, {self.outfit})"


class ResetCode(models.Model):
    """A one-time code by which a person sets a new password; a person has one at most, and using it removes it.

    Only its hash is kept. After `failures` wrong tries it opens nothing any more, from whatever address they came.
    """

    person = models.OneToOneField(Person, on_delete=models.CASCADE, primary_key=True, related_name="reset_code")
    code_hash = models.CharField(max_length=128)
    expires_at = models.DateTimeField()
    failures = models.PositiveSmallIntegerField(default=0)

    def __str__(self) -> str:
        return f"code of {self.person_id}"


class OutfitChangeKind(models.TextChoices):
    """What a change to the outfit was about."""

    PEOPLE = "people", "people and roles"
    PASSWORD = "password", "passwords"
    KEPT = "kept", "standing rules and recipes"


class OutfitChange(models.Model):
    """A change to the outfit itself rather than to its herd, as a sentence; the ledger keeps the herd's."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="+", db_index=False)
    kind = models.CharField(max_length=10, choices=OutfitChangeKind.choices)
    says = models.CharField(max_length=300)
    person = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    person_name = models.CharField(max_length=150, blank=True, default="")
    recorded_at = models.DateTimeField()

    class Meta:
        verbose_name = "change to the outfit"
        verbose_name_plural = "changes to the outfit"
        ordering: ClassVar = ["-recorded_at", "-id"]
        indexes: ClassVar = [models.Index(fields=["outfit", "-recorded_at"], name="outfit_change_recent")]

    def __str__(self) -> str:
        return self.says


class KeptAnswer(models.Model):
    """The answer to a write that a program asked for under a key of its own, so that asking again writes nothing.

    `caller` says which device or person it was, `digest` is the SHA-256 of what was asked.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="+", db_index=False)
    caller = models.CharField(max_length=50)
    key = models.CharField(max_length=100)
    digest = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(default=0)
    body = models.JSONField(null=True)
    place = models.CharField(max_length=200, blank=True, default="")
    made_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["outfit", "caller", "key"], name="an_answer_is_kept_once")
        ]

    def __str__(self) -> str:
        return f"{self.caller} {self.key}"
