"""The record mended by hand: register an animal, correct its facts, move it to a group."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.forms.animals import CorrectForm, MoveForm, NewAnimalForm, facts_of
from herd.office.forms.fields import show_refusals
from herd.office.merging import follow_merged
from herd.office.naming import names_of
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.registry.models import Animal
from herd.registry.queries.tags import worn_by
from herd.registry.services import animals
from herd.registry.services import groups as herd_groups
from herd.registry.services.refused import Refused

PARENT_FIELDS = {"dam_id": "dam", "sire_id": "sire"}


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def register(request: OfficeRequest) -> HttpResponse:
    """Register one animal; the herd list comes in as a field file instead."""
    form = NewAnimalForm(request.POST or None, outfit=request.outfit, today=today_of(request.outfit))
    if request.method == "POST" and form.is_valid():
        animal_id = _register(request, form)
        if animal_id:
            tell_written(request, "The animal is registered.", animal_id)
            return redirect("office:animal", animal_id)
    return render(request, "office/animal/new.html", {"form": form})


def _register(request: OfficeRequest, form: NewAnimalForm) -> UUID | None:
    data = form.cleaned_data
    number = data["vid"] or data["eid"]
    try:
        return animals.register(
            entry=entry_for(request, f"Registered {number}"),
            facts=form.facts(),
            tags=data["tags"],
            group_id=UUID(data["group"]) if data["group"] else None,
            on=data["entered_on"],
        )
    except Refused as refused:
        show_refusals(form, refused, {**PARENT_FIELDS, "number": "vid", "worn_from": "entered_on"})
        return None


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
@follow_merged
def correct(request: OfficeRequest, animal_id: UUID) -> HttpResponse:
    """Put facts of an animal right, with the reason."""
    animal = get_object_or_404(Animal.objects.of(request.outfit), pk=animal_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    form = CorrectForm(request.POST or None, outfit=request.outfit, initial=_known(request, animal))
    if request.method == "POST" and form.is_valid() and not form.is_overtaken(animal):
        facts = form.differing(animal)
        if not facts:
            messages.info(request, "Nothing differs from the record, so nothing was written.")
            return redirect("office:animal", animal_id)
        try:
            entry = entry_for(request, f"Corrected {name}")
            animals.correct(entry=entry, animal=animal, facts=facts, reason=form.cleaned_data["reason"])
        except Refused as refused:
            show_refusals(form, refused, PARENT_FIELDS)
        else:
            tell_written(request, f"The facts of {name} are corrected.", animal_id)
            return redirect("office:animal", animal_id)
    return render(request, "office/animal/form.html", _page(animal, name, form, "Correct facts", "Correct"))


def _known(request: OfficeRequest, animal: Animal) -> dict[str, Any]:
    """The form's first values; dam and sire by the number that is surest to find them again."""
    parents = [key for key in (animal.dam_id, animal.sire_id) if key]
    worn = worn_by(request.outfit, parents)
    return facts_of(animal, {str(key): one.eid or one.vid for key, one in worn.items()}) | {"revision": animal.revision}


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
@follow_merged
def move(request: OfficeRequest, animal_id: UUID) -> HttpResponse:
    """Move an animal into a group on a day."""
    animal = get_object_or_404(Animal.objects.of(request.outfit), pk=animal_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    form = MoveForm(request.POST or None, outfit=request.outfit, today=today_of(request.outfit))
    if request.method == "POST" and form.is_valid():
        group = dict(form.fields["group"].choices)[form.cleaned_data["group"]]  # type: ignore[attr-defined]
        try:
            herd_groups.move(
                entry=entry_for(request, f"Moved {name} to {group}"),
                animal_ids=[animal_id],
                group_id=UUID(form.cleaned_data["group"]),
                on=form.cleaned_data["on"],
            )
        except Refused as refused:
            show_refusals(form, refused, {"day": "on"})
        else:
            tell_written(request, f"{name} is in {group}.", animal_id)
            return redirect("office:animal", animal_id)
    return render(request, "office/animal/form.html", _page(animal, name, form, "Move to a group", "Move"))


def _page(animal: Animal, name: str, form: Any, title: str, button: str) -> dict[str, Any]:
    return {"animal": animal, "name": name, "form": form, "title": title, "button": button}
