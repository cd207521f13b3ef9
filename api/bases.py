"""What all views share: rows of the caller's outfit only, some fields where asked, an ETag on each thing."""

from typing import Any, ClassVar
from uuid import UUID

from django.db import transaction
from django.db.models import Model, QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import ParseError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer
from rest_framework.viewsets import GenericViewSet

from api.access import Caller, Right
from api.states import answer_with_state, check_state

FIELDS = OpenApiParameter("fields", str, description="Only these members of each item, with commas between.")
IF_MATCH = OpenApiParameter(
    "If-Match", str, OpenApiParameter.HEADER, required=True, description="The ETag of the state you read."
)


class Scoped(GenericViewSet[Any]):
    """A view over rows of the caller's outfit.

    `rights` says by action what a caller needs: READ for reading and OFFICE for writing where it says nothing.
    `rows` gives the outfit's rows; another outfit's id is simply not found.
    """

    rights: ClassVar[dict[str, Right]] = {}
    filterset_class: Any = None

    @property
    def caller(self) -> Caller:
        """Who calls."""
        caller: Caller = self.request.auth  # type: ignore[assignment]
        return caller

    def rows(self) -> QuerySet[Any]:
        """The rows that this view is about."""
        raise NotImplementedError

    def get_queryset(self) -> QuerySet[Any]:
        """The rows of the caller's outfit; none where only the OpenAPI document is being written."""
        if getattr(self, "swagger_fake_view", False):
            shape: Any = self.get_serializer_class()
            return shape.Meta.model.objects.none()
        return self.rows()

    def some_fields(self, shown: Any) -> Any:
        """Leave the members that `fields` asks for; ParseError for one that there is not."""
        asked = self.request.query_params.get("fields", "")
        if not asked:
            return shown
        names = {one.strip() for one in asked.split(",") if one.strip()}
        shape: Any = self.get_serializer_class()
        known = set(shape().fields)
        if names - known:
            raise ParseError(f"There is no field {', '.join(sorted(names - known))} here.")
        if isinstance(shown, list):
            return [{key: item[key] for key in item if key in names} for item in shown]
        return {key: shown[key] for key in shown if key in names}

    def shown(self, key: UUID) -> Any:
        """One row as a caller sees it now; Http404 where the outfit has none."""
        self.kwargs[self.lookup_url_kwarg or self.lookup_field] = key
        return self.get_serializer(self.get_object()).data


class Listed(Scoped):
    """Adds the list, a page at a time."""

    @extend_schema(parameters=[FIELDS])
    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """List them, a page at a time."""
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        return self.get_paginated_response(self.some_fields(list(self.get_serializer(page, many=True).data)))


class Shown(Scoped):
    """Adds the one thing, with its ETag."""

    @extend_schema(parameters=[FIELDS])
    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Show one, with its ETag."""
        whole = self.get_serializer(self.get_object()).data
        return answer_with_state(request, whole, self.some_fields(whole))


class Changed(Scoped):
    """Adds changing one thing in the state that was read."""

    input_serializer: ClassVar[type[BaseSerializer[Any]]]

    def change(self, row: Model, values: dict[str, Any]) -> None:
        """Call the service that writes the values."""
        raise NotImplementedError

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change some members of one, if it still is as it was read."""
        # One transaction holds the row from the look at its state to the write.
        with transaction.atomic():
            row = self.get_queryset().select_for_update(of=("self",)).get(pk=self.get_object().pk)
            check_state(request, self.get_serializer(row).data)
            given = self.input_serializer(data=request.data, partial=True)
            given.is_valid(raise_exception=True)
            self.change(row, given.validated_data)
        return answer_with_state(request, self.shown(row.pk))
