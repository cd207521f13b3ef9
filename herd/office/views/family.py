"""Parents and offspring of an animal: three generations up, all calves down."""

from collections.abc import Iterator
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.merging import follow_merged
from herd.office.naming import name_of, names_of
from herd.office.saying import say_class, say_day, weight_in
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.wording import as_uuid
from herd.registry.models import Animal
from herd.registry.queries.family import all_offspring, born_dead, offspring, some_offspring
from herd.registry.queries.pedigree import flat, pedigree_of
from herd.registry.queries.tags import worn_by

A_PAGE = 100
COLUMNS = ("Animal", "EID", "Born", "Class", "Status", "Since", "Group", "Last weight", "Weighed on", "Dam", "Sire")


@require_safe
@needs(Role.READER)
@follow_merged
def family(request: OfficeRequest, animal_id: UUID) -> HttpResponseBase:
    """The pedigree and the offspring of one animal; the offspring leave as a table."""
    outfit = request.outfit
    animal = get_object_or_404(Animal.objects.of(outfit), pk=animal_id)
    name = names_of(outfit, [animal_id])[str(animal_id)]
    way = asked_way(request)
    if way:
        return hand_out(request, way, _table(outfit, animal, name))
    return _page(request, animal, name)


def _page(request: OfficeRequest, animal: Animal, name: str) -> HttpResponse:
    outfit = request.outfit
    pedigree = pedigree_of(outfit, animal)
    after = as_uuid(request.GET.get("after", ""))
    found = some_offspring(outfit, animal.pk, A_PAGE, after)
    page = found[:A_PAGE]
    known = {one.animal.pk for one in flat(pedigree) if one.animal}
    parents = {key for calf in page for key in (calf.dam_id, calf.sire_id) if key}
    context = {
        "animal": animal,
        "name": name,
        "pedigree": pedigree,
        "is_known": bool(known),
        "names": names_of(outfit, {*known, *parents, *(calf.pk for calf in page)}),
        "offspring": page,
        "offspring_count": offspring(outfit, animal.pk).count(),
        "born_dead": born_dead(outfit, animal.pk),
        "next": page[-1].pk if len(found) > A_PAGE else None,
        "is_later_page": after is not None,
        "today": today_of(outfit),
    }
    return render(request, "office/animal/family.html", context)


def _table(outfit: Outfit, animal: Animal, name: str) -> Table:
    unit = outfit.unit.value
    columns = [f"Last weight, {unit}" if column == "Last weight" else column for column in COLUMNS]
    return Table(f"Offspring of {name}", columns, _rows(outfit, animal))


def _rows(outfit: Outfit, animal: Animal) -> Iterator[list[Cell]]:
    today = today_of(outfit)
    for calves in all_offspring(outfit, animal.pk):
        worn = worn_by(outfit, [calf.pk for calf in calves])
        names = names_of(outfit, {key for calf in calves for key in (calf.dam_id, calf.sire_id) if key})
        for calf in calves:
            weight = getattr(calf, "last_weight", None)
            yield [
                name_of(worn[calf.pk]),
                worn[calf.pk].eid,
                calf.born_on if calf.born_precision in ("day", "instant") else _about(calf),
                say_class(calf, today),
                calf.get_status_display(),
                calf.status_since,
                calf.group.name if calf.group else "",
                weight_in(weight, outfit.unit) if weight else None,
                getattr(calf, "weighed_on", None),
                names.get(str(calf.dam_id), ""),
                names.get(str(calf.sire_id), ""),
            ]


def _about(calf: Animal) -> str:
    return say_day(calf.born_on, calf.born_precision) if calf.born_on else ""
