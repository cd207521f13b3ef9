"""Events."""

from typing import ClassVar
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Listed, Shown
from api.filters import EventFilter
from api.problems import Problem
from api.reading import event_of
from api.serializers.events import EventCorrection, EventOut, NewEventIn, Reason
from api.states import answer_with_state
from herd.registry.models import Event
from herd.registry.services import events
from herd.values.eventkinds import EVENT_KINDS


class Events(Listed, Shown):
    """What happened to animals; events are never changed, only corrected by another or voided."""

    serializer_class = EventOut
    filterset_class = EventFilter
    rights: ClassVar = {"create": Right.CAPTURE, "correct": Right.CAPTURE, "void": Right.CAPTURE}

    def rows(self) -> QuerySet[Event]:
        """The outfit's events that stand; those of a device's groups where it may read no others."""
        found = Event.objects.of(self.caller.outfit)
        return found.filter(animal__group__in=self.caller.groups) if self.caller.groups else found

    @extend_schema(request=NewEventIn, responses={201: EventOut})
    def create(self, request: Request) -> Response:
        """Record an event. Sent again with the same `id` it is the same event."""
        given = NewEventIn(data=request.data)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        new = event_of(self.caller.outfit, values, values["animal"])
        known = Event.objects.of(self.caller.outfit).filter(pk=new.id).first()
        if known is not None:
            if (known.animal_id, known.kind, known.happened_on) != (new.animal_id, new.kind, new.happened_on):
                raise Problem("conflict", "Another event has that id.")
            return answer_with_state(request, EventOut(known).data)
        label = EVENT_KINDS[new.kind].label
        events.record(entry=self.caller.entry(f"Recorded {label}"), events=[new])
        return self._answer(request, new.id, status=201)

    @extend_schema(request=EventCorrection, responses=EventOut)
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: str) -> Response:
        """Void the event and record what should have stood there; the answer is the new one."""
        event = self.get_object()
        given = EventCorrection(data=request.data)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        new = event_of(self.caller.outfit, values, event.animal_id)
        entry = self.caller.entry(f"Corrected {EVENT_KINDS[event.kind].label}")
        events.correct(entry=entry, event_id=event.pk, new=new, reason=values["reason"])
        return self._answer(request, new.id)

    @extend_schema(request=Reason, responses={204: None})
    @action(detail=True, methods=["post"])
    def void(self, request: Request, pk: str) -> Response:
        """Say that the event did not happen."""
        event = self.get_object()
        given = Reason(data=request.data)
        given.is_valid(raise_exception=True)
        entry = self.caller.entry(f"Voided {EVENT_KINDS[event.kind].label}")
        events.void(entry=entry, event_id=event.pk, reason=given.validated_data["reason"])
        return Response(status=204)

    def _answer(self, request: Request, key: UUID, *, status: int = 200) -> Response:
        event = Event.objects.of(self.caller.outfit).get(pk=key)
        return answer_with_state(request, EventOut(event).data, status=status)


