"""The calves of a season's dams up to weaning: which were weaned, at what weight, and which died before."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event
from herd.reports.calving import KNOWN, Births


@dataclass(slots=True)
class CalfLine:
    """One calf; `weight_ng` is its weaning weight in nanograms. A death after weaning counts for nothing here."""

    animal_id: UUID
    weaned_on: date | None = None
    died_on: date | None = None
    weight_ng: int | None = None

    def take(self, kind: str, on: date, weight_ng: int | None) -> None:
        """Take in its next event: a weaning, a weaning weight, or its death."""
        if kind == "death":
            self.died_on = on
        elif self.died_on is None:
            self.weaned_on = self.weaned_on or on
            self.weight_ng = weight_ng or self.weight_ng


def calves_of(
    outfit: Outfit, dams: Mapping[UUID, Mapping[date, Births]], first: date, last: date, until: date
) -> list[CalfLine]:
    """The calves of these dams born alive between two days and what came of them until a day; two queries.

    A calf is weaned by a weaning, or by a weight with the purpose weaning.
    """
    calves: dict[UUID, CalfLine] = {}
    stillborn = {key for days in dams.values() for births in days.values() for key in births.stillborn}
    born: dict[str, Any] = {"born_on__range": (first, last), "born_precision__in": KNOWN, "dam__isnull": False}
    for key, dam in Animal.objects.of(outfit).filter(**born).order_by("pk").values_list("pk", "dam_id"):
        if dam in dams and str(key) not in stillborn:
            calves[key] = CalfLine(key)
    weighed = Q(kind="weight", data__purpose="weaning")
    events = Event.objects.of(outfit).filter(
        Q(kind__in=("weaning", "death")) | weighed, happened_on__range=(first, until),
        **{f"animal__{name}": value for name, value in born.items()},
    )  # fmt: skip
    columns = ("animal_id", "kind", "happened_on", "weight_ng")
    for key, kind, on, weight_ng in events.order_by("happened_on", "id").values_list(*columns).iterator():
        if key in calves:
            calves[key].take(kind, on, weight_ng)
    return list(calves.values())
