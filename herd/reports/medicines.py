"""What was given, as the law and the guidance ask to keep it: the log of treatments, and who had which vaccine.

The fields are those of the FDA's rule on extra-label records (21 CFR 530.5), of Washington State University's "Are
your treatment records FDA ready?", and of the beef quality assurance programme's product log.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Event, Product
from herd.values.eventkinds import MEDICINE_KINDS

VACCINATION = "vaccination"


@dataclass(slots=True)
class VaccineStatus:
    """When each animal last had each vaccine since a day: `last` by animal and product, `products` by name."""

    since: date
    animal_ids: list[UUID]
    products: list[str] = field(default_factory=list)
    last: dict[UUID, dict[str, date]] = field(default_factory=dict)

    def had(self, product: str) -> int:
        """How many had a vaccine."""
        return sum(product in one for one in self.last.values())

    @property
    def without(self) -> list[UUID]:
        """Those that had none."""
        return [one for one in self.animal_ids if not self.last.get(one)]


def medicines_given(outfit: Outfit, first: date, last: date, kinds: Iterable[str] = MEDICINE_KINDS) -> QuerySet[Event]:
    """What was given between two days, both included, in the order of the days."""
    rows = Event.objects.of(outfit).filter(kind__in=list(kinds), happened_on__range=(first, last))
    found: QuerySet[Event] = rows.filter(animal__is_void=False).select_related("animal").order_by("happened_on", "id")
    return found


def undated_medicines(outfit: Outfit, kinds: Iterable[str] = MEDICINE_KINDS) -> int:
    """How many were given on a day that isn't known, and so stand in no log by period."""
    return int(Event.objects.of(outfit).filter(kind__in=list(kinds), happened_on=None).count())


def ingredients(outfit: Outfit) -> Mapping[str, str]:
    """The active ingredient of each product, by its name in small letters."""
    rows = Product.objects.of(outfit).exclude(ingredient="").values_list("name", "ingredient")
    return {name.casefold(): ingredient for name, ingredient in rows}


def vaccines_of(outfit: Outfit, animal_ids: Iterable[UUID], since: date, until: date) -> VaccineStatus:
    """Which vaccines these animals had between two days, one query for eight hundred animals.

    Products are told apart by their names in any case; the spelling used last stands for all.
    """
    status = VaccineStatus(since, list(animal_ids))
    spelt: dict[str, str] = {}
    last: dict[UUID, dict[str, date]] = {}
    for ids in in_steps(status.animal_ids):
        rows = Event.objects.of(outfit).filter(animal__in=ids, kind=VACCINATION, happened_on__range=(since, until))
        columns: Any = rows.order_by("happened_on", "id").values_list("animal_id", "happened_on", "data")
        for key, on, data in columns:
            name = str(data.get("product") or "a product not named")
            spelt[name.casefold()] = name
            last.setdefault(key, {})[name.casefold()] = on
    status.products = sorted(spelt.values(), key=str.casefold)
    status.last = {key: {spelt[name]: on for name, on in one.items()} for key, one in last.items()}
    return status
