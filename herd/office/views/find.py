"""The find box: any number leads to its animal, or to a list of those it may mean."""

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.today import today_of
from herd.registry.models import TagKind
from herd.registry.queries.find import Hit, find_animals
from herd.registry.queries.tags import Worn, worn_by

LONGEST = 80
STRAIGHT = ("worn", "tube")
WAYS = {
    "worn": "wears it now",
    "worn_before": "wore it before",
    "tube": "sample tube",
    "last_digits": "last digits of its EID",
    "near": "one slip away",
}


@dataclass(frozen=True, slots=True)
class Found:
    """A hit with what the animal wears, and the way it was found in words."""

    hit: Hit
    worn: Worn
    way: str
    kind: str


@require_safe
@needs(Role.READER)
def find(request: OfficeRequest) -> HttpResponse:
    """Go straight to the animal that alone answers to it; else, or with `all`, list what it may mean."""
    asked = request.GET.get("q", "").replace("\x00", "").strip()[:LONGEST]
    hits = find_animals(request.outfit, asked)
    exact = [hit for hit in hits if hit.how in STRAIGHT]
    if len(exact) == 1 and "all" not in request.GET:
        onward = resolve_url("office:animal", exact[0].animal.pk)
        return redirect(f"{onward}?{urlencode({'asked': asked})}" if len(hits) > 1 else onward)
    worn = worn_by(request.outfit, [hit.animal.pk for hit in hits])
    found = [Found(hit, worn[hit.animal.pk], WAYS[hit.how], _kind(hit.kind)) for hit in hits]
    context = {"asked": asked, "found": found, "today": today_of(request.outfit)}
    return render(request, "office/find.html", context)


def _kind(kind: str) -> str:
    return TagKind(kind).label if kind in TagKind.values else kind
