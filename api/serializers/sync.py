"""What travels between devices and the record, as it goes out and comes in."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.serializers.fields import Strict
from herd.sync.models import OperationStatus
from herd.sync.protocol import MOST_ITEMS
from herd.sync.upstream.relaying import RELAYED

# What devices are told: how an operation ended, or that it is on its way to where the record is decided.
STATUSES = [*OperationStatus.choices, (RELAYED, "stored here and on its way")]


class InfoOut(serializers.Serializer[Any]):
    """The protocol as it is spoken here, and its limits."""

    outfit = serializers.UUIDField()
    epoch = serializers.UUIDField()
    head = serializers.CharField()
    schema = serializers.IntegerField()
    most_operations = serializers.IntegerField()
    most_bytes = serializers.IntegerField()
    most_items = serializers.IntegerField()
    server_time = serializers.DateTimeField()


class Anything(serializers.JSONField):
    """An operation as it came: what is wrong with one is said of that one, and stops no other."""

    def to_internal_value(self, data: Any) -> Any:
        """Take it as it is."""
        return data


class ClockIn(serializers.Serializer[Any]):
    """What a device's clocks show as it calls: the time of day, and the steady clock of this run."""

    now = serializers.DateTimeField()
    mono_ms = serializers.IntegerField(required=False, allow_null=True)
    boot = serializers.CharField(required=False, allow_null=True, allow_blank=True)


@extend_schema_field(ClockIn)
class ClockField(serializers.DictField):
    """A clock as it came; what is wrong with it is found where it is read."""


class PushIn(serializers.Serializer[Any]):
    """Operations of a device, and what its clocks show."""

    schema = serializers.IntegerField(default=1)
    clock = ClockField(required=False, allow_null=True, default=None)
    ops = serializers.ListField(child=Anything(allow_null=True), allow_empty=True)


class ReasonOut(serializers.Serializer[Any]):
    """Why, and where in what was sent."""

    pointer = serializers.CharField()
    detail = serializers.CharField()


class ResultOut(serializers.Serializer[Any]):
    """The answer to one operation; each status but `relayed` is final for the device."""

    op_id = serializers.UUIDField(allow_null=True)
    status = serializers.ChoiceField(STATUSES)
    animal = serializers.UUIDField(required=False)
    reasons = ReasonOut(many=True, required=False)
    conflicts = serializers.DictField(required=False)
    replayed = serializers.BooleanField(required=False)


class PushOut(serializers.Serializer[Any]):
    """The answers to a push, in the order of its operations."""

    epoch = serializers.UUIDField()
    head = serializers.CharField()
    server_time = serializers.DateTimeField()
    results = ResultOut(many=True)


class ItemOut(serializers.Serializer[Any]):
    """One thing that changed: as it stands now (`in`), out of what the device may read, merged, or gone."""

    kind = serializers.ChoiceField(["animal", "group", "location", "product"])
    state = serializers.ChoiceField(["in", "out", "merged", "gone"])
    id = serializers.UUIDField()
    into = serializers.UUIDField(required=False)
    card = serializers.DictField(required=False)


class ChangesOut(serializers.Serializer[Any]):
    """A page of the feed; the device keeps the cursor in the same transaction as the items."""

    epoch = serializers.UUIDField()
    cursor = serializers.CharField()
    more = serializers.BooleanField()
    server_time = serializers.DateTimeField()
    items = ItemOut(many=True)


class ChangesAsked(serializers.Serializer[Any]):
    """From where, and how much."""

    cursor = serializers.CharField(max_length=400)
    limit = serializers.IntegerField(default=500, min_value=1, max_value=MOST_ITEMS)


class SnapshotAsked(serializers.Serializer[Any]):
    """Where a first copy that was cut off goes on: after the last animal that came, with its cursor."""

    after = serializers.UUIDField(required=False, allow_null=True, default=None)
    cursor = serializers.CharField(required=False, allow_null=True, default=None, max_length=400)


class KnownIn(Strict):
    """Ids of operations that a device still has."""

    op_ids = serializers.ListField(child=serializers.UUIDField(), max_length=1_000)


class KnownOut(serializers.Serializer[Any]):
    """Which of them the record has, with what became of each."""

    epoch = serializers.UUIDField()
    known = ResultOut(many=True)
