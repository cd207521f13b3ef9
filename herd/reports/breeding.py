"""The females exposed for one calf crop, followed to weaning: every count with the animals behind it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import GroupMembership
from herd.registry.queries.headcount import members_on
from herd.reports.breedingcalves import CalfLine, calves_of
from herd.reports.breedingfemales import Female, females_of
from herd.reports.calving import Births, Noted, dams_until
from herd.reports.onhand import on_hand_on
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.policy import PUBLISHED, DayWindow
from herd.values.policyhistory import PolicyHistory
from herd.values.reproduction import Cohort

COUNTS = {
    "exposed": "Exposed females", "left": "Left before calving", "bought": "Bred females bought",
    "counted": "Adjusted exposed females", "pregnant": "Found pregnant, or calved",
    "unknown": "Neither checked nor calved", "lost": "Pregnant without a calf", "calved": "Dams that calved",
    "born_dead": "Dams with a calf born dead",
    "died": "Calves that died before weaning", "weaned": "Calves weaned", "unweighed": "Weaned without a weight",
    "no_word": "Calves with no word on weaning",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Exposure:
    """When the bulls were in, both days included, with which group, and up to which day is counted.

    `gestation` are the shortest and the longest that can be.
    """

    bulls_in: date
    bulls_out: date
    until: date
    group_id: UUID | None = None
    gestation: DayWindow = PUBLISHED.gestation_limits

    @property
    def calving_first(self) -> date:
        """The first day on which a calf of these bulls can be born at full term."""
        return self.bulls_in + timedelta(days=self.gestation.first)

    @property
    def calving_last(self) -> date:
        """The last such day, or the last that is counted."""
        return min(self.bulls_out + timedelta(days=self.gestation.last), self.until)

    @property
    def is_over(self) -> bool:
        """Whether all calves must have been born by the last day that is counted."""
        return self.until > self.bulls_out + timedelta(days=self.gestation.last)


def exposure_of(
    policies: PolicyHistory, bulls_in: date, bulls_out: date, until: date, group_id: UUID | None = None
) -> Exposure:
    """An exposure under the gestations that were in force on the day the bulls went in."""
    limits = policies.on(bulls_in).policy.gestation_limits
    return Exposure(bulls_in, bulls_out, until, group_id, limits)


@dataclass(slots=True)
class Rates:
    """The animals behind each count of COUNTS, the cohort they make, and what has to be said beside it."""

    cohort: Cohort | None = None
    behind: dict[str, list[Noted]] = field(default_factory=lambda: {name: [] for name in COUNTS})
    remarks: list[str] = field(default_factory=list)
    was_checked: bool = False

    def note(self, name: str, key: UUID, day: date | None, words: str) -> None:
        """Count an animal."""
        self.behind[name].append(Noted(key, day, words))

    def many(self, name: str) -> int:
        """How many stand behind a count."""
        return len(self.behind[name])


def rates_of(outfit: Outfit, asked: Exposure) -> Rates:
    """Follow the females of an exposure; every step is a query over all, or over steps of some hundred.

    Counted are cows and heifers of a year or more that were on hand on the day the bulls went in.
    """
    exposed = {key for key, name in on_hand_on(outfit, asked.bulls_in) if name in {"cow", "heifer"}}
    if asked.group_id:
        exposed &= set(members_on(outfit, asked.group_id, asked.bulls_in))
    births = {
        key: found
        for key, dam in dams_until(outfit, asked.calving_last).items()
        if (found := dam.within(asked.calving_first, asked.calving_last))
    }
    females = females_of(outfit, asked.bulls_in, asked.calving_last, births)
    rates = Rates()
    for key in sorted(exposed):
        _take_exposed(rates, key, females.get(key, Female()), births.get(key, {}))
    _take_bought(rates, outfit, asked, exposed, females, births)
    counted = [one.animal_id for one in rates.behind["counted"]]
    for key in counted:
        _follow(rates, key, females.get(key, Female()), births.get(key, {}), asked)
    mine = {key: births[key] for key in counted if key in births}
    calves = calves_of(outfit, mine, asked.calving_first, asked.calving_last, asked.until)
    _take_calves(rates, calves)
    _sum_up(rates, mine, calves, asked, outfit.unit)
    return rates


def _take_exposed(rates: Rates, key: UUID, female: Female, births: Mapping[date, Births]) -> None:
    rates.note("exposed", key, None, "On hand when the bulls went in.")
    # One found open and sold stays in the divisor; so does one that calved before she left.
    if female.left_on and not female.open_on and not births:
        rates.note("left", key, female.left_on, f"Left before calving: {female.left_how}.")
    else:
        rates.note("counted", key, None, "Exposed.")


def _take_bought(
    rates: Rates, outfit: Outfit, asked: Exposure, exposed: set[UUID], females: Mapping[UUID, Female],
    births: Mapping[UUID, Mapping[date, Births]],
) -> None:  # fmt: skip
    bred = {
        key: one.bought_on
        for key, one in females.items()
        if key not in exposed and one.bought_on and not one.left_on and (one.pregnant_on or key in births)
    }
    if asked.group_id:
        stays = GroupMembership.objects.of(outfit).filter(group=asked.group_id, joined_on__lte=asked.calving_last)
        bred = {key: bred[key] for key in stays.values_list("animal_id", flat=True) if key in bred}
    for key, on in sorted(bred.items()):
        rates.note("bought", key, on, "Bought bred, to calve here.")
        rates.note("counted", key, on, "Bought bred.")


def _follow(rates: Rates, key: UUID, female: Female, births: Mapping[date, Births], asked: Exposure) -> None:
    rates.was_checked |= bool(female.pregnant_on or female.open_on)
    if births:
        on = min(births)
        rates.note("calved", key, on, "Calved.")
        rates.note("pregnant", key, female.pregnant_on or on, "Checked pregnant." if female.pregnant_on else "Calved.")
        if any(one.dead for one in births.values()):
            rates.note("born_dead", key, on, "A calf was born dead.")
    elif female.pregnant_on:
        rates.note("pregnant", key, female.pregnant_on, "Checked pregnant.")
        if asked.is_over:
            rates.note("lost", key, female.pregnant_on, "Checked pregnant; no calf is recorded.")
    elif not female.open_on:
        rates.note("unknown", key, None, "No check and no calf is recorded.")


def _take_calves(rates: Rates, calves: Iterable[CalfLine]) -> None:
    for one in calves:
        if one.weaned_on:
            rates.note("weaned", one.animal_id, one.weaned_on, "Weaned.")
            if one.weight_ng is None:
                rates.note("unweighed", one.animal_id, one.weaned_on, "Weaned; no weaning weight is recorded.")
        elif one.died_on:
            rates.note("died", one.animal_id, one.died_on, "Died before weaning.")
        else:
            rates.note("no_word", one.animal_id, None, "Neither weaned nor dead in the record.")


def _sum_up(
    rates: Rates, births: Mapping[UUID, Mapping[date, Births]], calves: list[CalfLine], asked: Exposure,
    unit: WeightUnit,
) -> None:  # fmt: skip
    every = [one for days in births.values() for one in days.values()]
    live, dead = sum(one.live for one in every), sum(one.dead for one in every)
    weaned, was_checked = rates.many("weaned"), rates.was_checked
    weighed = sum(one.weight_ng or 0 for one in calves if one.weaned_on)
    _remark(rates, asked, live - len(calves), sum(one.unsaid for one in every))
    try:
        rates.cohort = Cohort(
            rates.many("exposed"),
            rates.many("left"),
            rates.many("bought"),
            rates.many("pregnant") if was_checked else None,
            rates.many("lost") if was_checked and asked.is_over else None,
            live if every else None,
            dead if every else None,
            rates.many("died") if weaned else None,
            weaned or None,
            Fraction(weighed, NANOGRAMS[unit]) if weighed else None,
        )
    except ValueError as wrong:
        rates.remarks.insert(0, f"The record contradicts itself, so no rate is shown. {wrong}")


def _remark(rates: Rates, asked: Exposure, without_record: int, unsaid: int) -> None:
    said = (
        (not asked.is_over, "Calving goes on beyond the last day counted, so the rates may still rise."),
        (rates.many("unknown"), f"{rates.many('unknown')} were neither checked nor calved; no pregnancy is counted."),
        (unsaid, f"{unsaid} calves have no word on whether they lived; they count as live."),
        (without_record > 0, f"{without_record} live calves are no animals of the record, so none is seen weaned."),
        (rates.many("no_word"), f"{rates.many('no_word')} calves are neither weaned nor dead; the weaned may rise."),
        (rates.many("unweighed"), f"{rates.many('unweighed')} weaned calves have no weight; the sum lacks them."),
    )  # fmt: skip
    rates.remarks += [sentence for is_so, sentence in said if is_so]
