"""The working day that waits: who came through the chute and when, and the odd ones among them."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random

from herd.config.demo.falls import weaning_pounds
from herd.config.demo.herd import Head, Play, tell, weigh
from herd.config.demo.places import MILL_TRAP

SEED = 1905
NEW_EID = "840270000048615"
UNSEEN = 2


@dataclass(frozen=True, slots=True)
class Passing:
    """One animal through the chute: when, with which EID on, and what was found."""

    head: Head
    at: datetime
    eid: str
    pounds: int
    is_bred: bool = False
    days: int = 0
    score: str = ""
    tube: str = ""


@dataclass(frozen=True, slots=True)
class Workday:
    """The day. Cows and calves went through one after the other.

    `twins` are two cows on hand with the same number in two colours, `sold` left the year before, `doctored`
    calves were treated so lately that they are in withdrawal, `typed` is the cow whose weight the office has.
    """

    day: date
    cows: tuple[Passing, ...]
    calves: tuple[Passing, ...]
    twins: tuple[Head, Head]
    sold: Head
    doctored: tuple[Head, ...]
    typed: Passing


def plan_workday(play: Play) -> Workday:
    """Drive Mill Trap through the chute, and write what was done there the days before."""
    chance, day = Random(SEED), play.seasons.working
    cows = play.here("cow", group=MILL_TRAP)
    calves = play.here("heifer", "steer", "bull", group=MILL_TRAP)
    chance.shuffle(cows)
    chance.shuffle(calves)
    start = datetime.combine(day, time(7, 5))
    passed = [_cow(chance, one, start + _gap(chance, place)) for place, one in enumerate(cows[UNSEEN:])]
    start = datetime.combine(day, time(10, 40))
    young = [_calf(chance, one, start + _gap(chance, place), place) for place, one in enumerate(calves[UNSEEN:])]
    typed = next(one for one in passed[20:] if one.head.eid == one.eid and not one.head.old_eid)
    workday = Workday(
        day=day,
        cows=_with_other_tags(passed, typed),
        calves=tuple(young),
        twins=_twins(cows),
        sold=next(one for one in play.heads if one.gone == "sale" and one.kind == "cow" and one.eid),
        doctored=tuple(one.head for one in young[30:33]),
        typed=typed,
    )
    _write_days_before(play, workday)
    return workday


def _gap(chance: Random, place: int) -> timedelta:
    return timedelta(seconds=100 * place + chance.randrange(40))


def _cow(chance: Random, one: Head, at: datetime) -> Passing:
    is_bred = chance.random() < 0.92
    return Passing(
        head=one,
        at=at,
        eid=one.eid,
        pounds=round(one.pounds + chance.gauss(12, 25)),
        is_bred=is_bred,
        days=min(165, max(65, round(chance.gauss(120, 20)))) if is_bred else 0,
        score=str(chance.choice((4, 4.5, 5, 5, 5.5, 6))),
    )


def _calf(chance: Random, one: Head, at: datetime, place: int) -> Passing:
    pounds = weaning_pounds(chance, one, (at.date() - one.born_on).days)
    return Passing(head=one, at=at, eid=one.eid, pounds=pounds, tube=f"KB{7301 + place:06d}")


def _with_other_tags(passed: list[Passing], typed: Passing) -> tuple[Passing, ...]:
    """One cow lost her EID and wears one that the record does not know; another wears one she had lost before."""
    places = [place for place, one in enumerate(passed) if one is not typed]
    retagged = next((place for place in places if passed[place].head.old_eid), places[5])
    lost = next(place for place in places if place != retagged)
    odd = {lost: NEW_EID, retagged: passed[retagged].head.old_eid or passed[retagged].eid}
    return tuple(
        Passing(one.head, one.at, odd.get(place, one.eid), one.pounds, one.is_bred, one.days, one.score)
        for place, one in enumerate(passed)
    )


def _twins(cows: list[Head]) -> tuple[Head, Head]:
    yellow = {one.vid: one for one in cows if one.colour == "yellow"}
    white = next(one for one in cows if one.colour == "white" and one.vid in yellow)
    return yellow[white.vid], white


def _write_days_before(play: Play, workday: Workday) -> None:
    """Calves doctored nine days ago, and a weight that the office has typed in already."""
    batch = play.begin("Calves doctored at Mill Trap")
    for one in workday.doctored:
        tell(
            batch,
            one,
            "treatment",
            workday.day - timedelta(days=9),
            product="oxytetracycline",
            dose="12 mL",
            route="under the skin",
            condition="pneumonia",
            withdrawal_days=28,
        )
    batch = play.begin("Weight called in from Mill Trap")
    weigh(batch, workday.typed.head, workday.day, workday.typed.pounds + 60)
