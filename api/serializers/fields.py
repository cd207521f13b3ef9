"""Fields and habits that shapes share."""

from typing import Any

from rest_framework import serializers


class DayField(serializers.DateField):
    """A day as YYYY-MM-DD (RFC 3339 full-date)."""

    default_error_messages = {"invalid": "Give the day as year-month-day, such as 2026-03-14."}


class Strict(serializers.Serializer[Any]):
    """A shape that names each member it does not know, rather than passing it over."""

    def to_internal_value(self, data: Any) -> Any:
        """Read the members; ValidationError for unknown ones."""
        if isinstance(data, dict):
            unknown = sorted(set(data) - set(self.fields))
            if unknown:
                raise serializers.ValidationError({one: ["There is no such member here."] for one in unknown})
        return super().to_internal_value(data)
