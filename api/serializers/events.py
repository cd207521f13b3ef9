"""Events as they go out, and as they come in."""

from typing import Any, ClassVar

from rest_framework import serializers

from api.serializers.fields import DayField, Strict
from herd.registry.models import Event
from herd.registry.models.animal import PRECISION_CHOICES
from herd.values.eventkinds import EVENT_KINDS

EVENT_KIND_CHOICES = [(kind.key, kind.label) for kind in EVENT_KINDS.values()]


class EventOut(serializers.ModelSerializer[Event]):
    """An event. `data` has the fields of its kind, `weight_ng` the weight in nanograms as text."""

    kind = serializers.ChoiceField(EVENT_KIND_CHOICES)
    weight_ng = serializers.SerializerMethodField()

    class Meta:
        model = Event
        fields: ClassVar = [
            "id",
            "revision",
            "animal",
            "kind",
            "happened_on",
            "happened_at",
            "precision",
            "recorded_at",
            "data",
            "weight_ng",
            "supersedes",
        ]

    def get_weight_ng(self, event: Event) -> str | None:
        """Text, since 64-bit numbers do not survive every reader of JSON (RFC 8259, section 6)."""
        return None if event.weight_ng is None else str(event.weight_ng)


class EventFacts(Strict):
    """What happened: the kind, the day or the moment, and the fields of the kind.

    A weight is `data: {"weight": "412.5", "unit": "lb"}`, the figure as it was read.
    """

    kind = serializers.ChoiceField(EVENT_KIND_CHOICES)
    happened_on = DayField(required=False, allow_null=True)
    happened_at = serializers.DateTimeField(required=False, allow_null=True)
    precision = serializers.ChoiceField(PRECISION_CHOICES, default="day")
    data = serializers.DictField(child=serializers.JSONField(), default=dict)  # type: ignore[assignment]


class NewEventIn(EventFacts):
    """An event to be recorded; `id` may be given by the caller, and then sending it twice records it once."""

    id = serializers.UUIDField(required=False)
    animal = serializers.UUIDField()


class EventCorrection(EventFacts):
    """What should have stood there, and why."""

    reason = serializers.CharField(max_length=200)


class Reason(Strict):
    """Why."""

    reason = serializers.CharField(max_length=200)


def weight_of(values: dict[str, Any]) -> Any:
    """The figure that the event's data give as a weight, or None."""
    return values.get("data", {}).get("weight")
