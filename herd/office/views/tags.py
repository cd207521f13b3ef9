"""Tags by hand: put one on; say that one is lost or broken and put on the next in the same step."""

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.forms.fields import show_refusals
from herd.office.forms.tags import ReplaceForm, TagForm
from herd.office.naming import names_of
from herd.office.saying import group_digits
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.registry.models import Animal, TagKind, TagWearing, WearingBegan
from herd.registry.services import tags
from herd.registry.services.batch import PutOn
from herd.registry.services.refused import Refused

ON_FIELDS = {"worn_from": "on", "worn_to": "on"}


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def put_on(request: OfficeRequest, animal_id: UUID) -> HttpResponse:
    """Put a tag on an animal."""
    animal = get_object_or_404(Animal.objects.of(request.outfit), pk=animal_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    form = TagForm(request.POST or None, today=today_of(request.outfit))
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        tag = PutOn(
            animal_id,
            data["kind"],
            data["number"],
            data["colour"],
            data["issuer_year"],
            data["on"],
            second_reason=data["second_reason"] if data["kind"] == TagKind.EID else "",
        )
        try:
            tags.put_on(entry=entry_for(request, f"Tagged {name} with {tag.number}"), tag=tag)
        except Refused as refused:
            show_refusals(form, refused, ON_FIELDS)
        else:
            tell_written(request, f"{group_digits(tag.number)} is on.", animal_id)
            return redirect("office:animal", animal_id)
    context = {"animal": animal, "name": name, "form": form, "title": "Put on a tag", "button": "Put it on"}
    return render(request, "office/animal/form.html", context)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def replace(request: OfficeRequest, animal_id: UUID, wearing_id: UUID) -> HttpResponse:
    """End a wearing, and begin the next where a new number is given."""
    rows = TagWearing.objects.of(request.outfit).filter(animal=animal_id, ended="")
    old = get_object_or_404(rows.select_related("tag", "animal"), pk=wearing_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    form = ReplaceForm(request.POST or None, kind=old.kind, today=today_of(request.outfit))
    if request.method == "POST" and form.is_valid():
        try:
            sentence = _replace(request, old, form, name)
        except Refused as refused:
            show_refusals(form, refused, ON_FIELDS)
        else:
            tell_written(request, sentence, animal_id)
            return redirect("office:animal", animal_id)
    number = f"{TagKind(old.kind).label} {group_digits(old.tag.number)} {old.tag.colour}".strip()
    context = {
        "animal": old.animal,
        "name": name,
        "form": form,
        "title": f"Tag lost or replaced: {number}",
        "button": "Save",
        "about": "Old and new number are kept together in the history, with the day and the reason.",
    }
    return render(request, "office/animal/form.html", context)


def _replace(request: OfficeRequest, old: TagWearing, form: ReplaceForm, name: str) -> str:
    data = form.cleaned_data
    was = group_digits(old.tag.number)
    if not data["number"]:
        entry = entry_for(request, f"Took {old.tag.number} off {name}: {data['ended']}")
        tags.take_off(entry=entry, wearing_id=old.pk, on=data["on"], ended=data["ended"])
        return f"{was} is off."
    new = PutOn(
        old.animal_id,
        old.kind,
        data["number"],
        data["colour"],
        data["issuer_year"],
        data["on"],
        began=WearingBegan.RETAGGED.value,
    )
    entry = entry_for(request, f"Replaced {old.tag.number} by {new.number} on {name}")
    tags.replace(entry=entry, old=old, ended=data["ended"], new=new)
    return f"{group_digits(new.number)} has taken the place of {was}."
