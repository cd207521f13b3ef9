"""Plots: what the script is given, what stands in the table, and the pages that have one."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from herd.office.plots import Plot, Series, boxes
from herd.office.today import today_of
from herd.registry.models import Animal
from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from herd.reports.companions import weighed_beside
from herd.reports.statement import head_by_day, statement_of
from herd.reports.weightspread import weights_by_group
from herd.values.spread import spread_of
from tests.cast import entry, register, vid_tag
from tests.office.test_by_keyboard import open_page

DAY = date(2025, 10, 1)


def plot(places, values):
    return Plot("one", "One", "One plot.", places, [Series("a", values)], "lb", ("Day", "a"), ())


def weigh(outfit, animal, pounds, on=DAY, **data):
    said = {"weight": str(pounds), "unit": "lb", **data}
    events.record(
        entry=entry(outfit), events=[NewEvent(animal, "weight", on, said, weight_ng=pounds * 453_592_370_000)]
    )


def text(answer):
    return " ".join(answer.content.decode().split())


def test_a_plot_of_days_puts_each_at_its_noon():
    data = plot([date(1970, 1, 2), date(1970, 1, 3)], [Decimal("1.23456"), None]).data
    assert (data["axis"], data["places"], data["series"][0]["values"]) == ("day", [129_600, 216_000], [1.235, None])


@pytest.mark.parametrize(("places", "is_drawn"), [([], False), ([DAY], False), ([DAY, DAY], True), (["x"], True)])
def test_one_day_alone_is_not_drawn_but_one_name_is(places, is_drawn):
    assert plot(places, [1] * len(places)).is_drawn is is_drawn


def test_a_spread_has_the_quarters_of_the_seventh_definition():
    # numpy.quantile([1, 2, 3, 4], [.25, .5, .75]) gives 1.75, 2.5, 3.25.
    found = spread_of([Fraction(one) for one in (4, 2, 1, 3)])
    assert (found.low, found.lower, found.middle, found.upper, found.high) == (1, 1.75, 2.5, 3.25, 4)
    assert spread_of([Fraction(7)]).lower == 7
    with pytest.raises(ValueError, match="nothing"):
        spread_of([])


def test_boxes_have_a_number_before_each_name_in_their_table():
    made = boxes("b", "B", "Says.", {"Mill Trap": spread_of([Fraction(10), Fraction(20)])}, "lb")
    assert made.rows == [["1 Mill Trap", 2, 10, Decimal("12.5"), 15, Decimal("17.5"), 20]]
    assert [one["values"] for one in made.data["series"]] == [[10], [12.5], [15], [17.5], [20]]


@pytest.fixture
def pen(cast):
    """Five heifers of one age in a group."""
    place = groups.open_group(entry=entry(cast.kettle_bench), name="Heifer Lot")
    facts = {"animal_class": "heifer", "born_on": date(2025, 3, 1), "born_precision": "day"}
    return [
        register(cast.kettle_bench, vid_tag(str(700 + one)), group_id=place, on=date(2025, 4, 1), **facts)
        for one in range(5)
    ]


def beside(outfit, animal_id):
    animal = Animal.objects.get(pk=animal_id)
    return weighed_beside(outfit, animal, list(animal.memberships.all()), [DAY])


def test_an_animal_is_seen_against_the_others_of_its_group_that_day(cast, pen):
    for animal, pounds in zip(pen, (700, 500, 520, 540, 560), strict=True):
        weigh(cast.kettle_bench, animal, pounds)
    found = beside(cast.kettle_bench, pen[0])[DAY]
    assert (found.group.name, found.spread.head, found.spread.middle) == ("Heifer Lot", 4, 530)


def test_too_few_others_and_others_of_another_age_sex_or_group_make_no_comparison(cast, pen):
    outfit, group = cast.kettle_bench, Animal.objects.get(pk=pen[0]).group_id
    weigh(outfit, pen[0], 700)
    old = [register(outfit, group_id=group, animal_class="cow", born_on=date(2019, 3, 1)) for _ in range(3)]
    steers = [register(outfit, group_id=group, animal_class="steer", born_on=date(2025, 3, 1)) for _ in range(3)]
    loose = [register(outfit, animal_class="heifer", born_on=date(2025, 3, 1)) for _ in range(3)]
    for one in (*old, *steers, *loose, *pen[1:3]):
        weigh(outfit, one, 600)
    assert beside(outfit, pen[0]) == {}


def test_the_animal_page_names_the_middle_of_the_group_and_leads_to_its_head(ada_in, cast, pen):
    for animal, pounds in zip(pen, (700, 500, 520, 540, 560), strict=True):
        weigh(cast.kettle_bench, animal, pounds)
        weigh(cast.kettle_bench, animal, pounds + 90, DAY + timedelta(days=60))
    page = text(ada_in.get(reverse("office:animal", args=[pen[0]])))
    assert "Middle of its group" in page
    assert "530.0" in page
    assert "4 others of Heifer Lot" in page


def test_weights_of_a_group_leave_out_births_and_say_who_was_not_weighed(cast, pen):
    outfit = cast.kettle_bench
    weigh(outfit, pen[0], 500)
    weigh(outfit, pen[0], 540, DAY + timedelta(days=9))
    weigh(outfit, pen[1], 80, purpose="birth")
    [found] = weights_by_group(outfit, DAY - timedelta(days=300), DAY + timedelta(days=30))
    assert [weight for _, weight in found.weights.values()] == [540]
    assert (len(found.members), len(found.not_weighed)) == (5, 4)


def test_the_page_of_weights_leads_from_each_figure_to_its_head(ada_in, cast, pen):
    for animal, pounds in zip(pen, (500, 520, 540), strict=False):
        weigh(cast.kettle_bench, animal, pounds)
    asked = {"since": "2025-01-01", "until": "2025-12-31"}
    page = ada_in.get(reverse("office:report-weights"), asked)
    assert "spread-plot" in text(page)
    [(_, figures, weighed, without)] = page.context["rows"]
    assert [str(one) for one in figures] == ["500.0", "510.0", "520.0", "530.0", "540.0"]
    for question, head in ((weighed, 3), (without, 2)):
        behind = ada_in.get(f"{reverse('office:report-weights-animals')}?{question}")
        assert behind.context["page"].total == head


def test_another_outfits_group_and_an_unknown_figure_are_not_found(ada_in, cast, pen):
    far = groups.open_group(entry=entry(cast.far_rim), name="Rim")
    group = Animal.objects.get(pk=pen[0]).group_id
    for asked in ({"group": far, "what": "weighed"}, {"group": group, "what": "none such"}):
        assert ada_in.get(reverse("office:report-weights-animals"), asked).status_code == 404


@pytest.mark.parametrize("way", ["csv", "xlsx", "pdf", "print"])
def test_weights_by_group_leave_in_each_way(ada_in, pen, way):
    weighed = {"as": way, "what": "weighed", "group": Animal.objects.get(pk=pen[0]).group_id}
    for name, asked in (("office:report-weights", {"as": way}), ("office:report-weights-animals", weighed)):
        assert ada_in.get(reverse(name), asked).status_code == 200


def test_the_head_by_day_ends_where_the_statement_ends(cast, pen):
    outfit = cast.kettle_bench
    events.record(entry=entry(outfit), events=[NewEvent(pen[0], "sale", date(2025, 9, 1), {})])
    statement = statement_of(outfit, date(2025, 1, 1), date(2025, 12, 31))
    head = head_by_day(statement)
    assert [day.isoformat() for day in head] == ["2024-12-31", "2025-04-01", "2025-09-01"]
    assert [one.total() for one in head.values()] == [0, 5, 4]
    closing = {name: flow.closing for name, flow in statement.by_class.items() if flow.closing}
    assert +head[date(2025, 9, 1)] == closing


def test_the_statement_draws_head_and_says_first_and_last(ada_in, cast, pen):
    today = today_of(cast.kettle_bench)
    page = text(ada_in.get(reverse("office:report-head"), {"since": "2025-01-01", "until": today.isoformat()}))
    assert "0 before, 5 at the end" in page
    assert 'data-plot="head"' in page


def test_calves_by_day_lead_to_their_dams(ada_in, cast):
    outfit = cast.kettle_bench
    for on in (date(2026, 3, 1), date(2026, 3, 1), date(2026, 3, 4)):
        events.record(entry=entry(outfit), events=[NewEvent(register(outfit), "calving", on, {"outcome": "live"})])
    asked = {"since": "2026-01-01", "until": "2026-06-30"}
    plotted = ada_in.get(reverse("office:report-calving"), asked).context["plot"]
    assert plotted.series[0].values == [2, 0, 0, 1]
    address = plotted.rows[0][1].address
    assert ada_in.get(address).context["page"].total == 2


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_ten_thousand_points_are_drawn_quickly_and_read_by_key(browser, live_server, client, cast, herd):
    page = open_page(browser, live_server, client, cast.ada)
    page.goto(reverse("office:report-head"))
    page.locator("#head-plot canvas").wait_for()
    page.locator("#head-plot").focus()
    page.keyboard.press("ArrowRight")
    assert "all head" in page.locator("#head-said").text_content()
    took = page.evaluate(
        """() => new Promise((done) => {
            const source = document.getElementById("head");
            const data = JSON.parse(source.textContent);
            data.places = Array.from({ length: 10000 }, (_, at) => at * 86400);
            data.series = [{ label: "a", shape: "line", values: data.places.map((_, at) => at % 500) }];
            source.textContent = JSON.stringify(data);
            document.querySelector("#head-plot").replaceChildren();
            const script = document.createElement("script");
            script.src = document.querySelector("script[src*='office/plots']").src;
            const began = performance.now();
            script.onload = () => requestAnimationFrame(() => done(performance.now() - began));
            document.body.append(script);
        })"""
    )
    assert page.locator("#head-plot canvas").count() == 1
    assert took < 2_000
    assert page.complaints == []
