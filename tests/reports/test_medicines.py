"""What was given, and which tube holds whose sample."""

from datetime import date

from herd.registry.services import events, lists
from herd.registry.services.batch import NewEvent
from herd.reports.medicines import ingredients, medicines_given, undated_medicines, vaccines_of
from herd.reports.samples import results_of, samples_taken
from tests.cast import entry, register

FIRST, LAST = date(2026, 1, 1), date(2026, 6, 30)


def record(outfit, animal, kind, on, **data):
    one = NewEvent(animal, kind, on, data)
    events.record(entry=entry(outfit), events=[one])
    return one.id


def test_the_log_has_both_days_and_nothing_before_or_after(kettle_bench, far_rim):
    cow = register(kettle_bench)
    wanted = [record(kettle_bench, cow, "treatment", day, product="A") for day in (FIRST, LAST)]
    record(kettle_bench, cow, "treatment", date(2025, 12, 31), product="A")
    record(kettle_bench, cow, "treatment", date(2026, 7, 1), product="A")
    record(far_rim, register(far_rim), "treatment", FIRST, product="A")
    assert [one.pk for one in medicines_given(kettle_bench, FIRST, LAST)] == wanted


def test_a_treatment_that_was_voided_is_not_in_the_log(kettle_bench):
    given = record(kettle_bench, register(kettle_bench), "treatment", FIRST, product="A")
    events.void(entry=entry(kettle_bench), event_id=given, reason="another animal")
    assert list(medicines_given(kettle_bench, FIRST, LAST)) == []


def test_treatments_alone_can_be_asked_for(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "vaccination", FIRST, product="V")
    assert list(medicines_given(kettle_bench, FIRST, LAST, ["treatment"])) == []
    assert len(medicines_given(kettle_bench, FIRST, LAST)) == 1


def test_what_has_no_day_is_counted_apart(kettle_bench):
    record(kettle_bench, register(kettle_bench), "treatment", None, product="A")
    assert list(medicines_given(kettle_bench, FIRST, LAST)) == []
    assert undated_medicines(kettle_bench) == 1


def test_the_ingredient_is_found_by_the_products_name_in_any_case(kettle_bench):
    facts = {"name": "Green Bottle", "ingredient": "oxytetracycline"}
    lists.add(entry=entry(kettle_bench), subject="product", facts=facts)
    assert ingredients(kettle_bench)["green bottle"] == "oxytetracycline"


def test_the_last_day_of_each_vaccine_counts_and_spellings_are_one(kettle_bench):
    cow, calf = register(kettle_bench), register(kettle_bench)
    record(kettle_bench, cow, "vaccination", date(2026, 2, 1), product="seven way")
    record(kettle_bench, cow, "vaccination", date(2026, 4, 1), product="Seven Way")
    record(kettle_bench, cow, "vaccination", date(2025, 4, 1), product="Old One")
    status = vaccines_of(kettle_bench, [cow, calf], FIRST, LAST)
    assert (status.products, status.last) == (["Seven Way"], {cow: {"Seven Way": date(2026, 4, 1)}})
    assert (status.had("Seven Way"), status.without) == (1, [calf])


def test_samples_come_by_tube_with_their_results(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "sample", FIRST, tube="KB-0002", tissue="ear")
    record(kettle_bench, cow, "sample", FIRST, tube="KB-0001")
    record(kettle_bench, cow, "sample_result", LAST, tube="KB-0001", test="BVD", result="negative")
    tubes = [one.tube for one in samples_taken(kettle_bench, FIRST, LAST)]
    assert tubes == ["KB-0001", "KB-0002"]
    assert [one.tube for one in samples_taken(kettle_bench, FIRST, LAST, has_result=False)] == ["KB-0002"]
    assert [one.data["result"] for one in results_of(kettle_bench, tubes)["KB-0001"]] == ["negative"]
