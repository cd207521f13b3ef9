"""Events."""

from typing import Any, ClassVar
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Listed, Shown
from api.filters import EventFilter
from api.once import KEY, once
from api.problems import Problem
from api.reading import event_of
from api.serializers.events import EventCorrection, EventOut, ManyEvents, ManyRecorded, NewEventIn, Reason
from api.states import answer_with_state
from herd.registry.models import Event
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from herd.values.eventkinds import EVENT_KINDS


class Events(Listed, Shown):
    """What happened to animals; events are never changed, only corrected by another or voided."""

    serializer_class = EventOut
    filterset_class = EventFilter
    rights: ClassVar = dict.fromkeys(("create", "many", "correct", "void"), Right.CAPTURE)

    def rows(self) -> QuerySet[Event]:
        """The outfit's events that stand; those of a device's groups where it may read no others."""
        found = Event.objects.of(self.caller.outfit)
        return found.filter(animal__group__in=self.caller.groups) if self.caller.groups else found

    @extend_schema(parameters=[KEY], request=NewEventIn, responses={201: EventOut, 200: EventOut})
    @once
    def create(self, request: Request) -> Response:
        """Record an event. Sent again with the same `id` it is the same event."""
        values = self.read(NewEventIn)
        new = event_of(self.caller.outfit, values, values["animal"])
        if self._known([new]):
            return self._answer(request, new.id)
        label = EVENT_KINDS[new.kind].label
        events.record(entry=self.caller.entry(f"Recorded {label}"), events=[new])
        answer = self._answer(request, new.id, status=201)
        answer["Location"] = f"{request.path}{new.id}/"
        return answer

    @extend_schema(parameters=[KEY], request=ManyEvents, responses={201: ManyRecorded}, filters=False)
    @action(detail=False, methods=["post"])
    @once
    def many(self, request: Request) -> Response:
        """Record many events in one changeset: all, or with the reasons, none. Those sent before stay as they are."""
        sent = self.read(ManyEvents)["events"]
        wanted = [event_of(self.caller.outfit, one, one["animal"]) for one in sent]
        known = self._known(wanted)
        fresh = [one for one in wanted if one.id not in known]
        if fresh:
            events.record(entry=self.caller.entry(f"Recorded {len(fresh)} events"), events=fresh)
        return Response({"ids": [one.id for one in wanted], "recorded": len(fresh)}, 201)

    @extend_schema(parameters=[KEY], request=EventCorrection, responses=EventOut)
    @action(detail=True, methods=["post"])
    @once
    def correct(self, request: Request, pk: str) -> Response:
        """Void the event and record what should have stood there; the answer is the new one."""
        event, values = self.get_object(), self.read(EventCorrection)
        new = event_of(self.caller.outfit, values, event.animal_id)
        entry = self.caller.entry(f"Corrected {EVENT_KINDS[event.kind].label}")
        events.correct(entry=entry, event_id=event.pk, new=new, reason=values["reason"])
        return self._answer(request, new.id)

    @extend_schema(parameters=[KEY], request=Reason, responses={204: None})
    @action(detail=True, methods=["post"])
    @once
    def void(self, request: Request, pk: str) -> Response:
        """Say that the event did not happen."""
        event, said = self.get_object(), self.read(Reason)
        entry = self.caller.entry(f"Voided {EVENT_KINDS[event.kind].label}")
        events.void(entry=entry, event_id=event.pk, reason=said["reason"])
        return Response(status=204)

    def _known(self, wanted: list[NewEvent]) -> dict[UUID, Event]:
        """Those of the events that are in the record already; a Problem where another event has such an id."""
        known = Event.objects.in_bulk([one.id for one in wanted])
        for one in wanted:
            found: Any = known.get(one.id)
            told = (self.caller.outfit.pk, False, one.animal_id, one.kind, one.happened_on)
            if found and (found.outfit_id, found.is_void, found.animal_id, found.kind, found.happened_on) != told:
                raise Problem("conflict", "Another event has that id.")
        return known

    def _answer(self, request: Request, key: UUID, *, status: int = 200) -> Response:
        event = Event.objects.of(self.caller.outfit).get(pk=key)
        return answer_with_state(request, EventOut(event).data, status=status)
