"""A tag that turned up on another animal: what the record says, and what is true."""

from dataclasses import dataclass
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe

from herd.accounts.models import Outfit, Role
from herd.office.access import OfficeRequest, has_role, needs
from herd.office.forms.fields import show_refusals
from herd.office.forms.numbers import animal_by_number
from herd.office.forms.turned_up import LookUpForm, SettleForm
from herd.office.naming import names_of
from herd.office.saying import group_digits
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.registry.models import Animal, Event, TagKind, TagWearing
from herd.registry.queries.find import spellings_of
from herd.registry.services import tags
from herd.registry.services.refused import Refused
from herd.values.officialtags import is_official

MOVED, WRONG = "moved", "wrong"
ON_FIELDS = {"worn_to": "on", "worn_from": "on"}
DAY_LABELS = {MOVED: "Put on this animal on", WRONG: "Noticed on"}


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two animals, with what people call it and how many events it has."""

    animal: Animal
    name: str
    tags: list[TagWearing]
    events: int


@require_safe
@needs(Role.CREW)
def look_up(request: OfficeRequest) -> HttpResponse:
    """Ask for the number and the animal, and lead to what can be true."""
    form = LookUpForm(request.GET if {"number", "animal"} <= set(request.GET) else None, initial=request.GET.dict())
    found: list[TagWearing] = []
    animal_id: UUID | None = None
    if form.is_bound and form.is_valid():
        animal_id = _animal(request.outfit, form)
        found = _wearings(request.outfit, form.cleaned_data["number"])
        if animal_id and not found:
            form.add_error("number", "No animal of this outfit wears this number now; put it on the animal instead.")
        if animal_id and len(found) == 1:
            return redirect("office:tag-settle", found[0].pk, animal_id)
    names = names_of(request.outfit, (one.animal_id for one in found))
    context = {
        "here": "tags",
        "form": form,
        "animal_id": animal_id,
        "found": [(one, names[str(one.animal_id)]) for one in found] if animal_id else [],
    }
    return render(request, "office/tags/turned_up.html", context)


def _animal(outfit: Outfit, form: LookUpForm) -> UUID | None:
    try:
        return animal_by_number(outfit, form.cleaned_data["animal"])
    except forms.ValidationError as problem:
        form.add_error("animal", problem)
        return None


def _wearings(outfit: Outfit, number: str) -> list[TagWearing]:
    """The open wearings of a number, whatever its kind."""
    rows = TagWearing.objects.of(outfit).filter(ended="")
    rows = rows.filter(tag__outfit=outfit, tag__number__in=spellings_of(number))
    return list(rows.select_related("tag").order_by("kind", "tag__colour", "pk")[:20])


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def settle(request: OfficeRequest, wearing_id: UUID, animal_id: UUID) -> HttpResponse:
    """Show both animals, and write what is chosen as true."""
    outfit = request.outfit
    rows = TagWearing.objects.of(outfit).filter(ended="").select_related("tag", "animal")
    wearing = get_object_or_404(rows, pk=wearing_id)
    other = get_object_or_404(Animal.objects.of(outfit), pk=animal_id)
    says, hangs_on = _side(outfit, wearing.animal), _side(outfit, other)
    truth = request.POST.get("truth", "")
    answers = {kind: _answer(request, kind, truth, wearing, hangs_on) for kind in (MOVED, WRONG)}
    if request.method == "POST" and truth in answers and _write(request, truth, answers[truth], wearing, hangs_on):
        return redirect("office:animal", animal_id)
    merged = {"keep": str(wearing.animal_id), "other": str(animal_id)}
    context = {
        "here": "tags",
        "wearing": wearing,
        "says": says,
        "hangs_on": hangs_on,
        "sides": (says, hangs_on),
        "is_same": wearing.animal_id == animal_id,
        "is_official": is_official(wearing.kind, wearing.tag.number, wearing.worn_from),
        "moved": answers[MOVED],
        "wrong": answers[WRONG],
        "merge": f"{reverse('office:animals-merge')}?{urlencode(merged)}",
        "may_merge": has_role(request.role, Role.OFFICE),
    }
    return render(request, "office/tags/settle.html", context)


def _side(outfit: Outfit, animal: Animal) -> Side:
    name = names_of(outfit, [animal.pk])[str(animal.pk)]
    worn = TagWearing.objects.of(outfit).filter(animal=animal, ended="").select_related("tag").order_by("kind", "pk")
    return Side(animal, name, list(worn), Event.objects.of(outfit).filter(animal=animal).count())


def _answer(request: OfficeRequest, kind: str, truth: str, wearing: TagWearing, side: Side) -> SettleForm:
    """The form of one answer; only the one that was sent is bound."""
    own = [one.tag.number for one in side.tags if one.kind == TagKind.EID]
    return SettleForm(
        request.POST if truth == kind else None,
        prefix=kind,
        day_label=DAY_LABELS[kind],
        today=today_of(request.outfit),
        own_eid=group_digits(own[0]) if own and wearing.kind == TagKind.EID else "",
    )


def _write(request: OfficeRequest, truth: str, form: SettleForm, wearing: TagWearing, side: Side) -> bool:
    if not form.is_valid():
        return False
    number = group_digits(wearing.tag.number)
    was = names_of(request.outfit, [wearing.animal_id])[str(wearing.animal_id)]
    write = tags.pass_on if truth == MOVED else tags.set_right
    verb = "Moved" if truth == MOVED else "Set right:"
    entry = entry_for(request, f"{verb} {number} from {was} to {side.name}")
    try:
        write(entry=entry, wearing=wearing, hangs=form.hangs(side.animal.pk))
    except Refused as refused:
        show_refusals(form, refused, ON_FIELDS)
        return False
    tell_written(request, f"{number} is on {side.name} in the record now.", side.animal.pk)
    return True
