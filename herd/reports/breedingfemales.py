"""What happened to each female between the day the bulls went in and her calving."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Event
from herd.reports.calving import KNOWN, Births
from herd.values.eventkinds import EVENT_KINDS, LEAVING, Effect

KINDS = ("pregnancy_check", *(key for key, kind in EVENT_KINDS.items() if kind.effect in {*LEAVING, Effect.ON_HAND}))


@dataclass(slots=True)
class Female:
    """The days that count of one female; each None where there was no such day. A check takes the other's place."""

    pregnant_on: date | None = None
    open_on: date | None = None
    left_on: date | None = None
    left_how: str = ""
    bought_on: date | None = None

    def take(self, kind: str, on: date, data: Mapping[str, Any]) -> None:
        """Take in her next event."""
        effect = EVENT_KINDS[kind].effect
        if kind == "pregnancy_check":
            self._check(str(data.get("result")), on)
        elif effect in LEAVING:
            self.left_on, self.left_how = on, EVENT_KINDS[kind].label
        else:
            self.left_on = None
            self.bought_on = on if kind == "purchase" else self.bought_on

    def _check(self, result: str, on: date) -> None:
        # One found pregnant and later open has lost a pregnancy, so the first check still stands.
        if result == "pregnant":
            self.pregnant_on, self.open_on = on, None
        elif result == "open":
            self.open_on = on


def females_of(
    outfit: Outfit, bulls_in: date, last: date, births: Mapping[UUID, Mapping[date, Births]]
) -> dict[UUID, Female]:
    """Every female of which anything of this is dated after the bulls went in, up to her calving; one query."""
    rows = Event.objects.of(outfit).filter(
        kind__in=KINDS, happened_on__range=(bulls_in + timedelta(days=1), last), precision__in=KNOWN,
        animal__is_void=False, animal__animal_class__in=("cow", "heifer"),
    )  # fmt: skip
    females: dict[UUID, Female] = {}
    columns = ("animal_id", "kind", "happened_on", "data")
    for key, kind, on, data in rows.order_by("happened_on", "id").values_list(*columns).iterator():
        if key not in births or on <= min(births[key]):
            females.setdefault(key, Female()).take(kind, on, data)
    return females
