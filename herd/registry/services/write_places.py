"""New locations, groups and other reference rows."""

from typing import Any

from herd.registry.models import Breed, Group, Location, Product, TagBox
from herd.registry.services.batch import NewPlace
from herd.registry.services.work import Work, fetch, insert

PLACES: dict[str, Any] = {
    model.SUBJECT: model for model in (Location, Group, Breed, Product, TagBox)
}


def insert_places(work: Work) -> None:
    """Insert them table by table, locations before the groups that lie there."""
    for subject, model in PLACES.items():
        wanted = [place for place in work.batch.places if place.subject == subject]
        names = [str(place.facts.get("name", "")) for place in wanted if "name" in place.facts]
        taken = (
            set(model.objects.of(work.outfit).filter(name__in=names).values_list("name", flat=True))
            if names
            else set()
        )
        for name in taken | {name for name in names if names.count(name) > 1}:
            work.refuse(f"There is a {subject} called {name} already.", field_name="name")
        if any(not name.strip() for name in names):
            work.refuse(f"A {subject} needs a name.", field_name="name")
        _check_location(work, wanted)
        if work.refusals:
            return
        rows = [model(id=place.id, outfit=work.outfit, **place.facts) for place in wanted]
        insert(work, rows, [place.source for place in wanted])


def _check_location(work: Work, wanted: list[NewPlace]) -> None:
    """Refuse a group at a location that the outfit does not have."""
    ids = {place.facts["location_id"] for place in wanted if place.facts.get("location_id")}
    if ids - set(fetch(Location, work.outfit, ids)):
        work.refuse("That location is not in this outfit's record.", field_name="location")
