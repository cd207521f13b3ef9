"""Tags as they go out, and as they are put on and taken off."""

from typing import Any, ClassVar

from rest_framework import serializers

from api.links import SOME_ID
from api.serializers.animals import AnimalOut, TagFacts, WornTag
from api.serializers.fields import DayField, Strict, such_as
from herd.registry.models import TagWearing, WearingEnded


class WearingOut(WornTag):
    """A tag with the animal that wears or wore it."""

    class Meta:
        model = TagWearing
        fields: ClassVar = [*WornTag.Meta.fields, "revision", "animal"]


@such_as({"animal": SOME_ID, "kind": "vid", "number": "B417", "colour": "green", "on": "2026-03-14"})
class TagOn(TagFacts):
    """A tag that was put on an animal on a day."""

    animal = serializers.UUIDField()
    on = DayField()


@such_as({"ended": "lost", "on": "2026-03-15"})
class TagOff(Strict):
    """A tag that came off: since when, why, and where; `new_number` is the one that took its place."""

    ended = serializers.ChoiceField(WearingEnded.choices)
    on = DayField()
    reason = serializers.CharField(max_length=120, default="", allow_blank=True)
    removed_at = serializers.CharField(max_length=120, default="", allow_blank=True)
    new_number = serializers.CharField(max_length=80, required=False, allow_blank=True, default="")
    new_colour = serializers.CharField(max_length=12, required=False, allow_blank=True, default="")
    new_issuer_year = serializers.IntegerField(default=0, min_value=0, max_value=2100)


class HitOut(serializers.Serializer[Any]):
    """An animal that a number may mean, the surest first, and how."""

    how = serializers.ChoiceField(["worn", "worn_before", "tube", "last_digits", "near"])
    number = serializers.CharField()
    kind = serializers.CharField()
    animal = AnimalOut()


class NumberAsked(Strict):
    """The number that is looked for."""

    is_text = True

    number = serializers.CharField(max_length=80, trim_whitespace=False, help_text="Any number that it wears or wore.")
