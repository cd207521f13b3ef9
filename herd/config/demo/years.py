"""Plays the demo's three years through: calving, branding, summer, weaning, shipping, yearlings."""

from datetime import date, timedelta
from random import Random

from herd.config.demo.falls import calves_of, ship, sort_for_today, wean, wean_early, winter
from herd.config.demo.herd import (
    FIRST_EID,
    Head,
    Play,
    buy_bull,
    calf_number,
    cow_pounds,
    leave,
    looks,
    move,
    register,
    tell,
    weigh,
)
from herd.config.demo.places import (
    BULL_PASTURE,
    HEIFER_LOT,
    MILL_TRAP,
    UPPER_BENCH,
    open_places,
)
from herd.config.demo.seasons import Season, seasons_before
from herd.registry.services.batch import Join, PutOn

SEED = 1867
# Shares: calves lost between preg check and calving 2 %, born dead 2 %, lost before weaning 3 %
# (within the ranges that NAHMS 1997 and extension services give for beef herds).
CARRIED, BORN_ALIVE, CALF_LOST = 0.98, 0.978, 0.03
AILMENTS = (
    ("foot rot", "oxytetracycline", "20 mL", "under the skin", 28),
    ("pneumonia", "oxytetracycline", "12 mL", "under the skin", 28),
    ("pinkeye", "penicillin G procaine", "10 mL", "in the muscle", 10),
    ("lameness", "flunixin", "15 mL", "in the vein", 4),
)
CAUSES = ("lightning", "calving trouble", "bloat", "found dead", "old age")


def play_through(today: date) -> Play:
    """Play the years up to the working day and return the herd with its pieces of work."""
    seasons = seasons_before(today)
    play = Play(Random(SEED), seasons, {})
    _enter_herd(play)
    for season in seasons.years:
        _calve(play, season)
        _brand(play, season)
        _summer(play, season)
        if season is seasons.now:
            sort_for_today(play, season)
            wean_early(play)
        else:
            wean(play, season)
            ship(play, season)
            winter(play, season)
    return play


def _enter_herd(play: Play) -> None:
    """The herd list of the first day: bred cows, bred heifers, heifer calves, bulls."""
    batch, on, chance = play.begin("Herd list"), play.seasons.started, play.chance
    boxes = [(str(FIRST_EID + step), str(FIRST_EID + step + 999)) for step in (0, 1000, 2000, 3000)]
    play.places.update(open_places(batch, on, boxes))
    first = play.seasons.years[0].calving
    numbers = iter(range(101, 2000))
    for age, head in zip(range(2, 12), (98, 92, 84, 76, 68, 60, 52, 44, 32, 20), strict=True):
        for _ in range(head):
            born_on = first - timedelta(days=364 * (age + 1)) + timedelta(days=chance.randrange(70))
            group = MILL_TRAP if chance.random() < 0.13 else UPPER_BENCH
            cow = Head(play.new_id(on), "cow", born_on, str(next(numbers)), "yellow", group, play.next_eid())
            cow.is_bred = True
            register(play, batch, cow, on, **looks(chance))
            weigh(batch, cow, on, cow_pounds(chance, age))
    for back, head, is_bred in ((2, 96, True), (1, 112, False)):
        for number in range(1, head + 1):
            born_on = first - timedelta(days=364 * back) + timedelta(days=chance.randrange(60))
            vid = calf_number(number * 3, play.seasons.years[0].year - back)
            heifer = Head(play.new_id(on), "heifer", born_on, vid, "orange", HEIFER_LOT, play.next_eid())
            heifer.is_bred = is_bred
            register(play, batch, heifer, on, **looks(chance))
            weigh(batch, heifer, on, chance.randint(930, 1040) if is_bred else chance.randint(500, 620))
    for number in range(1, 28):
        buy_bull(play, number, on - timedelta(days=364 * chance.randrange(2, 5)), on)


def _calve(play: Play, season: Season) -> None:
    """Bred females calve over 63 days, two of three in the first 21 (University of Nebraska: 65 % is the aim)."""
    batch, chance = play.begin(f"Calving {season.year}"), play.chance
    number = 0
    bred = sorted((one for one in play.here("cow", "heifer") if one.is_bred), key=lambda one: one.vid)
    due = [(season.calving + timedelta(days=_calving_day(chance)), one) for one in bred]
    for on, dam in sorted(due, key=lambda pair: pair[0]):
        dam.is_bred = False
        if chance.random() > CARRIED:
            continue
        number += 1
        if chance.random() > BORN_ALIVE:
            tell(batch, dam, "calving", on, outcome="dead", ease=str(chance.choice((2, 3, 4))))
        else:
            _bear(play, season, dam, on, number)
        if dam.kind == "heifer":
            move(play, batch, dam, UPPER_BENCH, on)
        dam.kind = "cow"
    for dam in chance.sample(bred, 3):
        if dam.is_here and dam.calf is not None:
            leave(batch, dam, "death", season.calving + timedelta(days=85), cause="calving trouble")


