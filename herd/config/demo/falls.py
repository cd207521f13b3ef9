"""The fall and winter of the demo's years: weaning and preg check, shipping, yearlings, and the last sort."""

from datetime import date, timedelta
from random import Random

from herd.config.demo.herd import Head, Play, buy_bull, cow_pounds, leave, looks, move, register, tell, weigh
from herd.config.demo.places import BULL_PASTURE, HEIFER_LOT, MILL_TRAP, UPPER_BENCH, WEANED
from herd.config.demo.seasons import Season

COWS, BULLS, IN_MILL_TRAP, REPLACEMENTS = 640, 28, 84, 112
PREGNANT_COWS, PREGNANT_HEIFERS = 0.925, 0.88
OLDEST = 12
# White-tagged cows that were bought bred wear numbers that yellow-tagged ones wear as well.
BOUGHT = 8


def calves_of(play: Play, season: Season) -> list[Head]:
    """This season's calves on hand."""
    return [one for one in play.here("bull", "heifer", "steer") if one.born_on >= season.calving]


def weaning_pounds(chance: Random, calf: Head, age_days: int) -> int:
    """Birth weight and a gain of about 2 lb a day, steers a little more."""
    daily = chance.gauss(2.05 if calf.kind == "heifer" else 2.2, 0.16)
    return round(calf.pounds + daily * age_days)


def wean(play: Play, season: Season) -> None:
    """Calves are weighed, vaccinated and penned; cows and exposed heifers are checked, scored and weighed."""
    batch, on, chance = play.begin(f"Weaning and preg check {season.year}"), season.weaning, play.chance
    for calf in calves_of(play, season):
        _wean_one(play, calf, on)
    exposed = [one for one in play.here("heifer", group=HEIFER_LOT) if one.age_on(on) >= 1]
    for one in [*play.here("cow"), *exposed]:
        share = PREGNANT_COWS if one.kind == "cow" else PREGNANT_HEIFERS
        one.is_bred, one.calf = chance.random() < share, None
        days = {"days": min(170, max(60, round(chance.gauss(125, 22))))} if one.is_bred else {}
        tell(batch, one, "pregnancy_check", on, result="pregnant" if one.is_bred else "open", **days)
        tell(batch, one, "body_condition", on, score=str(chance.choice((4, 4.5, 5, 5, 5.5, 6, 6.5))))
        is_cow = one.kind == "cow"
        weigh(batch, one, on, cow_pounds(chance, one.age_on(on)) if is_cow else chance.randint(860, 1000))
        tell(batch, one, "vaccination", on, product="vibrio-lepto", dose="5 mL", withdrawal_days=21)


def _wean_one(play: Play, calf: Head, on: date) -> None:
    batch, chance = play.pieces[-1].batch, play.chance
    weigh(batch, calf, on, weaning_pounds(chance, calf, (on - calf.born_on).days), "weaning")
    tell(batch, calf, "weaning", on)
    tell(batch, calf, "vaccination", on, product="respiratory 5-way", dose="2 mL", withdrawal_days=21)
    move(play, batch, calf, WEANED, on)


def ship(play: Play, season: Season) -> None:
    """Open and old cows, steers and surplus heifers are sold; the heaviest heifers stay."""
    batch, on = play.begin(f"Fall shipping {season.year}"), season.shipping
    for one in [*play.here("cow"), *play.here("heifer", group=HEIFER_LOT)]:
        if not one.is_bred or one.age_on(on) >= OLDEST:
            leave(batch, one, "sale", on, buyer="sale barn")
    for one in play.here("steer", "bull", group=WEANED):
        leave(batch, one, "sale", on, buyer="feedlot")
    heifers = sorted(play.here("heifer", group=WEANED), key=lambda one: -one.pounds)
    for place, one in enumerate(heifers):
        if place < REPLACEMENTS:
            move(play, batch, one, HEIFER_LOT, on)
        else:
            leave(batch, one, "sale", on, buyer="feedlot")
    for one in sorted(play.here("bull"), key=lambda one: one.born_on)[:5]:
        leave(batch, one, "sale", on, buyer="sale barn")


