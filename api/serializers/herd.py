"""The herd list's question as programs put it, and its lines as they go out."""

from typing import Any

from rest_framework import serializers

from api.serializers.fields import DayField, FigureField, Strict
from herd.registry.models import AnimalStatus, TagKind
from herd.registry.queries.herdlist import CLASS_WORDS, NO_CHECK, NO_TAG, SORTS
from herd.values.eventkinds import EVENT_KINDS

EVERY = "any"
KINDS = tuple(TagKind.values)
# Up to 4,999.99, more than any animal has weighed in pounds.
WEIGHT = r"[0-4]?[0-9]{1,3}(\.[0-9]{1,2})?"


class HerdAsked(Strict):
    """Which animals, in which order; what is left out asks nothing, except that `status` is `on_hand` then.

    Ages are whole months; weights are in the outfit's unit, and mean the last dated weighing.
    """

    is_text = True

    number = serializers.CharField(max_length=40, required=False, help_text="A number begins or ends so.")
    group = serializers.UUIDField(source="group_id", required=False)
    is_loose = serializers.BooleanField(default=False, help_text="Only those in no group.")
    location = serializers.UUIDField(source="location_id", required=False)
    is_nowhere = serializers.BooleanField(default=False, help_text="Only those at no location.")
    class_name = serializers.ChoiceField(CLASS_WORDS, required=False)
    status = serializers.ChoiceField((*AnimalStatus.values, EVERY), default=AnimalStatus.ON_HAND.value)
    months_from = serializers.IntegerField(required=False, min_value=0, max_value=600)
    months_to = serializers.IntegerField(required=False, min_value=0, max_value=600)
    wears = serializers.ChoiceField(KINDS, required=False)
    lacks = serializers.ChoiceField((*KINDS, NO_TAG), required=False)
    event = serializers.ChoiceField(tuple(EVENT_KINDS), required=False)
    event_is_lacking = serializers.BooleanField(default=False)
    event_since = DayField(required=False)
    last_check = serializers.ChoiceField(("pregnant", "open", "recheck", NO_CHECK), required=False)
    weight_from = FigureField(WEIGHT, required=False)
    weight_to = FigureField(WEIGHT, required=False)
    sort = serializers.ChoiceField(tuple(SORTS), default="vid")
    is_falling = serializers.BooleanField(default=False)


class HerdPage(Strict):
    """Where in the herd list a page begins: behind the mark of another, or before it."""

    is_text = True

    after = serializers.CharField(max_length=200, required=False)
    before = serializers.CharField(max_length=200, required=False)


class HerdLine(serializers.Serializer[Any]):
    """One animal of the herd list."""

    id = serializers.UUIDField()
    vid = serializers.CharField()
    vid_colour = serializers.CharField()
    eid = serializers.CharField()
    other_tags = serializers.CharField()
    animal_class = serializers.CharField()
    status = serializers.CharField()
    status_since = serializers.DateField(allow_null=True)
    born_on = serializers.DateField(allow_null=True)
    born_precision = serializers.CharField()
    group = serializers.CharField()
    location = serializers.CharField()
    breed = serializers.CharField()
    coat = serializers.CharField()
    origin = serializers.CharField()
    dam = serializers.UUIDField(allow_null=True)
    sire = serializers.UUIDField(allow_null=True)
    weight = serializers.CharField(allow_null=True)
    weighed_on = serializers.DateField(allow_null=True)


class HerdOut(serializers.Serializer[Any]):
    """A page of the herd list, with the marks of the pages around it; empty where there is none."""

    items = HerdLine(many=True)
    next = serializers.CharField()
    previous = serializers.CharField()
    weight_unit = serializers.CharField()
