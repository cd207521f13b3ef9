"""Two records that are one animal: found, laid side by side, made one."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.changes import FACT_LABELS
from herd.office.forms.fields import show_refusals
from herd.office.forms.merge import MergeForm, OtherForm
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.wording import animals_spoken_of, as_uuid, say_event
from herd.registry.models import Animal, Event
from herd.registry.queries.merged import kept_for
from herd.registry.queries.twofold import Difference, Side, Twofold, compare
from herd.registry.services import merging
from herd.registry.services.refused import Refused
from herd.values.mass import WeightUnit

FIELDS = {"number": "eid", "worn_to": "on"}


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def merge(request: OfficeRequest) -> HttpResponse:
    """Find the second record, or lay both side by side and make them one; `keep` and `other` are their ids."""
    keep_id, other_id = as_uuid(request.GET.get("keep", "")), as_uuid(request.GET.get("other", ""))
    if keep_id is None or other_id is None:
        return _find(request, keep_id)
    stands = kept_for(request.outfit, other_id) or other_id
    keep_id = kept_for(request.outfit, keep_id) or keep_id
    if stands == keep_id:
        messages.info(request, "The two are one record already.")
        return redirect("office:animal", keep_id)
    both = compare(request.outfit, keep_id, stands)
    if both is None:
        raise Http404("No such two animals in this outfit.")
    return _merge(request, both)


def _find(request: OfficeRequest, keep_id: UUID | None) -> HttpResponse:
    """Ask for the number of the record that is kept, or else of the other."""
    if keep_id is not None:
        get_object_or_404(Animal.objects.of(request.outfit), pk=keep_id)
    form = OtherForm(request.GET if "number" in request.GET else None, outfit=request.outfit)
    if keep_id is None:
        form.fields["number"].label = "Number of the record that stays"
    if form.is_bound and form.is_valid():
        found = form.cleaned_data["number"]
        if found == keep_id:
            form.add_error("number", "That is the same record; give a number of the other.")
        else:
            question = f"?keep={keep_id}&other={found}" if keep_id else f"?keep={found}"
            return redirect(reverse("office:animals-merge") + question)
    name = names_of(request.outfit, [keep_id])[str(keep_id)] if keep_id else ""
    return render(request, "office/animal/merge_find.html", {"form": form, "keep": keep_id, "name": name})


def _merge(request: OfficeRequest, both: Twofold) -> HttpResponse:
    kept, other = both.kept.animal, both.other.animal
    names = names_of(request.outfit, {kept.pk, other.pk, *_spoken_of(both)})
    called = names[str(kept.pk)], names[str(other.pk)]
    form = MergeForm(request.POST or None, both=both, names=called, today=today_of(request.outfit))
    if request.method == "POST" and form.is_valid():
        try:
            merging.merge(
                entry=entry_for(request, f"Merged {called[1]} into {called[0]}"),
                kept_id=kept.pk,
                other_id=other.pk,
                choices=form.choices(today_of(request.outfit)),
                reason=form.cleaned_data["reason"],
            )
        except Refused as refused:
            show_refusals(form, refused, FIELDS)
        else:
            # The newest change about the record that went is the merge itself, even where nothing hung on it.
            tell_written(request, f"{called[1]} and {called[0]} are one record now.", other.pk)
            return redirect("office:animal", kept.pk)
    return render(request, "office/animal/merge.html", _page(request, both, form, names))


def _spoken_of(both: Twofold) -> set[UUID]:
    """The animals that both sides name: calves, parents, and those in their events."""
    sides = (both.kept, both.other)
    named = animals_spoken_of(event for side in sides for event in side.events)
    named |= {calf.pk for side in sides for calf in side.calves}
    parents = (key for side in sides for key in (side.animal.dam_id, side.animal.sire_id))
    return named | {key for key in parents if key}


def _page(request: OfficeRequest, both: Twofold, form: MergeForm, names: dict[str, str]) -> dict[str, Any]:
    kept, other = both.kept.animal, both.other.animal
    unit = request.outfit.unit
    ticked = form["once"].value() or [] if "once" in form.fields else []
    return {
        "form": form,
        "both": both,
        "kept_name": names[str(kept.pk)],
        "other_name": names[str(other.pk)],
        "facts": [_fact(one, form, names) for one in both.differences],
        "sides": [_side(side, unit, names) for side in (both.kept, both.other)],
        "doubles": [
            (event, _double(twin, event, unit, names), str(event.pk) in ticked) for twin, event in both.doubles
        ],
        "today": today_of(request.outfit),
        "swapped": f"{reverse('office:animals-merge')}?keep={other.pk}&other={kept.pk}",
    }


def _double(twin: Event, event: Event, unit: WeightUnit, names: dict[str, str]) -> str:
    """An event that stands on both, as the other record says it, and as the kept one where that says more or less."""
    said, kept = say_event(event, unit, names), say_event(twin, unit, names)
    words = f"{say_day(event.happened_on)}: {said}"
    return words if twin.data == event.data else f"{words} The record kept says: {kept}"


def _fact(one: Difference, form: MergeForm, names: dict[str, str]) -> dict[str, Any]:
    name = f"fact_{one.name}"
    return {
        "label": FACT_LABELS[one.name],
        "field": name,
        "kept": _said(one.name, one.kept, names),
        "other": _said(one.name, one.other, names),
        "chosen": form[name].value(),
    }


def _said(name: str, value: Any, names: dict[str, str]) -> str:
    if value in (None, ""):
        return "nothing"
    if name in ("dam_id", "sire_id"):
        return names.get(str(value), "an animal")
    return say_day(value) if name.endswith("_on") else str(value)


def _side(side: Side, unit: WeightUnit, names: dict[str, str]) -> dict[str, Any]:
    return {
        "side": side,
        "animal": side.animal,
        "name": names[str(side.animal.pk)],
        "calves": [names[str(calf.pk)] for calf in side.calves],
        "events": [
            f"{say_day(event.happened_on, event.precision)}: {say_event(event, unit, names)}"
            for event in reversed(side.events)
        ],
    }
