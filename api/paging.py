"""Pages by key: quick at any depth, and whole while others write."""

from typing import Any

from rest_framework.pagination import CursorPagination
from rest_framework.response import Response


class ByKey(CursorPagination):
    """Pages of `limit` rows, 100 unless asked for and 1,000 at most, in the order of their ids.

    `next` and `previous` are whole addresses, or null; the place in them is opaque.
    """

    ordering = "id"
    page_size = 100
    max_page_size = 1_000
    page_size_query_param = "limit"
    cursor_query_param = "after"

    def get_paginated_response(self, data: Any) -> Response:
        """Answer with the page's items and the addresses of its neighbours."""
        return Response({"items": data, "next": self.get_next_link(), "previous": self.get_previous_link()})

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """The shape of a page in the OpenAPI document."""
        link = {"type": ["string", "null"], "format": "uri"}
        return {
            "type": "object",
            "required": ["items", "next", "previous"],
            "properties": {"items": schema, "next": link, "previous": link},
        }
