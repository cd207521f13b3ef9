"""Runs as they come in: the calves of a season, and a lot that was bought; and what came of one."""

from typing import Any

from rest_framework import serializers

from api.links import SOME_ID
from api.serializers.animals import TagFacts
from api.serializers.fields import DayField, Strict, such_as
from herd.registry.models.animal import CLASS_CHOICES, PRECISION_CHOICES
from herd.registry.services.runs import MOST_HEAD
from herd.values.classes import AnimalClass
from herd.values.mass import WeightUnit

CALF_CHOICES = [choice for choice in CLASS_CHOICES if choice[0] != AnimalClass.COW]
MOST_BIRTHS = 500
LONGEST_NOTE = 1_000
SUCH_A_TAG = {"kind": "vid", "number": "C88", "colour": "green"}


class BirthIn(Strict):
    """One calf with its dam's calving. A calf born dead is her calving alone: it has neither tags nor a weight.

    `ease` is a whole number from 1 (no help) to 5. `weight` is the figure as it was read, in `unit` or else the
    outfit's. The calf joins the group that its dam is in, unless `group` names another, or none by null.
    """

    dam = serializers.UUIDField()
    born_on = DayField()
    is_alive = serializers.BooleanField(default=True)
    animal_class = serializers.ChoiceField(CALF_CHOICES, default="", allow_blank=True)
    sire = serializers.UUIDField(required=False, allow_null=True, default=None)
    breed = serializers.CharField(max_length=60, default="", allow_blank=True)
    coat = serializers.CharField(max_length=40, default="", allow_blank=True)
    tags = serializers.ListField(child=TagFacts(), default=list, max_length=20)
    weight = serializers.CharField(max_length=20, default="", allow_blank=True)
    unit = serializers.ChoiceField([unit.value for unit in WeightUnit], required=False)
    ease = serializers.CharField(max_length=10, default="", allow_blank=True)
    note = serializers.CharField(max_length=LONGEST_NOTE, default="", allow_blank=True)
    group = serializers.UUIDField(required=False, allow_null=True)


@such_as({"births": [{"dam": SOME_ID, "born_on": "2026-03-14", "tags": [SUCH_A_TAG], "weight": "78"}]})
class BirthsIn(Strict):
    """Births that are registered together: all, or with the reasons, none."""

    births = serializers.ListField(child=BirthIn(), min_length=1, max_length=MOST_BIRTHS)


class RunIn(Strict):
    """One kind of tag for each head: counted on from `first`, or without it the next free ones in stock."""

    first = serializers.CharField(max_length=80, default="", allow_blank=True)
    colour = serializers.CharField(max_length=12, default="", allow_blank=True)
    issuer_year = serializers.IntegerField(required=False, min_value=1990, max_value=2100)


@such_as({"head": 3, "on": "2026-03-14", "vid": {"first": "L001", "colour": "blue"}, "seller": "a neighbour"})
class LotIn(Strict):
    """Head bought together, with visual tags, EIDs or both, or nobody could tell them apart."""

    head = serializers.IntegerField(min_value=1, max_value=MOST_HEAD)
    on = DayField()
    vid = RunIn(required=False)
    eid = RunIn(required=False)
    animal_class = serializers.ChoiceField(CLASS_CHOICES, default="", allow_blank=True)
    born_on = DayField(required=False, allow_null=True, default=None)
    born_precision = serializers.ChoiceField(PRECISION_CHOICES, default="unknown")
    breed = serializers.CharField(max_length=60, default="", allow_blank=True)
    coat = serializers.CharField(max_length=40, default="", allow_blank=True)
    origin = serializers.CharField(max_length=80, default="", allow_blank=True)
    seller = serializers.CharField(max_length=120, default="", allow_blank=True)
    price = serializers.CharField(max_length=30, default="", allow_blank=True)
    group = serializers.UUIDField(required=False, allow_null=True, default=None)


class RunOut(serializers.Serializer[Any]):
    """What a run wrote: its changeset, which is taken back whole, and the animals in their order."""

    changeset = serializers.UUIDField()
    animals = serializers.ListField(child=serializers.UUIDField())
