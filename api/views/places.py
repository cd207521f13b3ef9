"""Groups, locations, products: lists that phones keep, and the moves between groups."""

from datetime import date
from typing import ClassVar

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Listed, Shown
from api.filters import GroupFilter
from api.serializers.animals import AnimalOut
from api.serializers.places import GroupIn, GroupOut, LocationOut, MembershipOut, Move, Moved, ProductOut
from api.states import answer_with_state
from api.views.animals import WORN_NOW
from herd.registry.models import Animal, Group, GroupMembership, Location, Product
from herd.registry.queries.headcount import members_on
from herd.registry.services import groups

ON = OpenApiParameter("on", date, description="The day; today where it is left out.")


def asked_day(request: Request, today: date) -> date:
    """The day that the caller asks for; raises ValidationError."""
    text = request.query_params.get("on", "")
    try:
        return date.fromisoformat(text) if text else today
    except ValueError as problem:
        raise ValidationError({"on": ["Give the day as year-month-day, such as 2026-03-14."]}) from problem


class Groups(Listed, Shown):
    """Groups, who is in one on a day, and moves into one."""

    serializer_class = GroupOut
    filterset_class = GroupFilter
    rights: ClassVar = {"create": Right.OFFICE, "move": Right.CAPTURE}

    def rows(self) -> QuerySet[Group]:
        """The outfit's groups; a device that may read some only sees those."""
        found = Group.objects.of(self.caller.outfit).select_related("location")
        return found.filter(pk__in=self.caller.groups) if self.caller.groups else found

    @extend_schema(request=GroupIn, responses={201: GroupOut})
    def create(self, request: Request) -> Response:
        """Open a group."""
        given = GroupIn(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        entry = self.caller.entry(f"Opened the group {said['name']}")
        key = groups.open_group(entry=entry, name=said["name"], kind=said["kind"], location_id=said["location"])
        return answer_with_state(request, self.shown(key), status=201)

    @extend_schema(parameters=[ON], responses=AnimalOut(many=True), filters=False)
    @action(detail=True, methods=["get"])
    def members(self, request: Request, pk: str) -> Response:
        """Who was in the group on a day, a page at a time; each animal as it stands now."""
        today = timezone.localdate(timezone=self.caller.outfit.zone)
        ids = members_on(self.caller.outfit, self.get_object().pk, asked_day(request, today))
        rows = Animal.objects.of(self.caller.outfit).filter(pk__in=ids).select_related("group", "location")
        page = self.paginate_queryset(rows.prefetch_related(WORN_NOW))
        return self.get_paginated_response(AnimalOut(page, many=True).data)

    @extend_schema(request=Move, responses=Moved, filters=False)
    @action(detail=False, methods=["post"])
    def move(self, request: Request) -> Response:
        """Move animals into a group on a day: all, or with a reason for each that can't, none."""
        given = Move(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        entry = self.caller.entry(f"Moved {len(said['animals'])} head")
        groups.move(entry=entry, animal_ids=said["animals"], group_id=said["group"], on=said["on"])
        return Response({"animals": len(said["animals"])})


class Memberships(Listed):
    """Who was in which group, from when to when."""

    serializer_class = MembershipOut
    filterset_fields: ClassVar = ["animal", "group"]

    def rows(self) -> QuerySet[GroupMembership]:
        """The outfit's memberships; those of a device's groups where it may read no others."""
        found = GroupMembership.objects.of(self.caller.outfit)
        return found.filter(group__in=self.caller.groups) if self.caller.groups else found


class Locations(Listed, Shown):
    """Places where animals are kept."""

    serializer_class = LocationOut

    def rows(self) -> QuerySet[Location]:
        """The outfit's locations."""
        return Location.objects.of(self.caller.outfit)


class Products(Listed, Shown):
    """Drugs and vaccines that the outfit uses; the label and the veterinarian decide."""

    serializer_class = ProductOut

    def rows(self) -> QuerySet[Product]:
        """The outfit's products."""
        return Product.objects.of(self.caller.outfit)
