"""Groups, locations and products as they go out, and as they come in."""

from typing import Any, ClassVar

from rest_framework import serializers

from api.links import SOME_ID
from api.serializers.animals import Named
from api.serializers.fields import DayField, Strict, such_as
from herd.registry.models import Group, GroupKind, GroupMembership, Location, Product


class GroupOut(serializers.ModelSerializer[Group]):
    """A set of animals run together."""

    location = Named(read_only=True, allow_null=True)

    class Meta:
        model = Group
        fields: ClassVar = ["id", "revision", "name", "kind", "location", "is_closed"]


@such_as({"name": "Lower Bench", "kind": "herd", "location": SOME_ID})
class GroupIn(Strict):
    """A group to be opened."""

    name = serializers.CharField(max_length=80)
    kind = serializers.ChoiceField(GroupKind.choices, default=GroupKind.HERD.value)
    location = serializers.UUIDField(source="location_id", required=False, allow_null=True, default=None)


class GroupChange(Strict):
    """What is put right of a group; a location set here counts since its last move. `place` is for one that moves."""

    name = serializers.CharField(max_length=80, required=False)
    kind = serializers.ChoiceField(GroupKind.choices, required=False)
    location = serializers.UUIDField(source="location_id", required=False, allow_null=True)
    reason = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")


@such_as({"on": "2026-03-15"})
class GroupClosing(Strict):
    """The day on which a group is closed, and the group that takes in those who are still in it."""

    on = DayField()
    into = serializers.UUIDField(required=False, allow_null=True, default=None)


@such_as({"location": SOME_ID, "on": "2026-03-15"})
class GroupPlace(Strict):
    """The location to which a whole group moves on a day."""

    location = serializers.UUIDField()
    on = DayField()


class MembershipOut(serializers.ModelSerializer[GroupMembership]):
    """One animal in one group from a day to a day; the day of leaving is no day of membership."""

    class Meta:
        model = GroupMembership
        fields: ClassVar = ["id", "animal", "group", "joined_on", "left_on"]


@such_as({"animals": [SOME_ID], "group": SOME_ID, "on": "2026-03-15"})
class Move(Strict):
    """Animals that move into a group on a day; all or none."""

    animals = serializers.ListField(child=serializers.UUIDField(), min_length=1, max_length=2_000)
    group = serializers.UUIDField()
    on = DayField()


class Moved(serializers.Serializer[Any]):
    """How many were moved."""

    animals = serializers.IntegerField()


class LocationOut(serializers.ModelSerializer[Location]):
    """A place where animals are kept."""

    class Meta:
        model = Location
        fields: ClassVar = ["id", "revision", "name", "premises_number", "is_retired"]


@such_as({"name": "Creek pasture"})
class LocationIn(Strict):
    """A location."""

    name = serializers.CharField(max_length=80)
    premises_number = serializers.CharField(max_length=8, required=False, allow_blank=True)


class LocationChange(LocationIn):
    """What is put right of a location, and whether it is out of use."""

    is_retired = serializers.BooleanField(required=False)
    reason = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")


class ProductOut(serializers.ModelSerializer[Product]):
    """A drug or vaccine as the outfit keeps it; the label and the veterinarian decide, not this list."""

    class Meta:
        model = Product
        fields: ClassVar = [
            "id",
            "revision",
            "name",
            "ingredient",
            "is_vaccine",
            "meat_withdrawal_days",
            "dose",
            "route",
            "needs_prescription",
            "is_retired",
        ]


@such_as({"name": "Example vaccine B", "is_vaccine": True, "meat_withdrawal_days": 21})
class ProductIn(Strict):
    """A drug or vaccine, with its withdrawal days as its label has them."""

    name = serializers.CharField(max_length=80)
    ingredient = serializers.CharField(max_length=120, required=False, allow_blank=True)
    is_vaccine = serializers.BooleanField(required=False)
    meat_withdrawal_days = serializers.IntegerField(required=False, allow_null=True, min_value=0, max_value=1_000)
    dose = serializers.CharField(max_length=60, required=False, allow_blank=True)
    route = serializers.CharField(max_length=30, required=False, allow_blank=True)
    needs_prescription = serializers.BooleanField(required=False)


class ProductChange(ProductIn):
    """What is put right of a product, and whether it is out of use."""

    is_retired = serializers.BooleanField(required=False)
    reason = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")


class DayAsked(Strict):
    """The day that is asked for; today where it is left out."""

    is_text = True

    on = DayField(required=False)


class GroupHead(serializers.Serializer[Any]):
    """The head of one group; of those in no group where it is null."""

    group = serializers.UUIDField(allow_null=True)
    name = serializers.CharField(allow_null=True)
    total = serializers.IntegerField()
    by_class = serializers.DictField(child=serializers.IntegerField())


class HeadOut(serializers.Serializer[Any]):
    """The head on hand on a day, by class and by group, and those away by status."""

    day = serializers.DateField()
    total = serializers.IntegerField()
    by_class = serializers.DictField(child=serializers.IntegerField())
    groups = GroupHead(many=True)
    away = serializers.DictField(child=serializers.IntegerField())
