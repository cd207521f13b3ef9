"""Animals that are to go somewhere: the verdict on each, by 9 CFR part 86 and by what the record knows."""

from datetime import date, timedelta

import pytest

from herd.registry.models import TagWearing
from herd.registry.services import events
from herd.registry.services.batch import Batch, NewEvent, TakeOff
from herd.registry.services.writer import write
from herd.reports.journeys import Level, Plan, judge, sex_of
from herd.reports.lastweights import last_weights
from herd.values.movementrules import Journey, Need
from tests.cast import eid_tag, entry, register, vid_tag
from tests.office.conftest import weigh

ON = date(2026, 6, 1)
OFFICIAL, MAKERS, METAL = "840270000000417", "982000123456789", "35ABC1234"
ORDINARY, SLAUGHTER = Plan(Journey.ORDINARY, ON), Plan(Journey.SLAUGHTER, ON)


def metal_tag(number=METAL):
    return {"kind": "nues", "number": number}


def verdict(outfit, animal, plan=ORDINARY):
    [one] = judge(outfit, [animal], plan)
    return one


def born(on):
    return {"born_on": on, "born_precision": "day"}


def test_a_cow_with_an_official_tag_is_ready(kettle_bench):
    cow = register(kettle_bench, eid_tag(OFFICIAL), vid_tag("417"), **born(date(2020, 4, 1)))
    one = verdict(kettle_bench, cow)
    assert (one.level, one.official, one.name, one.need) == (Level.READY, [OFFICIAL], "417 yellow", Need.OLD_ENOUGH)


def test_one_that_needs_a_number_and_has_none_is_stopped_with_the_reason(kettle_bench):
    one = verdict(kettle_bench, register(kettle_bench, vid_tag("417"), **born(date(2020, 4, 1))))
    assert one.stops == ["Needs official identification (sexually intact and 18 months or over) and wears none."]


def test_a_young_steer_needs_none(kettle_bench):
    steer = register(kettle_bench, vid_tag("88"), animal_class="steer", on=date(2025, 6, 1), **born(date(2025, 6, 1)))
    assert verdict(kettle_bench, steer).level is Level.READY


def test_a_dairy_breed_in_the_record_or_a_tick_makes_it_dairy(kettle_bench):
    facts = born(date(2026, 5, 1))
    holstein = register(kettle_bench, animal_class="steer", on=date(2026, 5, 1), breed="Holstein", **facts)
    angus = register(kettle_bench, animal_class="steer", on=date(2026, 5, 1), breed="Angus", **facts)
    assert verdict(kettle_bench, holstein).need is Need.DAIRY
    assert verdict(kettle_bench, angus).need is None
    assert verdict(kettle_bench, angus, Plan(Journey.ORDINARY, ON, all_dairy=True)).need is Need.DAIRY


def test_without_a_birth_date_it_is_taken_as_old_enough_and_said(kettle_bench):
    heifer = register(kettle_bench, eid_tag(OFFICIAL), animal_class="heifer")
    one = verdict(kettle_bench, heifer)
    assert (one.level, one.need) == (Level.LOOK, Need.AGE_UNKNOWN)
    assert "No birth date" in one.looks[0]


def test_a_birth_known_to_the_year_is_taken_at_its_earliest(kettle_bench):
    bull = register(kettle_bench, animal_class="bull", born_on=date(2024, 6, 1), born_precision="year")
    assert verdict(kettle_bench, bull, Plan(Journey.ORDINARY, date(2025, 7, 1))).need is Need.OLD_ENOUGH


def test_metal_tags_count_by_the_day_they_went_on(kettle_bench):
    # Federal Register 2024-09717: official only where they were on before November 5, 2024.
    before = register(kettle_bench, metal_tag("35ABC0001"), on=date(2024, 11, 4))
    after = register(kettle_bench, metal_tag("35ABC0002"), on=date(2024, 11, 5))
    unknown = register(kettle_bench, metal_tag("35ABC0003"), on=None)
    assert verdict(kettle_bench, before).level is Level.READY
    assert "by eye and by a reader" in verdict(kettle_bench, after).looks[0]
    assert verdict(kettle_bench, after).stops
    assert "It isn't known when metal tag 35ABC0003 went on" in verdict(kettle_bench, unknown).looks[0]


def test_a_metal_tag_known_to_the_month_of_the_rule_is_not_given_the_benefit(kettle_bench):
    cow = register(kettle_bench, metal_tag(), on=date(2024, 11, 1))
    wearing = TagWearing.objects.get(animal=cow)
    TagWearing.objects.filter(pk=wearing.pk).update(worn_from_precision="month")
    assert verdict(kettle_bench, cow).official == []


def test_a_manufacturers_number_is_no_official_one(kettle_bench):
    one = verdict(kettle_bench, register(kettle_bench, eid_tag(MAKERS)))
    assert (one.official, one.level) == ([], Level.STOP)
    assert one.eid == MAKERS


