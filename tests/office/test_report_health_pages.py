"""The treatment log, the vaccines of a group, and the samples for a laboratory."""

import csv
import io
from datetime import timedelta

import pytest
from django.urls import reverse

from herd.office.today import today_of
from herd.registry.services import events, groups, lists
from herd.registry.services.batch import NewEvent
from tests.cast import entry, register, vid_tag
from tests.office.conftest import EID, weigh

LOG, VACCINES, SAMPLES = "office:report-treatments", "office:report-vaccines", "office:report-samples"


def record(outfit, animal, kind, on, **data):
    events.record(entry=entry(outfit), events=[NewEvent(animal, kind, on, data)])


def text(answer):
    return " ".join(answer.content.decode().split())


def rows(answer):
    return list(csv.DictReader(io.StringIO(b"".join(answer).decode().removeprefix("\ufeff"))))


@pytest.fixture
def given(cast, herd):
    """A treatment of the cow with every field, a vaccination of the heifer, a sample of each, and one result."""
    bench = cast.kettle_bench
    day = today_of(bench) - timedelta(days=10)
    lists.add(entry=entry(bench), subject="product", facts={"name": "Green Bottle", "ingredient": "oxytetracycline"})
    said = {"lot": "L7", "dose": "20 mL", "route": "SC", "site": "left neck", "given_by": "Cal"}
    more = {"use": "extra-label", "veterinarian": "Dr. Q", "prescription": "RX 9", "withdrawal_days": 28}
    record(bench, herd.cow, "treatment", day, product="Green Bottle", condition="foot rot", **said, **more)
    record(bench, herd.heifer, "vaccination", day, product="Seven way")
    record(bench, herd.cow, "sample", day, tube="T2", tissue="ear notch", laboratory="State lab")
    record(bench, herd.heifer, "sample", day, tube="T1")
    record(bench, herd.cow, "sample_result", day, tube="T2", test="BVD", result="negative")
    return day


def test_the_log_has_every_field_that_the_law_and_the_guidance_list(ada_in, given):
    """21 CFR 530.5 and Washington State University, "Are your treatment records FDA ready?"."""
    [row] = [one for one in rows(ada_in.get(reverse(LOG), {"as": "csv"})) if one["What"] == "treatment"]
    wanted = {
        "Given on": str(given), "Visual tag": "417 yellow", "EID": f"'{EID}", "Product": "Green Bottle",
        "Active ingredient": "oxytetracycline", "Lot": "L7", "Condition": "foot rot", "Dose": "20 mL", "Route": "SC",
        "Site": "left neck", "Use": "other than the label", "Meat withdrawal, days": "28", "Given by": "Cal",
        "Veterinarian": "Dr. Q", "Prescription": "RX 9",
    }  # fmt: skip
    assert row | wanted == row
    assert row["Free"].startswith("free from")


def test_the_page_of_the_log_says_what_has_no_withdrawal_days(ada_in, given):
    page = text(ada_in.get(reverse(LOG)))
    assert "Green Bottle" in page
    assert "not entered" in page
    assert "The label and the veterinarian decide" in page


def test_the_log_is_narrowed_to_a_kind_and_a_product(ada_in, given):
    assert [one.event.kind for one in ada_in.get(reverse(LOG), {"kind": "vaccination"}).context["lines"]] == [
        "vaccination"
    ]
    assert len(ada_in.get(reverse(LOG), {"product": "green"}).context["lines"]) == 1
    assert "Nothing was given in this time" in text(ada_in.get(reverse(LOG), {"product": "none such"}))


def test_the_log_goes_on_over_pages(ada_in, cast, herd, django_assert_max_num_queries):
    day = today_of(cast.kettle_bench)
    some = [NewEvent(herd.cow, "treatment", day, {"product": f"P{one}"}) for one in range(205)]
    events.record(entry=entry(cast.kettle_bench), events=some)
    with django_assert_max_num_queries(10):
        first = ada_in.get(reverse(LOG))
    second = ada_in.get(f"{reverse(LOG)}{first.context['page'].next}")
    assert (len(first.context["lines"]), len(second.context["lines"])) == (200, 5)
    assert "201 to 205 of 205" in text(second)


def test_the_log_names_the_nearest_weight_and_calls_one_of_another_day_an_estimate(ada_in, cast, herd, given):
    bench = cast.kettle_bench
    weigh(bench, herd.heifer, given + timedelta(days=4), "812")
    weigh(bench, herd.heifer, given - timedelta(days=3), "800")
    record(bench, herd.bull, "treatment", given, product="P", body_weight="1900 lb by tape")
    by_product = {one["Product"]: one for one in rows(ada_in.get(reverse(LOG), {"as": "csv"}))}
    assert by_product["Seven way"]["Body weight"] == "800 lb, an estimate"
    assert by_product["Seven way"]["Weighed on"] == str(given - timedelta(days=3))
    assert (by_product["P"]["Body weight"], by_product["P"]["Weighed on"]) == ("1900 lb by tape", "")


