"""One record that holds two animals: choose what belongs to the second, and make it a record of its own."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.forms.fields import show_refusals
from herd.office.forms.merge import Choices, SplitForm
from herd.office.merging import follow_merged
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.wording import animals_spoken_of, as_uuid, say_event
from herd.registry.models import Animal
from herd.registry.queries.merged import merged_into, original_parts
from herd.registry.queries.twofold import Side, side_of
from herd.registry.services import merging
from herd.registry.services.refused import Refused

NEW = "new"


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
@follow_merged
def split(request: OfficeRequest, animal_id: UUID) -> HttpResponse:
    """Split a record; `merged` is a record merged into it that comes back, or "new"."""
    outfit = request.outfit
    animal = get_object_or_404(Animal.objects.of(outfit).select_related("group"), pk=animal_id)
    records = merged_into(outfit, animal_id)
    merged = _asked(request, records)
    side = side_of(outfit, animal)
    spoken = animals_spoken_of(side.events) | {calf.pk for calf in side.calves} | {animal_id}
    names = names_of(outfit, spoken)
    form = _form(request, side, merged, names)
    if request.method == "POST" and form.is_valid():
        second = _split(request, form, animal_id, merged, names[str(animal_id)])
        if second is not None:
            tell_written(request, "They are two records now. This is the second.", second)
            return redirect("office:animal", second)
    context = {
        "animal": animal,
        "name": names[str(animal_id)],
        "form": form,
        "records": records,
        "merged": merged,
        "boxes": [box for name in ("wearings", "stays", "events", "calves") if (box := _box(form, name))["rows"]],
        "has_more": bool(records),
    }
    return render(request, "office/animal/split.html", context)


def _asked(request: OfficeRequest, records: list[Animal]) -> Animal | None:
    """The merged record that the address names, the latest where it names none; None for a new one."""
    text = request.GET.get("merged", "")
    if text == NEW or (not text and not records):
        return None
    wanted = as_uuid(text)
    found = next((row for row in records if not text or row.pk == wanted), None)
    if found is None:
        raise Http404("No such record was merged into this one.")
    return found


def _form(request: OfficeRequest, side: Side, merged: Animal | None, names: dict[str, str]) -> SplitForm:
    offered = _offered(request, side, names)
    initial: dict[str, Any] = {"entry_class": side.animal.entry_class, "entered_on": side.animal.entered_on}
    if merged is not None:
        parts = original_parts(request.outfit, side.animal.pk, merged.pk)
        for name in offered:
            initial[name] = [str(key) for key in getattr(parts, name)]
    return SplitForm(request.POST or None, offered=offered, is_new=merged is None, initial=initial)


def _offered(request: OfficeRequest, side: Side, names: dict[str, str]) -> dict[str, Choices]:
    unit = request.outfit.unit
    return {
        "wearings": [(str(row.pk), _tag(row)) for row in side.wearings],
        "stays": [
            (str(row.pk), f"{row.group.name} from {say_day(row.joined_on)}{_until(row.left_on)}") for row in side.stays
        ],
        "events": [
            (str(row.pk), f"{say_day(row.happened_on, row.precision)}: {say_event(row, unit, names)}")
            for row in reversed(side.events)
        ],
        "calves": [(str(row.pk), names[str(row.pk)]) for row in side.calves],
    }


def _tag(row: Any) -> str:
    return f"{row.get_kind_display()} {row.tag}{'' if row.is_open else f' ({row.get_ended_display()})'}"


def _until(day: Any) -> str:
    return f" to {say_day(day)}" if day else ""


def _box(form: SplitForm, name: str) -> dict[str, Any]:
    """One box of ticks, with what is ticked."""
    field = form[name]
    ticked = set(field.value() or [])
    choices: Any = form.fields[name].choices  # type: ignore[attr-defined]
    rows = [(key, words, key in ticked) for key, words in choices]
    return {"name": name, "label": field.label, "rows": rows, "errors": field.errors}


def _split(
    request: OfficeRequest, form: SplitForm, animal_id: UUID, merged: Animal | None, name: str
) -> UUID | None:
    try:
        return merging.split(
            entry=entry_for(request, f"Split the record of {name}"),
            animal_id=animal_id,
            parts=form.parts(),
            reason=form.cleaned_data["reason"],
            merged_id=merged.pk if merged else None,
            facts={"entered_on": today_of(request.outfit), **form.facts()},
        )
    except Refused as refused:
        show_refusals(form, refused)
        return None
