"""Tags as they go out, and as they are put on and taken off."""

from typing import Any, ClassVar

from rest_framework import serializers

from api.serializers.animals import AnimalOut, WornTag
from api.serializers.fields import DayField, Strict
from herd.registry.models import TagKind, TagWearing, WearingEnded


class WearingOut(WornTag):
    """A tag with the animal that wears or wore it."""

    class Meta:
        model = TagWearing
        fields: ClassVar = [*WornTag.Meta.fields, "revision", "animal"]


class NewTag(Strict):
    """A tag that was put on an animal; a second EID beside one that stays on needs its reason."""

    kind = serializers.ChoiceField(TagKind.choices)
    number = serializers.CharField(max_length=80)
    colour = serializers.CharField(max_length=12, default="", allow_blank=True)
    issuer_year = serializers.IntegerField(default=0, min_value=0, max_value=2100)
    on = DayField()
    second_reason = serializers.CharField(max_length=120, default="", allow_blank=True)


class TagOn(NewTag):
    """A tag put on, with its animal."""

    animal = serializers.UUIDField()


class TagOff(Strict):
    """A tag that came off: since when, and why; `new_number` is the one that took its place."""

    ended = serializers.ChoiceField(WearingEnded.choices)
    on = DayField()
    new_number = serializers.CharField(max_length=80, required=False, allow_blank=True, default="")
    new_colour = serializers.CharField(max_length=12, required=False, allow_blank=True, default="")
    new_issuer_year = serializers.IntegerField(default=0, min_value=0, max_value=2100)


class HitOut(serializers.Serializer[Any]):
    """An animal that a number may mean, the surest first, and how."""

    how = serializers.ChoiceField(["worn", "worn_before", "tube", "last_digits", "near"])
    number = serializers.CharField()
    kind = serializers.CharField()
    animal = AnimalOut()