def test_a_weight_of_the_same_day_is_no_estimate(ada_in, cast, herd, given):
    weigh(cast.kettle_bench, herd.heifer, given, "805")
    [line] = [one for one in rows(ada_in.get(reverse(LOG), {"as": "csv"})) if one["Product"] == "Seven way"]
    assert line["Body weight"] == "805 lb"


@pytest.mark.parametrize(
    ("expiry", "is_late"), [("2020-01-31", True), ("06/2019", True), ("2099-01-01", False), ("see box", False)]
)
def test_what_was_given_after_its_expiry_is_marked(ada_in, cast, herd, given, expiry, is_late):
    record(cast.kettle_bench, herd.bull, "treatment", given, product="Old", expiry=expiry)
    answer = ada_in.get(reverse(LOG), {"product": "Old"})
    assert [one.is_expired for one in answer.context["lines"]] == [is_late]
    assert ("given after its expiry" in text(answer)) is is_late


def test_the_log_says_what_became_of_the_animal(ada_in, cast, herd, given):
    record(cast.kettle_bench, herd.heifer, "death", given + timedelta(days=2))
    became = {one["Product"]: one["Became of it"] for one in rows(ada_in.get(reverse(LOG), {"as": "csv"}))}
    assert became["Green Bottle"] == "on hand"
    assert became["Seven way"].startswith("dead ")


def test_the_figures_of_vaccines_lead_to_their_animals(ada_in, herd, given):
    asked = {"group": str(herd.group)}
    [(name, had, lacks, who, who_not)] = ada_in.get(reverse(VACCINES), asked).context["sums"]
    assert (name, had, lacks) == ("Seven way", 1, 1)
    for question, animal in ((who, herd.heifer), (who_not, herd.cow)):
        shown = ada_in.get(f"{reverse(VACCINES)}{question}").context["lines"]
        assert [key for key, *_ in shown] == [animal]
    lines = rows(ada_in.get(reverse(VACCINES), {**asked, "lacks": "Seven way", "as": "csv"}))
    assert [one["Visual tag"] for one in lines] == ["417 yellow"]


def test_the_vaccines_of_a_group_say_who_had_none(ada_in, herd, given):
    page = text(ada_in.get(reverse(VACCINES), {"group": str(herd.group)}))
    assert "<strong>2 head</strong> in Upper Bench" in page
    assert "1 had it" in page
    assert "1 had not" in page
    lines = rows(ada_in.get(reverse(VACCINES), {"group": str(herd.group), "as": "csv"}))
    assert {one["Visual tag"]: one["Seven way"] for one in lines} == {"417 yellow": "", "12 yellow": str(given)}


def test_a_vaccine_before_the_day_asked_for_does_not_count(ada_in, herd, given):
    asked = {"group": str(herd.group), "since": str(given + timedelta(days=1))}
    assert ada_in.get(reverse(VACCINES), asked).context["without"] == 2


def test_no_group_an_empty_one_and_another_outfits_are_said(ada_in, cast, herd):
    assert "Choose a group" in text(ada_in.get(reverse(VACCINES)))
    empty = groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")
    assert "held nobody" in text(ada_in.get(reverse(VACCINES), {"group": str(empty)}))
    far = groups.open_group(entry=entry(cast.far_rim), name="Rim")
    answer = ada_in.get(reverse(VACCINES), {"group": str(far)})
    assert "group" in answer.context["form"].errors
    assert "Rim" not in text(answer).replace("Rim Pasture", "")


def test_samples_come_by_tube_and_those_that_wait_can_be_asked_for(ada_in, given):
    lines = rows(ada_in.get(reverse(SAMPLES), {"as": "csv"}))
    assert [(one["Tube"], one["Result"]) for one in lines] == [("T1", ""), ("T2", "BVD: negative")]
    assert lines[1] | {"EID": f"'{EID}", "Sex": "female", "Tissue": "ear notch", "Laboratory": "State lab"} == lines[1]
    waiting = ada_in.get(reverse(SAMPLES), {"result": "out"}).context["lines"]
    assert [one.event.tube for one in waiting] == ["T1"]


@pytest.mark.parametrize("name", [LOG, VACCINES, SAMPLES])
@pytest.mark.parametrize("way", ["csv", "xlsx", "pdf", "print"])
def test_each_leaves_the_site_whole(ada_in, herd, given, name, way):
    answer = ada_in.get(reverse(name), {"as": way, "group": str(herd.group)})
    assert answer.status_code == 200


@pytest.mark.parametrize("name", [LOG, SAMPLES])
def test_days_that_can_not_be_used_are_said(ada_in, given, name):
    assert "until" in ada_in.get(reverse(name), {"until": "2199-01-01"}).context["form"].errors


def test_another_outfit_sees_nothing_of_it(as_person, cast, given):
    eve = as_person(cast.eve)
    assert "Nothing was given" in text(eve.get(reverse(LOG)))
    assert "No such sample" in text(eve.get(reverse(SAMPLES)))
    register(cast.far_rim, vid_tag("1"))
