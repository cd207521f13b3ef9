"""The animal page: everything known of one head, with its sources, and the history of changes."""

from datetime import date
from typing import Any
from uuid import UUID

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.models import Change
from herd.office.access import OfficeRequest, needs
from herd.office.changes import say_changes
from herd.office.exports import asked_way, hand_out
from herd.office.facts import (
    facts_of,
    origin_of,
    origins_by_column,
    tags_by_age,
    title_of,
)
from herd.office.gains import gains_of, plot_of
from herd.office.holds import holds_of
from herd.office.lifetables import changes_table, events_table
from herd.office.merging import follow_merged
from herd.office.naming import names_of
from herd.office.today import today_of
from herd.office.wording import Carrying, animals_spoken_of, say_event
from herd.registry.models import Animal
from herd.registry.queries.breeds import breed_namer
from herd.registry.queries.changes import standing_ids
from herd.registry.queries.family import some_offspring
from herd.registry.queries.history import AnimalHistory, changes_of, history_of, weights_of
from herd.registry.queries.merged import merge_of, merged_into
from herd.registry.queries.policies import policies_of
from herd.registry.queries.tags import worn_by
from herd.reports.companions import weighed_beside
from herd.values.eventkinds import EVENT_KINDS, EventKind

LAST_CHANGES = 6
CHANGES_A_PAGE = 100
CALVES_SHOWN = 12

# What changes an animal's standing is one touch away, by what it is now: the event form does the rest.
GONE = ("found",)
ON_HAND = ("sale", "death", "missing")
BY_CLASS = {"cow": ("calving",), "heifer": ("calving",), "bull": ("castration",), "": ("calving", "castration")}


@require_safe
@needs(Role.READER)
@follow_merged
def animal(request: OfficeRequest, animal_id: UUID) -> HttpResponseBase:
    """One animal."""
    outfit, today = request.outfit, today_of(request.outfit)
    history = history_of(outfit, animal_id)
    if history is None:
        raise Http404("No such animal in this outfit.")
    calves = some_offspring(outfit, animal_id, CALVES_SHOWN)
    has_more = len(calves) > CALVES_SHOWN
    calves = sorted(calves[:CALVES_SHOWN], key=lambda calf: (calf.born_on or date.max, calf.pk))
    spoken = animals_spoken_of(history.events) | {calf.pk for calf in calves}
    spoken |= {key for key in (history.animal.dam_id, history.animal.sire_id) if key}
    names = names_of(outfit, spoken)
    standing = standing_ids(history.changes)
    now, before = tags_by_age(history.wearings)
    policies = policies_of(outfit)
    carrying = Carrying(policies.on(today).policy, breed_namer(outfit)(history.animal.breed))
    if way := asked_way(request):
        latest = history.events[::-1]
        name = str(title_of(now, before)["name"])
        return hand_out(request, way, events_table(name, latest, outfit, names, carrying))
    points = weights_of(history)
    beside = weighed_beside(outfit, history.animal, history.stays, [point.day for point in points])
    weighings = gains_of(points, outfit.unit, beside, policies)
    context = {
        "history": history,
        "animal": history.animal,
        "title": title_of(now, before),
        "facts": facts_of(history, outfit, _columns(history, standing), names, today),
        "tags_now": _with_origin(history, now, outfit),
        "tags_before": _with_origin(history, before, outfit),
        "calves": [(calf, names[str(calf.pk)]) for calf in calves],
        "has_more_calves": has_more,
        "merged": _merged(outfit, history),
        "quick_kinds": _quick_kinds(history.animal),
        "events": _events(history, outfit, names, carrying),
        "weighings": weighings[::-1],
        "short_gain": next((one.caution for one in weighings[::-1] if one.caution), ""),
        "plot": plot_of(points, beside, outfit.unit) if len(points) > 1 else None,
        "has_group": bool(beside),
        "withdrawals": holds_of(history.events, outfit, timezone.now()),
        "changes": say_changes(outfit, history.changes[-LAST_CHANGES:][::-1], standing),
        "change_count": len(history.changes),
        "kinds": list(EVENT_KINDS.values()),
        "today": today,
        "asked": request.GET.get("asked", "")[:80],
    }
    return render(request, "office/animal/animal.html", context)


def _quick_kinds(animal: Animal) -> list[EventKind]:
    """The kinds of event that change this animal's status or class."""
    if animal.is_on_hand:
        return [EVENT_KINDS[key] for key in (*BY_CLASS.get(animal.animal_class, ()), *ON_HAND)]
    return [EVENT_KINDS[key] for key in GONE] if animal.status == "missing" else []


def _merged(outfit: Outfit, history: AnimalHistory) -> list[Change]:
    """The merges into this record that stand; asked only where its history speaks of one."""
    if not any("same_as_id" in (change.after or {}) for change in history.changes):
        return []
    merges = (merge_of(outfit, row.pk) for row in merged_into(outfit, history.animal.pk))
    return [merge for merge in merges if merge is not None]


def _columns(history: AnimalHistory, standing: set[UUID]) -> dict[str, Change]:
    return origins_by_column(history.changes, standing, history.animal.pk)


def _with_origin(history: AnimalHistory, rows: list[Any], outfit: Outfit) -> list[tuple[Any, Any]]:
    return [(row, origin_of(history.sources.get(row.pk), outfit)) for row in rows]


def _events(
    history: AnimalHistory, outfit: Outfit, names: dict[str, str], carrying: Carrying
) -> list[dict[str, Any]]:
    """The events, newest first, in words."""
    return [
        {
            "event": event,
            "words": say_event(event, outfit.unit, names, carrying),
            "origin": origin_of(history.sources.get(event.pk), outfit),
        }
        for event in reversed(history.events)
    ]


@require_safe
@needs(Role.READER)
@follow_merged
def history(request: OfficeRequest, animal_id: UUID) -> HttpResponseBase:
    """Every change to one animal, newest first, a hundred a page."""
    outfit = request.outfit
    head = get_object_or_404(Animal.objects.of(outfit), pk=animal_id)
    all_of_it = changes_of(outfit, animal_id)[::-1]
    name = names_of(outfit, [head.pk])[str(head.pk)]
    if way := asked_way(request):
        said = say_changes(outfit, all_of_it, standing_ids(all_of_it))
        return hand_out(request, way, changes_table(f"Every change of {name}", said, outfit))
    before = request.GET.get("before", "")
    shown = [row for row in all_of_it if not before.isdigit() or row.position < int(before)]
    page, more = shown[:CHANGES_A_PAGE], len(shown) > CHANGES_A_PAGE
    context = {
        "animal": head,
        "name": name,
        "worn": worn_by(outfit, [head.pk])[head.pk],
        "changes": say_changes(outfit, page, standing_ids(all_of_it)),
        "older": page[-1].position if more else None,
        "change_count": len(all_of_it),
    }
    return render(request, "office/animal/history.html", context)
