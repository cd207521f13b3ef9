"""What all views share: rows of the caller's outfit only, some fields where asked, an ETag on each thing."""

from collections.abc import Collection
from typing import Any, ClassVar
from uuid import UUID

from django.db import transaction
from django.db.models import Model, QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import ParseError, ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer
from rest_framework.views import APIView
from rest_framework.viewsets import GenericViewSet

from api.access import Caller, Right
from api.problems import unfit
from api.states import answer_with_state, check_state

IF_MATCH = OpenApiParameter(
    "If-Match",
    {"type": "string", "minLength": 1, "pattern": r'^(\*|(W/)?"[!#-~]*")$'},
    OpenApiParameter.HEADER,
    required=True,
    description="The ETag of the state you read.",
)
STRANGE = "There is no such member here."
TWICE, NUL = "Give it once.", "It holds a character that can't be asked for."
# Places in lists and in the feed, which are read where they are used.
OPAQUE = ("after", "cursor")
PAGE, FIELDS = ("limit", "after"), "fields"


class Called(APIView):
    """A view that somebody calls for an outfit, and whose address is read as strictly as its body."""

    @property
    def caller(self) -> Caller:
        """Who calls."""
        caller: Caller = self.request.auth  # type: ignore[assignment]
        return caller

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Refuse what is asked twice, and what no database can look for."""
        super().initial(request, *args, **kwargs)
        for name, values in request.query_params.lists():
            if len(values) > 1:
                raise ValidationError({name: [TWICE]})
            if "\x00" in values[0] and name not in OPAQUE:
                raise unfit(name, NUL)

    def refuse_others(self, known: Collection[str]) -> None:
        """Refuse what the address asks beyond the names that are known here; ValidationError."""
        strange = sorted(set(self.request.query_params) - set(known))
        if strange:
            raise ValidationError(dict.fromkeys(strange, [STRANGE]))

    def read(self, shape: type[BaseSerializer[Any]], given: Any = None, *, partial: bool = False) -> Any:
        """What was sent, in a shape; ValidationError."""
        found = shape(data=self.request.data if given is None else given, partial=partial)
        found.is_valid(raise_exception=True)
        return found.validated_data

    def read_address(self, shape: type[BaseSerializer[Any]], *others: str) -> dict[str, Any]:
        """What the address asks, in a shape; `others` are asked for elsewhere. ValidationError."""
        asked = {name: value for name, value in self.request.query_params.items() if name not in others}
        found: dict[str, Any] = self.read(shape, asked)
        return found


class Scoped(Called, GenericViewSet[Any]):
    """A view over rows of the caller's outfit.

    `rights` says by action what a caller needs: READ for reading and OFFICE for writing where it says nothing.
    `rows` gives the outfit's rows; another outfit's id is simply not found.
    """

    rights: ClassVar[dict[str, Right]] = {}
    filterset_class: Any = None
    lookup_value_converter = "uuid"

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
        asked = self.request.query_params.get(FIELDS)
        if asked is None:
            return shown
        names = {one.strip() for one in asked.split(",")}
        shape: Any = self.get_serializer_class()
        known = set(shape().fields)
        if names - known:
            raise ParseError(f"There is no field {', '.join(sorted(names - known)) or 'without a name'} here.")
        if isinstance(shown, list):
            return [{key: item[key] for key in item if key in names} for item in shown]
        return {key: shown[key] for key in shown if key in names}

    def shown(self, key: UUID) -> Any:
        """One row as a caller sees it now; Http404 where the outfit has none."""
        self.kwargs[self.lookup_url_kwarg or self.lookup_field] = key
        return self.get_serializer(self.get_object()).data

    def made(self, key: UUID) -> Response:
        """Answer 201 with a row that was made just now, its ETag, and where it is."""
        answer = answer_with_state(self.request, self.shown(key), status=201)
        answer["Location"] = f"{self.request.path}{key}/"
        return answer


class Listed(Scoped):
    """Adds the list, a page at a time."""

    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """List them, a page at a time."""
        filters = self.filterset_class.base_filters if self.filterset_class else ()
        self.refuse_others({*filters, *PAGE, FIELDS})
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        return self.get_paginated_response(self.some_fields(list(self.get_serializer(page, many=True).data)))


class Shown(Scoped):
    """Adds the one thing, with its ETag."""

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Show one, with its ETag."""
        self.refuse_others({FIELDS})
        whole = self.get_serializer(self.get_object()).data
        return answer_with_state(request, whole, self.some_fields(whole))


class Changed(Scoped):
    """Adds changing one thing in the state that was read."""

    input_serializer: ClassVar[type[BaseSerializer[Any]]]

    def change(self, row: Any, values: dict[str, Any]) -> None:
        """Call the service that writes the values."""
        raise NotImplementedError

    @extend_schema(parameters=[IF_MATCH])
    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change some members of one, if it still is as it was read."""
        # One transaction holds the row from the look at its state to the write.
        with transaction.atomic():
            row: Model = self.get_queryset().select_for_update(of=("self",)).get(pk=self.get_object().pk)
            check_state(request, self.get_serializer(row).data)
            self.change(row, self.read(self.input_serializer, partial=True))
        return answer_with_state(request, self.shown(row.pk))
