"""Groups, who is in one on a day, and moves between them."""

from datetime import date
from typing import Any, ClassVar

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Caller, Right
from api.bases import Changed, Listed, Shown
from api.filters import GroupFilter, MembershipFilter
from api.once import KEY, once
from api.reading import plausible_day
from api.serializers.animals import AnimalOut
from api.serializers.places import (
    DayAsked,
    GroupChange,
    GroupClosing,
    GroupIn,
    GroupOut,
    GroupPlace,
    MembershipOut,
    Move,
    Moved,
)
from api.states import answer_with_state
from api.views.animals import WORN_NOW
from herd.registry.models import Animal, Group, GroupMembership, Location
from herd.registry.queries.headcount import members_on
from herd.registry.services import groups


def asked_day(caller: Caller, asked: dict[str, Any]) -> date:
    """The day that is asked for: today at the ranch where none is."""
    day = asked.get("on")
    return plausible_day(day, "on") if day else timezone.localdate(timezone=caller.outfit.zone)


class Groups(Listed, Shown, Changed):
    """Groups, who is in one on a day, and moves into one."""

    serializer_class = GroupOut
    input_serializer = GroupChange
    filterset_class = GroupFilter
    rights: ClassVar = {"move": Right.CAPTURE}

    def rows(self) -> QuerySet[Group]:
        """The outfit's groups; a device that may read some only sees those."""
        found = Group.objects.of(self.caller.outfit).select_related("location")
        return found.filter(pk__in=self.caller.groups) if self.caller.groups else found

    @extend_schema(parameters=[KEY], request=GroupIn, responses={201: GroupOut})
    @once
    def create(self, request: Request) -> Response:
        """Open a group."""
        said = self.read(GroupIn)
        key = groups.open_group(entry=self.caller.entry(f"Opened the group {said['name']}"), **said)
        return self.made(key)

    def change(self, row: Any, values: dict[str, Any]) -> None:
        """Put name, kind or location right."""
        reason = values.pop("reason", "")
        entry = self.caller.entry(f"Changed the group {row.name}")
        groups.change_group(entry=entry, group_id=row.pk, facts=values, reason=reason)

    @extend_schema(parameters=[KEY], request=GroupClosing, responses=GroupOut)
    @action(detail=True, methods=["post"])
    @once
    def close(self, request: Request, pk: str) -> Response:
        """Close the group; those still in it move into another."""
        group, said = self.get_object(), self.read(GroupClosing)
        entry = self.caller.entry(f"Closed the group {group.name}")
        groups.close_group(entry=entry, group=group, on=said["on"], into_id=said["into"])
        return answer_with_state(request, self.shown(group.pk))

    @extend_schema(parameters=[KEY], request=None, responses=GroupOut)
    @action(detail=True, methods=["post"])
    @once
    def reopen(self, request: Request, pk: str) -> Response:
        """Open a closed group again; those who left it stay where they are."""
        group = self.get_object()
        groups.reopen_group(entry=self.caller.entry(f"Opened the group {group.name} again"), group=group)
        return answer_with_state(request, self.shown(group.pk))

    @extend_schema(parameters=[KEY], request=GroupPlace, responses=Moved)
    @action(detail=True, methods=["post"])
    @once
    def place(self, request: Request, pk: str) -> Response:
        """Move the whole group to another location on a day: a movement of each who was in it."""
        group, said = self.get_object(), self.read(GroupPlace)
        location = get_object_or_404(Location.objects.of(self.caller.outfit), pk=said["location"])
        entry = self.caller.entry(f"Moved {group.name} to {location.name}")
        head = groups.move_to_location(entry=entry, group=group, location=location, on=said["on"])
        return Response({"animals": head})

    @extend_schema(parameters=[DayAsked], responses=AnimalOut(many=True), filters=False)
    @action(detail=True, methods=["get"])
    def members(self, request: Request, pk: str) -> Response:
        """Who was in the group on a day, a page at a time; each animal as it stands now."""
        day = asked_day(self.caller, self.read_address(DayAsked, "limit", "after"))
        ids = members_on(self.caller.outfit, self.get_object().pk, day)
        rows = Animal.objects.of(self.caller.outfit).filter(pk__in=ids).select_related("group", "location")
        page = self.paginate_queryset(rows.prefetch_related(WORN_NOW))
        return self.get_paginated_response(AnimalOut(page, many=True).data)

    @extend_schema(parameters=[KEY], request=Move, responses=Moved, filters=False)
    @action(detail=False, methods=["post"])
    @once
    def move(self, request: Request) -> Response:
        """Move animals into a group on a day: all, or with a reason for each that can't, none."""
        said = self.read(Move)
        entry = self.caller.entry(f"Moved {len(said['animals'])} head")
        groups.move(entry=entry, animal_ids=said["animals"], group_id=said["group"], on=said["on"])
        return Response({"animals": len(said["animals"])})


class Memberships(Listed):
    """Who was in which group, from when to when."""

    serializer_class = MembershipOut
    filterset_class = MembershipFilter

    def rows(self) -> QuerySet[GroupMembership]:
        """The outfit's memberships; those of a device's groups where it may read no others."""
        found = GroupMembership.objects.of(self.caller.outfit)
        return found.filter(group__in=self.caller.groups) if self.caller.groups else found
