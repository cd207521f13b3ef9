"""Tags by hand: the room's first page; put one on; say that one is lost or broken and put on the next in one step."""

from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Count
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from herd.accounts.models import Outfit, Role
from herd.office.access import OfficeRequest, has_role, needs
from herd.office.forms.fields import show_refusals
from herd.office.forms.tags import ReplaceForm, TagForm
from herd.office.merging import follow_merged
from herd.office.naming import names_of
from herd.office.saying import group_digits
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.wording import as_uuid
from herd.registry.models import Animal, TagBox, TagKind, TagWearing, WearingBegan, WearingEnded
from herd.registry.queries.doubtfultags import CHECKS, worn_now
from herd.registry.queries.policies import policy_on
from herd.registry.queries.retags import would_be_retag
from herd.registry.queries.stock import FreeNumber, offers, run_of
from herd.registry.services import tags
from herd.registry.services.batch import PutOn
from herd.registry.services.refused import Refused
from herd.values.officialtags import YEARS_KEPT

ON_FIELDS = {"worn_from": "on", "worn_to": "on"}
PREFILLED = ("kind", "number", "colour", "issuer_year", "ended")


@require_safe
@needs(Role.READER)
def overview(request: OfficeRequest) -> HttpResponse:
    """Where the pages about tags are, with short counts."""
    outfit, today = request.outfit, today_of(request.outfit)
    worn = dict(worn_now(outfit).order_by().values_list("kind").annotate(Count("pk")))
    since = date(today.year, 1, 1)
    context = {
        "here": "tags",
        "worn": [(kind.label, worn[kind.value]) for kind in TagKind if worn.get(kind.value)],
        "boxes": TagBox.objects.of(outfit).count(),
        "came_off": TagWearing.objects.of(outfit).filter(worn_to__range=(since, today)).count(),
        "since": since,
        "checks": CHECKS.values(),
        "years_kept": policy_on(outfit, today).policy.identification_retention_years,
        "years_asked": YEARS_KEPT,
        "may_write": has_role(request.role, Role.CREW),
    }
    return render(request, "office/tags/overview.html", context)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
@follow_merged
def put_on(request: OfficeRequest, animal_id: UUID) -> HttpResponse:
    """Put a tag on an animal."""
    animal = get_object_or_404(Animal.objects.of(request.outfit), pk=animal_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    worn = list(TagWearing.objects.of(request.outfit).filter(animal=animal_id, ended="").select_related("tag"))
    form = TagForm(_posted(request), initial=_prefilled(request), today=today_of(request.outfit), worn=worn)
    if request.method == "POST" and form.is_valid():
        tag = _new_tag(request.outfit, animal_id, form.cleaned_data)
        try:
            tags.put_on(entry=entry_for(request, f"Tagged {name} with {tag.number}"), tag=tag)
        except Refused as refused:
            show_refusals(form, refused, ON_FIELDS)
        else:
            tell_written(request, f"{group_digits(tag.number)} is on.", animal_id)
            return redirect("office:animal", animal_id)
    context = {
        "animal": animal,
        "name": name,
        "form": form,
        "title": "Put on a tag",
        "button": "Put it on",
        "offers": offers(request.outfit),
        "worn": worn,
    }
    return render(request, "office/tags/form.html", context)


def _new_tag(outfit: Outfit, animal_id: UUID, data: dict[str, Any]) -> PutOn:
    """The tag to put on; one whose like came off before is a retag, so that both numbers stand together."""
    is_retag = not data["second_reason"] and would_be_retag(outfit, animal_id, data["kind"])
    return PutOn(
        animal_id,
        data["kind"],
        data["number"],
        data["colour"],
        data["issuer_year"],
        data["on"],
        began=(WearingBegan.RETAGGED if is_retag else WearingBegan.TAGGED).value,
        second_reason=data["second_reason"],
    )


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
@follow_merged
def replace(request: OfficeRequest, animal_id: UUID, wearing_id: UUID) -> HttpResponse:
    """End a wearing, and begin the next where a new number is given."""
    rows = TagWearing.objects.of(request.outfit).filter(animal=animal_id, ended="")
    old = get_object_or_404(rows.select_related("tag", "animal__location"), pk=wearing_id)
    name = names_of(request.outfit, [animal_id])[str(animal_id)]
    form = ReplaceForm(
        _posted(request), initial=_prefilled(request), old=old, today=today_of(request.outfit), place=_place(old)
    )
    if request.method == "POST" and form.is_valid():
        try:
            sentence = _replace(request, old, form.cleaned_data, name)
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
        "about": "Old and new number are kept together in the tag log, with the day, the reason and who wrote it.",
        "offers": _fitting(request.outfit, old),
    }
    return render(request, "office/tags/form.html", context)


def _replace(request: OfficeRequest, old: TagWearing, data: dict[str, Any], name: str) -> str:
    was = group_digits(old.tag.number)
    told = {"ended": data["ended"], "reason": data["reason"], "removed_at": data["removed_at"]}
    if not data["number"]:
        entry = entry_for(request, f"Took {old.tag.number} off {name}: {WearingEnded(data['ended']).label}")
        tags.take_off(entry=entry, wearing_id=old.pk, on=data["on"], **told)
        return f"{was} is off."
    is_error = data["ended"] == WearingEnded.DATA_ERROR
    new = PutOn(
        old.animal_id,
        data["kind"],
        data["number"],
        data["colour"],
        data["issuer_year"],
        data["on"],
        began=(WearingBegan.CORRECTED if is_error else WearingBegan.RETAGGED).value,
    )
    entry = entry_for(request, f"Replaced {old.tag.number} by {new.number} on {name}")
    tags.replace(entry=entry, old=old, new=new, **told)
    return f"{group_digits(new.number)} has taken the place of {was}."


def _place(old: TagWearing) -> str:
    """Where the animal is, which is where a tag most likely comes off."""
    location = old.animal.location
    return ", ".join(part for part in (location.name, location.premises_number) if part) if location else ""


def _fitting(outfit: Outfit, old: TagWearing) -> list[FreeNumber]:
    """The free numbers that can take the place of a tag, those of its colour first."""
    kinds = [TagKind.EID] if old.kind == TagKind.METAL else []
    found = offers(outfit, [old.kind, *kinds])
    return sorted(found, key=lambda one: one.colour != old.tag.colour)


def _prefilled(request: HttpRequest) -> dict[str, str]:
    return {name: request.GET[name] for name in PREFILLED if name in request.GET}


def _posted(request: OfficeRequest) -> QueryDict | None:
    """What was posted; a number taken from a box by its button fills the fields of the new tag."""
    if request.method != "POST":
        return None
    posted = request.POST.copy()
    box_id, _, number = posted.get("take", "").partition(":")
    key = as_uuid(box_id)
    box = TagBox.objects.of(request.outfit).filter(pk=key).first() if key else None
    if box and run_of(box).value_of(number) is not None:
        taken = FreeNumber(number, box)
        posted["kind"], posted["number"] = box.kind, number
        posted["colour"], posted["issuer_year"] = taken.colour, str(taken.issuer_year or "")
    return posted
