"""Animals as they go out, and as they come in."""

from typing import Any, ClassVar

from rest_framework import serializers

from api.serializers.fields import DayField, Strict, such_as
from herd.registry.models import Animal, TagKind, TagWearing
from herd.registry.models.animal import CLASS_CHOICES, PRECISION_CHOICES


class Named(serializers.Serializer[Any]):
    """A row named: its id and its name."""

    id = serializers.UUIDField(source="pk")
    name = serializers.CharField()


class WornTag(serializers.ModelSerializer[TagWearing]):
    """A tag on an animal, from a day to a day; `ended` is empty while it is on."""

    number = serializers.CharField(source="tag.number")
    colour = serializers.CharField(source="tag.colour")
    issuer_year = serializers.IntegerField(source="tag.issuer_year")

    class Meta:
        model = TagWearing
        fields: ClassVar = [
            "id",
            "kind",
            "number",
            "colour",
            "issuer_year",
            "worn_from",
            "worn_from_precision",
            "began",
            "worn_to",
            "ended",
            "is_second",
            "second_reason",
        ]


class AnimalOut(serializers.ModelSerializer[Animal]):
    """An animal as it stands: facts, standing, and the tags it wears."""

    group = Named(read_only=True, allow_null=True)
    location = Named(read_only=True, allow_null=True)
    tags = WornTag(many=True, read_only=True, source="worn_now")

    class Meta:
        model = Animal
        fields: ClassVar = [
            "id",
            "revision",
            "animal_class",
            "status",
            "status_since",
            "group",
            "location",
            "entry_class",
            "entered_on",
            "born_on",
            "born_precision",
            "breed",
            "coat",
            "origin",
            "dam",
            "sire",
            "tags",
        ]


class AnimalFacts(Strict):
    """Facts of an animal; those left out of a change stay as they are."""

    entry_class = serializers.ChoiceField(CLASS_CHOICES, required=False, allow_blank=True)
    entered_on = DayField(required=False, allow_null=True)
    born_on = DayField(required=False, allow_null=True)
    born_precision = serializers.ChoiceField(PRECISION_CHOICES, required=False)
    breed = serializers.CharField(max_length=60, required=False, allow_blank=True)
    coat = serializers.CharField(max_length=40, required=False, allow_blank=True)
    origin = serializers.CharField(max_length=80, required=False, allow_blank=True)
    dam = serializers.UUIDField(source="dam_id", required=False, allow_null=True)
    sire = serializers.UUIDField(source="sire_id", required=False, allow_null=True)


@such_as({"breed": "AN", "reason": "misread"})
class AnimalChange(AnimalFacts):
    """A change of facts, with its reason."""

    reason = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")


class TagFacts(Strict):
    """A tag: a second EID beside one that stays on needs its reason."""

    kind = serializers.ChoiceField(TagKind.choices)
    number = serializers.CharField(max_length=80)
    colour = serializers.CharField(max_length=12, default="", allow_blank=True)
    issuer_year = serializers.IntegerField(default=0, min_value=0, max_value=2100)
    second_reason = serializers.CharField(max_length=120, default="", allow_blank=True)


@such_as({"entry_class": "heifer", "tags": [{"kind": "vid", "number": "A112", "colour": "yellow"}]})
class NewAnimal(AnimalFacts):
    """An animal to be registered: its facts, the tags it wears, the group it joins and since when.

    `id` may be given by the caller (UUID version 7, RFC 9562); sent twice it is registered once. Without `on` neither
    tags nor group have a day, and a group needs one.
    """

    id = serializers.UUIDField(required=False)
    tags = serializers.ListField(child=TagFacts(), default=list, max_length=20)
    group = serializers.UUIDField(required=False, allow_null=True, default=None)
    on = DayField(required=False, allow_null=True, default=None)
