"""Fields and habits that shapes share."""

import re
from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any, ClassVar

from drf_spectacular.extensions import OpenApiSerializerExtension, OpenApiSerializerFieldExtension
from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from api.reading import day_of, moment_of

TEXT, WHOLE, YES_NO = "Give it as text.", "Give it as a whole number.", "Give it as true or false."


def such_as(value: dict[str, Any]) -> Callable[[type], type]:
    """Show in the OpenAPI document how a shape may come in; links put ids in the place of `SOME_ID`."""
    return extend_schema_serializer(examples=[OpenApiExample("usual", value=value, request_only=True)])


class DayField(serializers.DateField):
    """A day as YYYY-MM-DD (RFC 3339 full-date)."""

    def to_internal_value(self, value: Any) -> date:
        """Read the day; ValidationError."""
        try:
            return day_of(str(value))
        except ValueError as problem:
            raise serializers.ValidationError(str(problem)) from problem


class MomentField(serializers.DateTimeField):
    """A moment with its offset (RFC 3339 date-time)."""

    def to_internal_value(self, value: Any) -> datetime:
        """Read the moment; ValidationError."""
        try:
            return moment_of(str(value))
        except ValueError as problem:
            raise serializers.ValidationError(str(problem)) from problem


class FigureField(serializers.DecimalField):
    """A figure without a sign, in digits with a point, as a pattern of ASCII has it; the pattern says the bounds."""

    def __init__(self, pattern: str, **more: Any) -> None:
        self.pattern = re.compile(pattern, re.ASCII)
        super().__init__(max_digits=None, decimal_places=None, **more)

    def to_internal_value(self, data: Any) -> Decimal:
        """Read the figure; ValidationError."""
        if not self.pattern.fullmatch(str(data)):
            raise serializers.ValidationError("Give a figure within the bounds, in digits with a point.")
        return Decimal(str(data))


class FigureShape(OpenApiSerializerFieldExtension):
    """Tells the OpenAPI document the figure's pattern."""

    target_class = FigureField

    def map_serializer_field(self, auto_schema: Any, direction: Any) -> dict[str, Any]:
        """Text of that pattern."""
        return {"type": "string", "pattern": f"^({self.target.pattern.pattern})$"}


# What JSON each field takes: no number for a text, no text for a number.
TYPES: tuple[tuple[tuple[type, ...], tuple[type, ...], str], ...] = (
    ((serializers.BooleanField,), (bool,), YES_NO),
    ((serializers.IntegerField,), (int,), WHOLE),
    (
        (
            *(serializers.CharField, serializers.ChoiceField, serializers.UUIDField),
            *(serializers.DateField, serializers.DateTimeField, serializers.DecimalField),
        ),
        (str,),
        TEXT,
    ),
)


class Strict(serializers.Serializer[Any]):
    """A shape that names each member it does not know, and each of another type, rather than passing it over."""

    # What comes as a form or in an address is text throughout.
    is_text: ClassVar = False

    def to_internal_value(self, data: Any) -> Any:
        """Read the members; ValidationError for unknown ones and for those of another type."""
        if isinstance(data, Mapping):
            wrong: dict[str, Any] = {one: ["There is no such member here."] for one in set(data) - set(self.fields)}
            if not self.is_text:
                wrong |= {name: [why] for name, value in data.items() if (why := self._against(name, value))}
            if wrong:
                raise serializers.ValidationError(dict(sorted(wrong.items())))
        return super().to_internal_value(data)

    def _against(self, name: str, value: Any) -> str:
        field = self.fields.get(name)
        if isinstance(field, serializers.ListField):
            items = value if isinstance(value, list) else ()
            return next((why for one in items if (why := _mistyped(field.child, one))), "")
        return "" if value is None or field is None else _mistyped(field, value)


def _mistyped(field: Any, value: Any) -> str:
    for fields, types, why in TYPES:
        if isinstance(field, fields):
            if int in types and isinstance(value, float) and value.is_integer():
                # JSON knows one kind of number (RFC 8259), so 3.0 is the whole number 3.
                return ""
            is_other = isinstance(value, bool) and bool not in types
            return why if is_other or not isinstance(value, types) else ""
    return ""


class StrictShape(OpenApiSerializerExtension):
    """Tells the OpenAPI document that a strict shape takes no other members."""

    target_class = "api.serializers.fields.Strict"
    match_subclasses = True

    def map_serializer(self, auto_schema: Any, direction: Any) -> Any:
        """The usual shape, closed."""
        found = auto_schema._map_serializer(self.target, direction, bypass_extensions=True)
        return {**found, "additionalProperties": False}
