"""Events as they go out, and as they come in."""

from collections import defaultdict
from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.links import SOME_ID
from api.serializers.fields import DayField, MomentField, Strict, such_as
from herd.registry.models import Event
from herd.registry.models.animal import PRECISION_CHOICES
from herd.values.eventkinds import EVENT_KINDS, FieldKind

EVENT_KIND_CHOICES = [(kind.key, kind.label) for kind in EVENT_KINDS.values()]
LONGEST_TEXT = 1_000
MOST_AT_ONCE = 500
# What a field of an event is in JSON, where it is not a text.
JSON_TYPES: dict[FieldKind, tuple[type, ...]] = {
    FieldKind.WEIGHT: (str, int, float),
    FieldKind.SCORE: (str, int, float),
    FieldKind.DAYS: (int,),
}
WORDS = {str: "string", int: "integer", float: "number"}


class EventOut(serializers.ModelSerializer[Event]):
    """An event. `data` has the fields of its kind, `weight_ng` the weight in nanograms as text."""

    kind = serializers.ChoiceField(EVENT_KIND_CHOICES)
    data = serializers.DictField(child=serializers.JSONField())  # type: ignore[assignment]
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


def _types() -> dict[str, tuple[type, ...]]:
    """The JSON types of every field that any kind of event has."""
    found: dict[str, tuple[type, ...]] = {"unit": (str,)}
    for kind in EVENT_KINDS.values():
        for one in kind.fields:
            types = (*found.get(one.key, ()), *JSON_TYPES.get(one.kind, (str,)))
            found[one.key] = tuple(dict.fromkeys(types))
    return found


TYPES = _types()


def _shape() -> dict[str, Any]:
    """The fields with the kinds that have them, for the OpenAPI document."""
    kinds: dict[str, list[str]] = defaultdict(list)
    for kind in EVENT_KINDS.values():
        for one in kind.fields:
            kinds[one.key].append(f"{kind.key} (required)" if one.is_required else kind.key)
    kinds["unit"] = ["weight: lb or kg, the outfit's where it is left out"]
    shown = {
        key: {
            "type": [*(WORDS[one] for one in types if not (one is int and float in types)), "null"],
            "maxLength": LONGEST_TEXT,
            "description": f"Of {', '.join(kinds[key])}.",
        }
        for key, types in TYPES.items()
    }
    return {
        "type": "object",
        "description": "The fields of the event's kind; a weight is the figure as it was read, with its unit.",
        "properties": shown,
        "additionalProperties": False,
        "default": {},
    }


@extend_schema_field(_shape())
class EventData(serializers.DictField):
    """The fields of an event, each of its JSON type; whether they go with the kind the record says."""

    child = serializers.JSONField(allow_null=True)

    def to_internal_value(self, data: Any) -> Any:
        """Read them; ValidationError for one of another type."""
        found = {key: _whole(key, value) for key, value in super().to_internal_value(data).items()}
        wrong = {key: [why] for key, value in found.items() if (why := _against(key, value))}
        if wrong:
            raise serializers.ValidationError(wrong)
        return found


def _whole(key: str, value: Any) -> Any:
    """A whole number as such where a field takes no other; JSON writes 3.0 for 3 as well."""
    is_whole = isinstance(value, float) and value.is_integer() and float not in TYPES.get(key, (float,))
    return int(value) if is_whole else value


def _against(key: str, value: Any) -> str:
    if key not in TYPES:
        return "No kind of event has this field."
    if value is None:
        return ""
    if isinstance(value, bool) or not isinstance(value, TYPES[key]):
        return f"Give it as {' or '.join(dict.fromkeys(WORDS[one] for one in TYPES[key]))}."
    if len(str(value)) > LONGEST_TEXT:
        return f"It is longer than {LONGEST_TEXT} characters."
    return ""


class EventFacts(Strict):
    """What happened: the kind, the day or the moment, and the fields of the kind.

    A weight is `data: {"weight": "412.5", "unit": "lb"}`, the figure as it was read.
    """

    kind = serializers.ChoiceField(EVENT_KIND_CHOICES)
    happened_on = DayField(required=False, allow_null=True)
    happened_at = MomentField(required=False, allow_null=True)
    precision = serializers.ChoiceField(PRECISION_CHOICES, default="day")
    data = EventData(default=dict)  # type: ignore[assignment]


@such_as({"animal": SOME_ID, "kind": "note", "happened_on": "2026-03-14", "data": {"note": "quiet"}})
class NewEventIn(EventFacts):
    """An event to be recorded; `id` may be given by the caller, and then sending it twice records it once."""

    id = serializers.UUIDField(required=False)
    animal = serializers.UUIDField()


class ManyEvents(Strict):
    """Events that are recorded together: all, or none."""

    events = serializers.ListField(child=NewEventIn(), min_length=1, max_length=MOST_AT_ONCE)


class ManyRecorded(serializers.Serializer[Any]):
    """The ids of the events sent, in their order, and how many of them were new."""

    ids = serializers.ListField(child=serializers.UUIDField())
    recorded = serializers.IntegerField()


@such_as({"kind": "note", "happened_on": "2026-03-14", "data": {"note": "wild"}, "reason": "misheard"})
class EventCorrection(EventFacts):
    """What should have stood there, and why."""

    reason = serializers.CharField(max_length=200)


@such_as({"reason": "another animal"})
class Reason(Strict):
    """Why."""

    reason = serializers.CharField(max_length=200)