def _calving_day(chance: Random) -> int:
    period = chance.choices((0, 21, 42), (66, 25, 9))[0]
    return period + chance.randrange(21)


def _bear(play: Play, season: Season, dam: Head, on: date, number: int) -> None:
    batch, chance = play.pieces[-1].batch, play.chance
    is_male = chance.random() < 0.51
    calf = Head(
        play.new_id(on),
        "bull" if is_male else "heifer",
        on,
        calf_number(number, season.year),
        "orange",
        UPPER_BENCH if dam.kind == "heifer" else dam.group,
    )
    # One bull runs with the heifers, so their calves' sire is known.
    sires = play.here("bull", group=BULL_PASTURE)
    sire = {"sire_id": sires[0].id} if dam.kind == "heifer" and sires else {}
    register(play, batch, calf, on, dam_id=dam.id, **sire, **looks(chance))
    ease = chance.choices((1, 2, 3), (93, 5, 2))[0]
    tell(batch, dam, "calving", on, calf=str(calf.id), outcome="live", ease=str(ease))
    mean = (82 if is_male else 77) - (8 if dam.kind == "heifer" else 0)
    weigh(batch, calf, on, round(chance.gauss(mean, 7)), "birth")
    dam.calf = calf


def _brand(play: Play, season: Season) -> None:
    """Calves get their EID, the vaccine, and bull calves but a few are cut."""
    batch, on, chance = play.begin(f"Branding {season.year}"), season.branding, play.chance
    for calf in calves_of(play, season):
        if chance.random() < CALF_LOST:
            lost_on = calf.born_on + timedelta(days=chance.randrange(2, 40))
            leave(batch, calf, "death", min(lost_on, on), cause=chance.choice(("scours", "coyotes", "cold")))
            continue
        calf.eid = play.next_eid()
        batch.put_on.append(PutOn(calf.id, "eid", calf.eid, worn_from=on))
        tell(batch, calf, "vaccination", on, product="clostridial 7-way", dose="2 mL", withdrawal_days=21)
        if calf.kind == "bull" and chance.random() < 0.94:
            tell(batch, calf, "castration", on, method="knife")
            calf.kind = "steer"


def _summer(play: Play, season: Season) -> None:
    """Dry cows go, a few animals die, are treated, go missing and are found; a few tags are lost."""
    batch, chance = play.begin(f"Summer {season.year}"), play.chance
    dry = [one for one in play.here("cow") if one.calf is None or not one.calf.is_here]
    for cow in dry[: len(dry) // 2]:
        leave(batch, cow, "sale", season.summer, buyer="sale barn")
    cows = play.here("cow")
    for cow in chance.sample(cows, 4):
        leave(batch, cow, "death", _later(chance, season.summer, 90), cause=chance.choice(CAUSES))
    gone_on, seen_on = season.summer + timedelta(days=20), season.summer + timedelta(days=61)
    *strays, lost = chance.sample(play.here("cow"), 3)
    leave(batch, lost, "missing", gone_on)
    for cow in strays:
        tell(batch, cow, "missing", gone_on)
        tell(batch, cow, "found", seen_on, note="came in with the neighbor's cows")
        batch.joins.append(Join(cow.id, play.places[cow.group], seen_on))
    for one in chance.sample(play.here("cow", "heifer", "steer"), 26):
        treat(play, one, _later(chance, season.summer, 80))
    for one in chance.sample(play.here("cow"), 6):
        new = play.next_eid()
        play.pieces[-1].retags.append((one, new, season.summer + timedelta(days=95), "lost"))
        one.old_eid, one.eid = one.eid, new


def _later(chance: Random, day: date, most: int) -> date:
    return day + timedelta(days=chance.randrange(1, most))


def treat(play: Play, one: Head, on: date, *, ailment: int | None = None) -> None:
    chosen = play.chance.randrange(len(AILMENTS)) if ailment is None else ailment
    condition, product, dose, route, days = AILMENTS[chosen]
    tell(
        play.pieces[-1].batch,
        one,
        "treatment",
        on,
        product=product,
        dose=dose,
        route=route,
        condition=condition,
        withdrawal_days=days,
    )
