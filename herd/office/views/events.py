"""Events by hand: record one of any kind, void one that did not happen."""

from uuid import UUID

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.forms.events import EventForm
from herd.office.forms.fields import show_refusals, text_field
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.wording import animals_spoken_of, say_event
from herd.registry.models import Animal, Event
from herd.registry.services import events
from herd.registry.services.refused import Refused
from herd.values.eventkinds import EVENT_KINDS


class VoidForm(forms.Form):
    """Why an event did not happen."""

    reason = text_field("Reason", is_required=True, hint="It stands in the animal's history.")


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def new(request: OfficeRequest, animal_id: UUID) -> HttpResponse:
    """Record an event of the kind that the address names."""
    animal = get_object_or_404(Animal.objects.of(request.outfit), pk=animal_id)
    kind = EVENT_KINDS.get(request.GET.get("kind", "weight"))
    if kind is None:
        raise Http404("No such kind of event.")
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    form = EventForm(request.POST or None, kind=kind, outfit=request.outfit, today=today_of(request.outfit))
    if request.method == "POST" and form.is_valid():
        try:
            entry = entry_for(request, f"Recorded {kind.label} of {name}")
            events.record(entry=entry, events=[form.event_of(animal_id)])
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"Recorded: {kind.label} of {name}.", animal_id)
            return redirect("office:animal", animal_id)
    context = {
        "animal": animal,
        "name": name,
        "form": form,
        "title": f"Record: {kind.label}",
        "button": "Record",
        "kinds": list(EVENT_KINDS.values()),
        "kind": kind,
    }
    return render(request, "office/animal/event.html", context)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def void(request: OfficeRequest, animal_id: UUID, event_id: UUID) -> HttpResponse:
    """Void an event, with the reason."""
    event = get_object_or_404(Event.objects.of(request.outfit).filter(animal=animal_id), pk=event_id)
    names = names_of(request.outfit, {animal_id, *animals_spoken_of([event])})
    name = names[str(animal_id)]
    form = VoidForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            entry = entry_for(request, f"Voided {event.get_kind_display()} of {name}")
            events.void(entry=entry, event_id=event_id, reason=form.cleaned_data["reason"])
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"Voided: {event.get_kind_display()} of {name}.", animal_id)
            return redirect("office:animal", animal_id)
    said = f"{say_day(event.happened_on, event.precision)}: {say_event(event, request.outfit.unit, names)}"
    context = {
        "animal": event.animal,
        "name": name,
        "form": form,
        "title": "Void an event",
        "button": "Void it",
        "about": f"{said} A voided event counts for nothing, but stays in the history.",
    }
    return render(request, "office/animal/form.html", context)
