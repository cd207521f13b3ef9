"""The open exchange: what its addresses ask, its pages, and the answer to what was sent in."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.serializers.fields import Strict

MOST, A_PAGE = 500, 100
RESOURCE = {"type": "object", "required": ["resourceType"], "properties": {"resourceType": {"type": "string"}}}
_COUNT, _ADDRESS, _TEXT = {"type": "integer"}, {"type": "string", "format": "uri"}, {"type": "string"}
VIEW = {
    "type": "object",
    "description": "Where a page lies among its neighbours; the addresses are whole.",
    "required": ["totalItems", "totalPages", "pageSize", "currentPage", "first", "last"],
    "properties": {
        **dict.fromkeys(("totalItems", "totalPages", "pageSize", "currentPage"), _COUNT),
        **dict.fromkeys(("first", "last", "next", "prev"), _ADDRESS),
    },
}
META = {
    "type": "object",
    "description": "Whose resource it is, as it was sent.",
    "required": ["source", "modified"],
    "properties": dict.fromkeys(("source", "sourceId", "modified"), _TEXT),
}


@extend_schema_field(RESOURCE)
class ResourceField(serializers.JSONField):
    """A resource of ICAR ADE 1.3.2; docs/exchange.md says which, and what stands under `notchbook`."""


@extend_schema_field(VIEW)
class ViewField(serializers.JSONField):
    """The standard's account of a page."""


@extend_schema_field(META)
class MetaField(serializers.JSONField):
    """The standard's account of where a resource comes from."""


class Asked(Strict):
    """Which page, and changes of which time; the names are the standard's."""

    is_text = True

    page = serializers.IntegerField(min_value=1, max_value=1_000_000, default=1)

    def get_fields(self) -> dict[str, Any]:
        """Add those that Python could not name."""
        size = serializers.IntegerField(min_value=1, max_value=MOST, default=A_PAGE)
        between = ("meta-modified-from", "meta-modified-to")
        times = {name: serializers.DateTimeField(required=False) for name in between}
        return {**super().get_fields(), "pageSize": size, **times}


class PageOut(serializers.Serializer[Any]):
    """A page of one collection, in the standard's wrapper."""

    view = ViewField()
    member = serializers.ListField(child=ResourceField())


class MessageOut(serializers.Serializer[Any]):
    """One thing said of a resource that was sent; `instance` is the place in it (RFC 6901)."""

    severity = serializers.ChoiceField(["Information", "Warning", "Error"])
    status = serializers.IntegerField()
    title = serializers.CharField()
    detail = serializers.CharField()
    instance = serializers.CharField(required=False)


class BatchOut(serializers.Serializer[Any]):
    """The result of one resource, in the order in which they were sent; staged unless a message says Error."""

    id = serializers.CharField()
    meta = MetaField(required=False)
    messages = MessageOut(many=True)
