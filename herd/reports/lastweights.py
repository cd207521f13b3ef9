"""The last weight of animals up to a day, and what is paid for after shrink."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Event
from herd.values.figures import Amount
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.shrink import pay_weight


@dataclass(frozen=True, slots=True)
class LastWeight:
    """A weight as it was taken, in an outfit's unit, and the weight paid for after shrink, both exact."""

    weighed_on: date
    gross: Fraction
    paid: Fraction


def last_weights(
    outfit: Outfit, animal_ids: Iterable[UUID], until: date, shrink_percent: Amount
) -> dict[UUID, LastWeight]:
    """The last weighing of each animal up to a day; who was never weighed is not in it.

    Raises ValueError for a shrink below 0 or from 100 per cent on.
    """
    unit = WeightUnit(outfit.weight_unit)
    found: dict[UUID, LastWeight] = {}
    for ids in in_steps(animal_ids):
        rows = Event.objects.of(outfit).filter(animal__in=ids, kind="weight", happened_on__lte=until, weight_ng__gt=0)
        columns = ("animal_id", "happened_on", "weight_ng")
        for key, on, nanograms in rows.order_by("happened_on", "id").values_list(*columns):
            gross = Fraction(nanograms, NANOGRAMS[unit])
            found[key] = LastWeight(on, gross, pay_weight(gross, shrink_percent, unit=unit.value).value)
    return found