def test_another_countrys_number_is_for_the_veterinarian_to_judge(kettle_bench):
    one = verdict(kettle_bench, register(kettle_bench, eid_tag("124000123456789")))
    assert one.level is Level.LOOK
    assert any("another country's number" in said for said in one.looks)


def test_two_official_numbers_are_both_told(kettle_bench):
    cow = register(kettle_bench, eid_tag(OFFICIAL), metal_tag())
    one = verdict(kettle_bench, cow)
    assert sorted(one.official) == [METAL, OFFICIAL]
    assert any(said.startswith("2 official numbers") for said in one.looks)


def test_a_tag_that_came_off_counts_no_more(kettle_bench):
    cow = register(kettle_bench, eid_tag(OFFICIAL))
    off = TakeOff(TagWearing.objects.get(animal=cow).pk, date(2025, 1, 1), "lost")
    write(entry(kettle_bench), Batch(take_off=[off]))
    assert verdict(kettle_bench, cow).level is Level.STOP


def treat(outfit, animal, on, **data):
    given = {"product": "A product", **data}
    events.record(entry=entry(outfit), events=[NewEvent(animal, "treatment", on, given)])


def test_withdrawal_stops_slaughter_and_warns_of_a_sale(kettle_bench):
    cow = register(kettle_bench, eid_tag(OFFICIAL))
    treat(kettle_bench, cow, ON - timedelta(days=3), withdrawal_days=10)
    assert "In withdrawal of A product, free from 2026-06-09." in verdict(kettle_bench, cow, SLAUGHTER).stops
    sale = verdict(kettle_bench, cow)
    assert (sale.level, sale.stops) == (Level.LOOK, [])
    later = Plan(Journey.SLAUGHTER, date(2026, 6, 9))
    assert verdict(kettle_bench, cow, later).stops == []


def test_a_medicine_without_days_is_not_known_to_be_free(kettle_bench):
    cow = register(kettle_bench, eid_tag(OFFICIAL))
    treat(kettle_bench, cow, ON - timedelta(days=90))
    assert "Not known to be free of A product" in verdict(kettle_bench, cow, SLAUGHTER).stops[0]


def test_straight_to_slaughter_a_backtag_stands_for_the_official_number(kettle_bench):
    bare = register(kettle_bench, vid_tag("1"))
    back = register(kettle_bench, {"kind": "back", "number": "35AB1234"})
    tagged = register(kettle_bench, eid_tag(OFFICIAL))
    one = verdict(kettle_bench, bare, SLAUGHTER)
    assert (one.level, one.looks[0].startswith("Neither a backtag nor an official number")) == (Level.LOOK, True)
    assert verdict(kettle_bench, tagged, SLAUGHTER).level is Level.READY
    assert verdict(kettle_bench, back, SLAUGHTER).level is Level.READY


def test_one_sold_is_not_on_hand(kettle_bench):
    cow = register(kettle_bench, eid_tag(OFFICIAL))
    events.record(entry=entry(kettle_bench), events=[NewEvent(cow, "sale", date(2026, 2, 1))])
    assert verdict(kettle_bench, cow).stops == ["Not on hand: sold since 2026-02-01."]


def test_inside_one_state_the_federal_rule_asks_for_nothing(kettle_bench):
    cow = register(kettle_bench, vid_tag("417"))
    assert verdict(kettle_bench, cow, Plan(Journey.ORDINARY, ON, crosses_states=False)).level is Level.READY


def test_another_outfits_animals_are_passed_over(kettle_bench, far_rim):
    assert list(judge(kettle_bench, [register(far_rim)], ORDINARY)) == []


def test_many_animals_take_as_few_queries_as_one(kettle_bench, django_assert_num_queries):
    herd = [register(kettle_bench, vid_tag(str(number))) for number in range(20)]
    with django_assert_num_queries(3):
        assert len(list(judge(kettle_bench, herd, ORDINARY))) == 20


@pytest.mark.parametrize(("word", "sex"), [("steer", "castrated male"), ("heifer", "female"), ("", "")])
def test_the_sex_as_a_certificate_asks_for_it(word, sex):
    assert sex_of(word) == sex


def test_the_last_weight_is_shrunk_as_published(kettle_bench):
    """600 lb less 6 per cent is 564 lb: Noble Foundation 1998, Managing Shrink."""
    steer, bare = register(kettle_bench), register(kettle_bench)
    weigh(kettle_bench, steer, date(2026, 4, 1), "500")
    weigh(kettle_bench, steer, date(2026, 5, 1), "600")
    weigh(kettle_bench, steer, date(2026, 7, 1), "700")
    found = last_weights(kettle_bench, [steer, bare], ON, 6)
    assert set(found) == {steer}
    assert (found[steer].weighed_on, found[steer].gross, found[steer].paid) == (date(2026, 5, 1), 600, 564)
