"""Pages by key: quick at any depth, and whole while others write."""

from typing import Any
from uuid import UUID

from rest_framework.exceptions import ValidationError
from rest_framework.pagination import Cursor, CursorPagination
from rest_framework.request import Request
from rest_framework.response import Response

from api.problems import Problem

A_PAGE, MOST = 100, 1_000
NO_PLACE = "That is no place in this list; begin without one."


def read_limit(request: Request) -> int:
    """How many rows the caller asks for; ValidationError for what is no such number."""
    text = request.query_params.get("limit")
    if text is None:
        return A_PAGE
    if text.isascii() and text.isdigit() and len(text) < 6 and 1 <= int(text) <= MOST:
        return int(text)
    raise ValidationError({"limit": [f"Give a whole number from 1 to {MOST}."]})


class ByKey(CursorPagination):
    """Pages of `limit` rows, 100 unless asked for and 1,000 at most, in the order of their ids.

    `next` and `previous` are whole addresses, or null; the place in them is opaque.
    """

    ordering = "id"
    page_size = A_PAGE
    max_page_size = MOST
    page_size_query_param = "limit"
    cursor_query_param = "after"

    def get_page_size(self, request: Request) -> int:
        """The rows of a page."""
        return read_limit(request)

    def decode_cursor(self, request: Request) -> Cursor | None:
        """The place asked for; a Problem for what is none."""
        try:
            found = super().decode_cursor(request)
            if found is not None and found.position is not None:
                UUID(str(found.position))
        except Exception as problem:
            raise Problem("cursor-expired", NO_PLACE) from problem
        return found

    def get_paginated_response(self, data: Any) -> Response:
        """Answer with the page's items and the addresses of its neighbours."""
        return Response({"items": data, "next": self.get_next_link(), "previous": self.get_previous_link()})

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """The shape of a page in the OpenAPI document."""
        link = {"anyOf": [{"type": "string", "format": "uri"}, {"type": "null"}]}
        return {
            "type": "object",
            "required": ["items", "next", "previous"],
            "properties": {"items": schema, "next": link, "previous": link},
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        """How a page is asked for, in the OpenAPI document."""
        limit = {"type": "integer", "minimum": 1, "maximum": MOST, "default": A_PAGE}
        return [
            {"name": "limit", "in": "query", "schema": limit, "description": "How many rows a page has."},
            {
                "name": "after",
                "in": "query",
                "schema": {"type": "string"},
                "description": "The place that `next` or `previous` of another page names.",
            },
        ]
