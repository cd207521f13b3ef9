"""The calvings of a season, dam by dam: calves by period of 21 days, and the days between a cow's calvings."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event
from herd.values.calvingintervals import calving_interval, herd_calving_interval
from herd.values.calvingperiods import Calving, Distribution
from herd.values.figures import Figure
from herd.values.policy import PUBLISHED, Policy

# Precisions of a day that is known as such.
KNOWN = ("day", "instant")
ALL, FIRST, AGAIN = "all", "first", "again"
DAM = ("animal_id", "animal__born_on", "animal__born_precision")
DAM_OF_CALF = ("dam_id", "dam__born_on", "dam__born_precision")


@dataclass(frozen=True, slots=True)
class Noted:
    """An animal behind a figure, with the day and the words for which it counts."""

    animal_id: UUID
    day: date | None
    words: str


@dataclass(slots=True)
class Births:
    """The calves of one calving; `unsaid` of the live ones have neither a record nor a word on whether they lived."""

    live: int = 0
    dead: int = 0
    unsaid: int = 0
    # Live ones of a calving that names no calf: a calf of that day found in the record is one of them.
    unnamed: int = 0
    # Calves of the record that were born dead.
    stillborn: tuple[str, ...] = ()

    @property
    def total(self) -> int:
        """Live and dead together."""
        return self.live + self.dead

    def take(self, data: Mapping[str, Any]) -> None:
        """Count one calving event; twins have two."""
        is_dead, has_calf = data.get("outcome") == "dead", bool(data.get("calf"))
        if is_dead and has_calf:
            self.stillborn += (str(data["calf"]),)
        self.dead += is_dead
        self.live += not is_dead
        self.unnamed += not is_dead and not has_calf
        self.unsaid += not data.get("outcome") and not has_calf

    def take_calf(self) -> None:
        """Count a calf of the record that no calving names."""
        if self.unnamed:
            self.unnamed -= 1
            self.unsaid -= self.unsaid > 0
        else:
            self.live += 1


@dataclass(slots=True)
class Dam:
    """A female that calved, with her calvings by day."""

    animal_id: UUID
    born_on: date | None
    born_precision: str
    days: dict[date, Births] = field(default_factory=dict)

    def within(self, first: date, last: date) -> dict[date, Births]:
        """Her calvings of a time, both days included."""
        return {day: births for day, births in sorted(self.days.items()) if first <= day <= last}

    def years_on(self, day: date) -> int | None:
        """Her completed years; where only the year or month is known, those she has for certain."""
        born = self.born_on
        if born is None or self.born_precision not in {*KNOWN, "month", "year"}:
            return None
        if self.born_precision in KNOWN:
            return day.year - born.year - ((day.month, day.day) < (born.month, born.day))
        is_sure = self.born_precision == "month" and day.month > born.month
        return max(day.year - born.year - (not is_sure), 0)


@dataclass(frozen=True, slots=True)
class Season:
    """The dams that calved in a time, each with all her calvings up to its last day."""

    first: date
    last: date
    dams: Mapping[UUID, Dam]

    def narrowed(self, who: str) -> "Season":
        """ALL dams, those with their FIRST calving of the record in the season, or those calving AGAIN."""
        if who == ALL:
            return self
        dams = {key: dam for key, dam in self.dams.items() if (who == AGAIN) == (min(dam.days) < self.first)}
        return Season(self.first, self.last, dams)

    def calvings(self) -> list[Calving]:
        """The season's calvings, one for each dam and day."""
        return [Calving(day, births.total, dam.years_on(day)) for dam, day, births in self._each()]

    def interval(self, policy: Policy = PUBLISHED) -> Figure | None:
        """The mean of each cow's last interval; None where no cow of the season had calved before."""
        days = [list(dam.days) for dam in self.dams.values()]
        return herd_calving_interval(days, policy=policy) if any(len(some) > 1 for some in days) else None

    def intervals(self, policy: Policy = PUBLISHED) -> list[Noted]:
        """Each cow's last interval, the longest first."""
        found = []
        for dam in self.dams.values():
            if len(dam.days) > 1:
                before, last = sorted(dam.days)[-2:]
                figure = calving_interval(before, last, policy=policy)
                said = " ".join(one.text for one in figure.cautions)
                found.append((figure.value, Noted(dam.animal_id, last, f"{figure.value} days. {said}".strip())))
        return [one for _, one in sorted(found, key=lambda pair: (-pair[0], pair[1].animal_id))]

    def in_period(self, spread: Distribution, place: int) -> list[Noted]:
        """The dams behind one period, counted from 0; those before the start are in the first."""
        since = spread.periods[place].starts_on if place else date.min
        until = spread.periods[place + 1].starts_on if place + 1 < len(spread.periods) else date.max
        here = [one for one in self._each() if since <= one[1] < until]
        return [Noted(dam.animal_id, day, _say(births)) for dam, day, births in sorted(here, key=_by_day)]

    def by_day(self) -> dict[date, Births]:
        """What was born on each day on which anything was, in order."""
        found: dict[date, Births] = {}
        for _, day, births in self._each():
            one = found.setdefault(day, Births())
            one.live, one.dead = one.live + births.live, one.dead + births.dead
        return dict(sorted(found.items()))

    def on_day(self, day: date) -> list[Noted]:
        """The dams that calved on a day."""
        here = [one for one in self._each() if one[1] == day]
        return [Noted(dam.animal_id, on, _say(births)) for dam, on, births in sorted(here, key=_by_day)]

    def _each(self) -> Iterator[tuple[Dam, date, Births]]:
        for dam in self.dams.values():
            for day, births in dam.within(self.first, self.last).items():
                yield dam, day, births


def season_of(outfit: Outfit, first: date, last: date) -> Season:
    """The dams that calved between two days, both included; two queries.

    A calving counts by its event, or by the day of birth of a calf whose dam is known; days known only to the
    month or year count for nothing.
    """
    dams = dams_until(outfit, last)
    return Season(first, last, {key: dam for key, dam in dams.items() if dam.within(first, last)})


def dams_until(outfit: Outfit, last: date) -> dict[UUID, Dam]:
    """Every dam with her calvings up to a day."""
    dams: dict[UUID, Dam] = {}
    named = set()
    events = Event.objects.of(outfit).filter(
        kind="calving", happened_on__lte=last, precision__in=KNOWN, animal__is_void=False
    )
    for key, born, precision, on, data in events.order_by().values_list(*DAM, "happened_on", "data").iterator():
        _births(dams, (key, born, precision), on).take(data)
        named.add(str(data.get("calf") or ""))
    calves = Animal.objects.of(outfit).filter(dam__isnull=False, born_on__lte=last, born_precision__in=KNOWN)
    for calf, on, *dam in calves.order_by().values_list("pk", "born_on", *DAM_OF_CALF).iterator():
        if str(calf) not in named:
            _births(dams, tuple(dam), on).take_calf()
    return dams


def _births(dams: dict[UUID, Dam], dam: tuple[Any, ...], on: date) -> Births:
    return dams.setdefault(dam[0], Dam(*dam)).days.setdefault(on, Births())


def _by_day(one: tuple[Dam, date, Births]) -> tuple[date, UUID]:
    return one[1], one[0].animal_id


def _say(births: Births) -> str:
    words = [f"{count} {word}" for count, word in ((births.live, "live"), (births.dead, "dead")) if count]
    return f"Calves: {' and '.join(words)}."