def winter(play: Play, season: Season) -> None:
    """Bulls and a few bred cows are bought; replacement heifers are weighed and measured as yearlings."""
    batch, chance = play.begin(f"Bulls bought, yearlings weighed {season.year + 1}"), play.chance
    used = {one.vid for one in play.heads}
    numbers = (number for number in range(1, 999) if f"B{number}" not in used)
    for _ in range(5 if season is play.seasons.years[0] else 6):
        on = season.yearling - timedelta(days=20)
        bull = buy_bull(play, next(numbers), on - timedelta(days=700), on)
        tell(batch, bull, "purchase", on, seller="bull sale")
    if season is play.seasons.years[1]:
        _buy_cows(play, season)
    for one in play.here("heifer", group=HEIFER_LOT):
        if one.age_on(season.yearling) == 1 and one.born_on >= season.calving:
            days = (season.yearling - season.weaning).days
            weigh(batch, one, season.yearling, round(one.pounds + chance.gauss(1.25, 0.12) * days), "yearling")
            tell(batch, one, "hip_height", season.yearling, height=f"{round(2 * (40 + one.pounds / 75)) / 2} in")
            tell(batch, one, "vaccination", season.yearling, product="brucellosis RB51", withdrawal_days=21)


def _buy_cows(play: Play, season: Season) -> None:
    batch, on = play.pieces[-1].batch, season.shipping + timedelta(days=10)
    for twin in play.here("cow", group=MILL_TRAP)[:BOUGHT]:
        born_on = on - timedelta(days=365 * play.chance.randrange(4, 7))
        cow = Head(play.new_id(on), "cow", born_on, twin.vid, "white", MILL_TRAP, play.next_eid())
        cow.is_bred = True
        register(play, batch, cow, on, **looks(play.chance), origin="bought bred")
        tell(batch, cow, "purchase", on, seller="dispersal sale")
        weigh(batch, cow, on, cow_pounds(play.chance, 5))


def sort_for_today(play: Play, season: Season) -> None:
    """Bring the herd to its size and Mill Trap to what two men work in a morning; calves go with their dams."""
    batch, on = play.begin(f"Summer sort {season.year}"), season.summer + timedelta(days=65)
    cows = sorted(play.here("cow"), key=lambda one: (one.calf is not None, -one.age_on(on)))
    for cow in cows[: max(0, len(cows) - COWS)]:
        leave(batch, cow, "sale", on, buyer="sale barn")
    bulls = sorted(play.here("bull", group=BULL_PASTURE), key=lambda one: one.born_on)
    for bull in bulls[: max(0, len(bulls) - BULLS)]:
        leave(batch, bull, "sale", on, buyer="sale barn")
    for one in play.here("heifer"):
        if one.age_on(on) >= 2:
            leave(batch, one, "sale", on, buyer="sale barn", note="open heifer")
    inside = [one for one in play.here("cow", group=MILL_TRAP) if one.calf is not None]
    outside = [one for one in play.here("cow", group=UPPER_BENCH) if one.calf is not None and one.age_on(on) >= 3]
    # Two that were retagged are among them, so that an old number can turn up again.
    retagged = [one for one in [*inside, *outside] if one.old_eid][:2]
    chosen = list(dict.fromkeys([*retagged, *inside, *outside]))[:IN_MILL_TRAP]
    for cow in play.here("cow"):
        group = MILL_TRAP if cow in chosen else UPPER_BENCH
        move(play, batch, cow, group, on)
        if cow.calf is not None and cow.calf.is_here:
            move(play, batch, cow.calf, group, on)


def wean_early(play: Play) -> None:
    """First-calf heifers' calves were weaned three weeks ago."""
    on = play.seasons.working - timedelta(days=21)
    play.begin("First-calf heifers weaned early")
    for cow in play.here("cow"):
        if cow.calf is not None and cow.calf.is_here and cow.age_on(on) == 2:
            _wean_one(play, cow.calf, on)
            cow.calf = None
