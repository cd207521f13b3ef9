"""Events by hand: record one of any kind, correct one, void one that did not happen."""

from dataclasses import replace
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.consequences import say_consequence
from herd.office.forms.events import EventForm
from herd.office.forms.events_kinds import form_for
from herd.office.forms.events_medicine import picked_product
from herd.office.forms.events_shown import kept_animals, shown_values
from herd.office.forms.fields import show_refusals, text_field
from herd.office.merging import follow_merged
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.wording import animals_spoken_of, as_uuid, say_event
from herd.registry.models import Animal, Event
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from herd.registry.services.refused import Refused
from herd.values.eventkinds import EVENT_KINDS, class_fault


class VoidForm(forms.Form):
    """Why an event did not happen."""

    reason = text_field("Reason", is_required=True, hint="It stands in the animal's history.")


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
@follow_merged
def new(request: OfficeRequest, animal_id: UUID) -> HttpResponse:
    """Record an event of the kind that the address names."""
    animal = get_object_or_404(Animal.objects.of(request.outfit), pk=animal_id)
    kind = EVENT_KINDS.get(request.GET.get("kind", "weight"))
    if kind is None:
        raise Http404("No such kind of event.")
    if was_sent_before(request):
        return redirect("office:animal", animal_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    form = _form(request, kind.key, animal_id, picked_product(request.outfit, as_uuid(request.GET.get("product", ""))))
    if request.method == "POST" and form.is_valid():
        event = form.event_of(animal_id, form.cleaned_data["event_id"])
        try:
            events.record(entry=entry_for(request, f"Recorded {kind.label} of {name}"), events=[event])
        except Refused as refused:
            show_refusals(form, refused)
        else:
            told = f"Recorded: {kind.label} of {name}.{say_consequence(event, request.outfit)}"
            tell_written(request, told, animal_id)
            return redirect("office:animal", animal_id)
    kinds = [one for one in EVENT_KINDS.values() if not class_fault(one.key, animal.animal_class)]
    context = {"title": f"Record: {kind.label}", "button": "Record", "kinds": kinds}
    return _page(request, animal, name, form, context)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
@follow_merged
def correct(request: OfficeRequest, animal_id: UUID, event_id: UUID) -> HttpResponse:
    """Put what really happened in the place of an event; the wrong one stays in the history as void."""
    if was_sent_before(request):
        return redirect("office:animal", animal_id)
    event = get_object_or_404(_events(request, animal_id), pk=event_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    values = shown_values(event, request.outfit)
    form = _form(request, event.kind, animal_id, values, kept_animals(event, values))
    form.fields["reason"] = text_field("Why it is corrected", is_required=True, hint="It stands in the history.")
    form.fields["happened_on"].required = event.happened_on is not None
    if request.method == "POST" and form.is_valid():
        corrected = _as_corrected(event, form)
        try:
            entry = entry_for(request, f"Corrected {event.get_kind_display()} of {name}")
            events.correct(entry=entry, event_id=event_id, new=corrected, reason=form.cleaned_data["reason"])
        except Refused as refused:
            show_refusals(form, refused)
        else:
            told = f"Corrected: {event.get_kind_display()} of {name}.{say_consequence(corrected, request.outfit)}"
            tell_written(request, told, animal_id)
            return redirect("office:animal", animal_id)
    context = {"title": f"Correct: {event.get_kind_display()}", "button": "Correct it", "about": _said(request, event)}
    return _page(request, event.animal, name, form, context)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
@follow_merged
def void(request: OfficeRequest, animal_id: UUID, event_id: UUID) -> HttpResponse:
    """Void an event, with the reason."""
    event = get_object_or_404(_events(request, animal_id), pk=event_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
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
    context = {
        "animal": event.animal,
        "name": name,
        "form": form,
        "title": "Void an event",
        "button": "Void it",
        "about": f"{_said(request, event)} A voided event counts for nothing, but stays in the history.",
    }
    return render(request, "office/animal/form.html", context)


def was_sent_before(request: OfficeRequest) -> bool:
    """Whether this form was recorded already: a second press of the button is told, and writes nothing."""
    event_id = as_uuid(request.POST.get("event_id", ""))
    is_known = event_id is not None and Event.objects.of(request.outfit).filter(pk=event_id).exists()
    if is_known:
        messages.info(request, "That was recorded already; the button was pressed twice.")
    return is_known


def _events(request: OfficeRequest, animal_id: UUID) -> Any:
    return Event.objects.of(request.outfit).filter(animal=animal_id).select_related("animal")


def _form(request: OfficeRequest, kind: str, animal_id: UUID, initial: Any, kept: Any = None) -> EventForm:
    return form_for(kind)(
        request.POST or None,
        kind=EVENT_KINDS[kind],
        outfit=request.outfit,
        today=today_of(request.outfit),
        animals=[animal_id],
        initial=initial,
        kept=kept,
    )


def _page(
    request: OfficeRequest, animal: Animal, name: str, form: EventForm, context: dict[str, Any]
) -> HttpResponse:
    shared = {"animal": animal, "name": name, "form": form, "kind": form.kind, "today": today_of(request.outfit)}
    return render(request, "office/animal/event.html", {**shared, **context})


def _said(request: OfficeRequest, event: Event) -> str:
    names = names_of(request.outfit, {event.animal_id, *animals_spoken_of([event])})
    return f"{say_day(event.happened_on, event.precision)}: {say_event(event, request.outfit.unit, names)}"


def _as_corrected(event: Event, form: EventForm) -> NewEvent:
    """The event as corrected; hour and precision stay where the form says nothing else of them."""
    one = form.event_of(event.animal_id, form.cleaned_data["event_id"])
    if one.happened_on != event.happened_on:
        return one
    hour = one.happened_at if "time" in form.fields else event.happened_at
    return replace(one, precision=event.precision, happened_at=hour)
