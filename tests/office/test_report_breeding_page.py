"""The pages of calving, of the rates of a season, and of bulls and their kin."""

import csv
import io
from datetime import date, timedelta
from itertools import product

import pytest
from django.urls import reverse

from herd.office.today import today_of
from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from tests.cast import entry, register, vid_tag

CALVING, RATES, KIN = "office:report-calving", "office:report-breeding", "office:report-breeding-kin"
KIN_ANIMALS = "office:report-breeding-kin-animals"
CALVING_ANIMALS, RATES_ANIMALS = "office:report-calving-animals", "office:report-breeding-animals"
SPRING = {"since": "2026-01-01", "until": "2026-06-30"}
BULLS = {"bulls_in": "2025-05-20", "bulls_out": "2025-07-22", "until": "2026-10-01"}
BORN = date(2026, 4, 1)


def text(answer):
    return " ".join(answer.content.decode().split())


def rows(answer):
    return list(csv.DictReader(io.StringIO(b"".join(answer).decode().removeprefix("\ufeff"))))


@pytest.fixture
def spring(cast, herd):
    """The herd of the office tests; her heifer calved, a third cow too, and the bull's half sister runs with him."""
    bench = cast.kettle_bench
    third = register(bench, vid_tag("31"), group_id=herd.group)
    for dam, on in ((herd.cow, BORN - timedelta(days=370)), (herd.heifer, BORN), (third, BORN + timedelta(days=30))):
        events.record(entry=entry(bench), events=[NewEvent(dam, "calving", on, {"outcome": "live"})])
    return herd


@pytest.fixture
def pens(cast, herd):
    """A pen with the sire of a heifer, and one with her and a stranger."""
    bench = cast.kettle_bench
    males, females = (groups.open_group(entry=entry(bench), name=name) for name in ("Bull Pen", "Heifer Pen"))
    sire = register(bench, vid_tag("7"), animal_class="bull", group_id=males)
    register(bench, vid_tag("70"), animal_class="heifer", group_id=females, sire_id=sire)
    register(bench, vid_tag("71"), animal_class="heifer", group_id=females)
    return {"bulls": str(males), "females": str(females)}


def test_the_season_names_its_first_day_and_spreads_its_calves(ada_in, spring):
    answer = ada_in.get(reverse(CALVING), SPRING)
    assert "day 1 is May 1, 2026, the day the third calf was born" in text(answer)
    assert [line.value for line in answer.context["periods"]] == [3, 0, 0, 0]
    assert "2 calves were born before the first period" in text(answer)
    interval = answer.context["figures"][0]
    assert (interval.name, interval.value) == ("Mean calving interval", 370)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"who": "first"}, "There are only 2 calves born"),
        ({"rule": "third_mature_cow"}, "There are only 1 cows of 3 years or more"),
        ({"rule": "breeding"}, "Say on which day breeding began"),
        ({"rule": "breeding", "bred": "2025-06-20"}, "day 1 is Mar 30, 2026, 283 days after breeding began"),
    ],
)
def test_the_rule_and_the_dams_can_be_chosen(ada_in, spring, more, said):
    assert said in text(ada_in.get(reverse(CALVING), SPRING | more))


def test_each_figure_of_the_season_opens_its_animals(ada_in, spring):
    page = ada_in.get(reverse(CALVING), SPRING)
    [interval, *late] = page.context["figures"]
    for line in (*page.context["periods"], *late):
        answer = ada_in.get(f"{reverse(CALVING_ANIMALS)}?{line.question}")
        assert len(answer.context["lines"]) == line.value
    assert "370 days." in text(ada_in.get(f"{reverse(CALVING_ANIMALS)}?{interval.question}"))


@pytest.mark.parametrize("what", ["period-9", "period-x", "sales"])
def test_a_figure_that_is_none_is_not_found(ada_in, spring, what):
    assert ada_in.get(reverse(CALVING_ANIMALS), SPRING | {"what": what}).status_code == 404
    assert ada_in.get(reverse(CALVING_ANIMALS), SPRING).status_code == 302


def test_the_rates_show_how_each_was_made_and_what_is_not_known(ada_in, spring):
    page = text(ada_in.get(reverse(RATES), BULLS))
    assert "calves born / adjusted exposed females x 100; calves born 3, adjusted exposed females 3" in page
    assert "found pregnant / adjusted exposed females: one of them is not known" in page
    assert "2 live calves are no animals of the record" in page


