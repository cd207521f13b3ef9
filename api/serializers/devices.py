"""Enrolment, and what a caller is told of the installation and of itself."""

from typing import Any

from rest_framework import serializers

from api.serializers.fields import Strict


class CodeIn(Strict):
    """The one-time code that the office has shown."""

    code = serializers.CharField(max_length=30)


class EnrolledOut(serializers.Serializer[Any]):
    """The device's own token; it is told this once."""

    device = serializers.UUIDField()
    name = serializers.CharField()
    role = serializers.CharField()
    outfit = serializers.CharField()
    token = serializers.CharField()


class CallerOut(serializers.Serializer[Any]):
    """Who the caller is here: its outfit, what it may do, the groups that it may read."""

    outfit = serializers.CharField()
    name = serializers.CharField()
    time_zone = serializers.CharField()
    weight_unit = serializers.CharField()
    right = serializers.CharField()
    device = serializers.UUIDField(allow_null=True)
    groups = serializers.ListField(child=serializers.UUIDField())
    server_time = serializers.DateTimeField()
