"""Groups, locations and products as they go out, and as they come in."""

from typing import Any, ClassVar

from rest_framework import serializers

from api.serializers.animals import Named
from api.serializers.fields import DayField, Strict
from herd.registry.models import Group, GroupKind, GroupMembership, Location, Product


class GroupOut(serializers.ModelSerializer[Group]):
    """A set of animals run together."""

    location = Named(read_only=True, allow_null=True)

    class Meta:
        model = Group
        fields: ClassVar = ["id", "revision", "name", "kind", "location", "is_closed"]


class GroupIn(Strict):
    """A group to be opened."""

    name = serializers.CharField(max_length=80)
    kind = serializers.ChoiceField(GroupKind.choices, default=GroupKind.HERD.value)
    location = serializers.UUIDField(required=False, allow_null=True, default=None)


class MembershipOut(serializers.ModelSerializer[GroupMembership]):
    """One animal in one group from a day to a day; the day of leaving is no day of membership."""

    class Meta:
        model = GroupMembership
        fields: ClassVar = ["id", "animal", "group", "joined_on", "left_on"]


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


class HeadOut(serializers.Serializer[Any]):
    """The head on hand on a day, by class and by group, and those away by status."""

    day = serializers.DateField()
    total = serializers.IntegerField()
    by_class = serializers.DictField(child=serializers.IntegerField())
    groups = serializers.ListField(child=serializers.DictField())
    away = serializers.DictField(child=serializers.IntegerField())