def test_each_count_opens_its_animals(ada_in, spring):
    [(_, counts), (_, rates), _] = ada_in.get(reverse(RATES), BULLS).context["tables"]
    assert counts[0].value == 3
    for line in counts:
        answer = ada_in.get(f"{reverse(RATES_ANIMALS)}?{line.question}")
        assert len(answer.context["lines"]) == line.value
    calving = next(line for line in rates if line.name == "Calving rate")
    behind = ada_in.get(f"{reverse(RATES_ANIMALS)}?{calving.question}")
    assert behind.context["heads"] == 3
    assert "Counted. Calved." in text(behind)
    assert "In the divisor. Exposed." in text(behind)
    assert ada_in.get(reverse(RATES_ANIMALS), BULLS | {"what": "none"}).status_code == 404
    assert ada_in.get(reverse(RATES_ANIMALS)).status_code == 302


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"bulls_out": "2025-01-01"}, "bulls_out"),
        ({"bulls_in": "2199-01-01"}, "bulls_in"),
        ({"until": "2199-01-01"}, "until"),
        ({"until": "2024-01-01"}, "until"),
        ({"bulls_in": ""}, "bulls_in"),
    ],
)
def test_days_that_can_not_be_are_said_beside_them(ada_in, spring, more, field):
    answer = ada_in.get(reverse(RATES), BULLS | more)
    assert field in answer.context["form"].errors
    assert "exposure" not in answer.context


def test_kin_come_first_and_the_bound_can_be_set(ada_in, pens):
    answer = ada_in.get(reverse(KIN), pens)
    assert [(line.inbreeding, line.is_close) for line in answer.context["lines"]] == [(25, True), (0, False)]
    assert "<strong>1</strong></a> of 2 pairs reach 6.25 %" in text(answer)
    closest = answer.context["lines"][0]
    behind = ada_in.get(reverse(KIN_ANIMALS), {**pens, "what": f"pair-{closest.key}"})
    assert "relationship of bull and female 50 %" in text(behind)
    assert [one.words for one, _ in behind.context["lines"]] == ["Is the bull, 1 generation above the female."]
    assert ada_in.get(reverse(KIN_ANIMALS), {**pens, "what": "pair-x"}).status_code == 404
    assert "None of 2 pairs reaches 30 %" in text(ada_in.get(reverse(KIN), pens | {"bound": "30"}))


def test_no_group_one_without_bulls_and_another_outfits_are_said(ada_in, cast, pens):
    assert "Choose the group that has the bulls" in text(ada_in.get(reverse(KIN)))
    assert "No bull is in the first group" in text(ada_in.get(reverse(KIN), pens | {"bulls": pens["females"]}))
    far = groups.open_group(entry=entry(cast.far_rim), name="Rim")
    assert "bulls" in ada_in.get(reverse(KIN), pens | {"bulls": str(far)}).context["form"].errors


def test_each_leaves_the_site_in_every_way(ada_in, spring, pens):
    pages = {
        CALVING: SPRING, CALVING_ANIMALS: {**SPRING, "what": "period-0"}, RATES: BULLS,
        RATES_ANIMALS: {**BULLS, "what": "exposed"}, KIN: pens,
    }  # fmt: skip
    for (name, asked), way in product(pages.items(), ["csv", "xlsx", "pdf", "print"]):
        answer = ada_in.get(reverse(name), {**asked, "as": way})
        assert answer.status_code == 200, (name, way)
        assert way == "print" or "attachment" in answer["Content-Disposition"]


def test_the_file_has_the_figures_of_the_page(ada_in, spring):
    lines = {line["Figure"]: line for line in rows(ada_in.get(reverse(CALVING), SPRING | {"as": "csv"}))}
    assert lines["Mean calving interval"]["Value"] == "370.0"
    assert "100.0 % of 3 calves born" in lines["Days 1 to 21, May 1, 2026 to May 21, 2026"]["How it was made"]


def test_an_empty_outfit_is_told_what_to_do(as_person, cast):
    eve = as_person(cast.eve)
    assert "No calving is recorded" in text(eve.get(reverse(CALVING)))
    assert "Take another day" in text(eve.get(reverse(RATES), BULLS))


def test_a_season_costs_few_queries(ada_in, cast, spring, django_assert_max_num_queries):
    for number in range(30):
        cow = register(cast.kettle_bench, vid_tag(str(500 + number)))
        events.record(entry=entry(cast.kettle_bench), events=[NewEvent(cow, "calving", BORN, {"outcome": "live"})])
    assert today_of(cast.kettle_bench) > BORN
    with django_assert_max_num_queries(10):
        ada_in.get(reverse(CALVING), SPRING)
    with django_assert_max_num_queries(16):
        ada_in.get(reverse(RATES), BULLS)
