"""The females of an exposure followed to weaning: who stays in the divisor, and what is not known."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from herd.registry.services import events, groups, runs
from herd.registry.services.batch import NewEvent
from herd.reports.breeding import Exposure, rates_of
from herd.values.mass import Weight, WeightUnit
from herd.values.reproduction import measures, weight_weaned_per_exposed
from tests.cast import entry, register

DAY = timedelta(days=1)
IN, OUT = date(2024, 5, 20), date(2024, 7, 22)
CHECKED, BORN, WEANED = date(2024, 10, 1), date(2025, 3, 10), date(2025, 10, 1)
ASKED = Exposure(IN, OUT, date(2025, 11, 1))


def record(outfit, animal, kind, on, **data):
    events.record(entry=entry(outfit), events=[NewEvent(animal, kind, on, data)])


def check(outfit, animal, result):
    record(outfit, animal, "pregnancy_check", CHECKED, result=result)


def calve(outfit, cow, *, is_alive=True):
    runs.register_births(entry=entry(outfit), births=[runs.Birth(cow, BORN, is_alive=is_alive)])
    return rates_of(outfit, ASKED).behind["no_word"][-1].animal_id if is_alive else None


def wean(outfit, calf, pounds):
    weight = Weight(Decimal(pounds), WeightUnit.LB)
    data = {"weight": str(pounds), "unit": "lb", "purpose": "weaning"}
    one = NewEvent(calf, "weight", WEANED, data, weight_ng=weight.nanograms)
    events.record(entry=entry(outfit), events=[one])


def counts(rates):
    return {name: len(some) for name, some in rates.behind.items() if some}


def test_the_divisor_is_adjusted_as_published(kettle_bench):
    """Less those that left before calving but not those found open and sold, with bred ones bought: University of
    Nebraska-Lincoln, Rasby and Meyer 2023, after Beef Improvement Federation guidelines."""
    stays, dead, cull = (register(kettle_bench) for _ in range(3))
    record(kettle_bench, dead, "death", date(2024, 12, 1))
    check(kettle_bench, cull, "open")
    record(kettle_bench, cull, "sale", date(2024, 11, 1))
    bought = register(kettle_bench, on=date(2024, 12, 1))
    record(kettle_bench, bought, "purchase", date(2024, 12, 1))
    calve(kettle_bench, bought)
    late = register(kettle_bench, on=date(2024, 12, 1))
    rates = rates_of(kettle_bench, ASKED)
    assert {one.animal_id for one in rates.behind["exposed"]} == {stays, dead, cull}
    assert [one.animal_id for one in rates.behind["left"]] == [dead]
    assert [one.animal_id for one in rates.behind["bought"]] == [bought]
    assert {one.animal_id for one in rates.behind["counted"]} == {stays, cull, bought}
    assert late not in {one.animal_id for one in rates.behind["counted"]}
    assert rates.cohort.adjusted_exposed == 3


def test_the_rates_follow_the_calves_to_weaning(kettle_bench):
    """Ten exposed, nine found pregnant, eight calved of which one dead, six weaned at 500 lb: counted by hand, with
    the divisors of University of Nebraska-Lincoln Extension, Cedar County, part 2."""
    cows = [register(kettle_bench) for _ in range(10)]
    for cow in cows[:9]:
        check(kettle_bench, cow, "pregnant")
    check(kettle_bench, cows[9], "open")
    calves = [calve(kettle_bench, cow) for cow in cows[:7]]
    calve(kettle_bench, cows[7], is_alive=False)
    record(kettle_bench, calves[0], "death", BORN + DAY)
    for calf in calves[1:]:
        wean(kettle_bench, calf, 500)
    rates = rates_of(kettle_bench, ASKED)
    found = {code: figure.value for code, figure in measures(rates.cohort).items()}
    assert found == {
        "pregnancy": 90,
        "pregnancy_loss": Fraction(100, 9),
        "calving": 80,
        "live_calving": 70,
        "live_calving_of_pregnant": Fraction(700, 9),
        "calf_loss_of_born": Fraction(100, 8),
        "calf_loss_of_exposed": 10,
        "weaning": 60,
        "weaning_of_live": Fraction(600, 7),
    }
    assert weight_weaned_per_exposed(rates.cohort).value == 300
    assert [one.animal_id for one in rates.behind["lost"]] == [cows[8]]
    assert rates.remarks == []


def test_what_is_not_known_is_said_and_not_guessed(kettle_bench):
    cow = register(kettle_bench)
    rates = rates_of(kettle_bench, ASKED)
    assert counts(rates) == {"exposed": 1, "counted": 1, "unknown": 1}
    assert measures(rates.cohort) == {}
    assert "1 were neither checked nor calved; no pregnancy is counted." in rates.remarks
    calf = calve(kettle_bench, cow)
    record(kettle_bench, calf, "weaning", WEANED)
    rates = rates_of(kettle_bench, ASKED)
    assert "pregnancy" not in measures(rates.cohort)
    assert measures(rates.cohort)["weaning"].value == 100
    assert weight_weaned_per_exposed(rates.cohort) is None
    assert [one.animal_id for one in rates.behind["unweighed"]] == [calf]


def test_while_calving_goes_on_nobody_has_lost_a_pregnancy(kettle_bench):
    check(kettle_bench, register(kettle_bench), "pregnant")
    rates = rates_of(kettle_bench, Exposure(IN, OUT, BORN))
    assert rates.cohort.pregnant_lost is None
    assert "Calving goes on" in rates.remarks[0]
    assert rates_of(kettle_bench, ASKED).cohort.pregnant_lost == 1


def test_a_cow_that_left_after_calving_stays_and_so_does_one_that_came_back(kettle_bench):
    calved, found = register(kettle_bench), register(kettle_bench)
    calve(kettle_bench, calved)
    record(kettle_bench, calved, "sale", BORN + DAY)
    record(kettle_bench, found, "missing", CHECKED)
    record(kettle_bench, found, "found", CHECKED + DAY)
    assert rates_of(kettle_bench, ASKED).cohort.left == 0


def test_only_the_group_as_it_was_when_the_bulls_went_in_is_counted(kettle_bench):
    group = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    inside = register(kettle_bench, group_id=group)
    register(kettle_bench)
    register(kettle_bench, on=OUT, group_id=group)
    rates = rates_of(kettle_bench, Exposure(IN, OUT, ASKED.until, group))
    assert [one.animal_id for one in rates.behind["exposed"]] == [inside]


def test_heifers_of_a_year_are_exposed_and_calves_and_bulls_are_not(kettle_bench):
    heifer = register(kettle_bench, animal_class="heifer", born_on=IN - 400 * DAY, born_precision="day")
    register(kettle_bench, animal_class="heifer", born_on=IN - 60 * DAY, born_precision="day")
    register(kettle_bench, animal_class="bull")
    assert [one.animal_id for one in rates_of(kettle_bench, ASKED).behind["exposed"]] == [heifer]


def test_another_outfits_are_left_out_and_a_larger_herd_asks_no_more(
    kettle_bench, far_rim, django_assert_max_num_queries
):
    register(far_rim)
    for _ in range(6):
        calve(kettle_bench, register(kettle_bench))
    with django_assert_max_num_queries(10):
        rates = rates_of(kettle_bench, ASKED)
    assert counts(rates)["calved"] == 6
    assert counts(rates)["exposed"] == 6
