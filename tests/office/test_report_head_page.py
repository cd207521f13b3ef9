"""The page of the statement of head: its figures, the animals behind each, and the ways out."""

import csv
import io
from datetime import date

import pytest
from django.urls import reverse

from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from tests.cast import entry, register, vid_tag
from tests.office.pdftext import texts_of

YEAR = {"since": "2026-01-01", "until": "2026-10-31"}
HEAD = "office:report-head"
ANIMALS = "office:report-head-animals"


@pytest.fixture
def year(cast, herd):
    """The herd of the office tests, and in 2026 the bull sold and the heifer calved."""
    bench = cast.kettle_bench
    events.record(entry=entry(bench), events=[NewEvent(herd.bull, "sale", date(2026, 5, 1), {"buyer": "a neighbor"})])
    events.record(entry=entry(bench), events=[NewEvent(herd.heifer, "calving", date(2026, 4, 9), {"outcome": "dead"})])
    return herd


def text(answer):
    return " ".join(answer.content.decode().split())


def test_the_figures_balance_and_it_is_said(ada_in, year):
    answer = ada_in.get(reverse(HEAD), YEAR)
    assert answer.context["reasons"] == ()
    assert "It balances" in text(answer)
    rows = {name: {label: figure for label, figure, _ in cells if figure} for name, cells in answer.context["rows"]}
    assert rows == {
        "cow": {"Opening": 1, "Class in": 1, "Closing": 2},
        "heifer": {"Opening": 1, "Class out": 1},
        "bull": {"Opening": 1, "Sold": 1},
        "calf": {"Born": 1, "Closing": 1},
    }


def test_each_figure_opens_its_animals(ada_in, year):
    page = ada_in.get(reverse(HEAD), YEAR)
    for _, cells in page.context["rows"]:
        for _, figure, question in cells:
            answer = ada_in.get(f"{reverse(ANIMALS)}?{question}")
            assert len(answer.context["lines"]) == figure


@pytest.mark.parametrize(
    ("way", "said"),
    [
        ("sales", "Sold to a neighbor."),
        ("class_in", "Calved: a dead calf."),
        ("births", "Born Apr 1, 2026."),
        ("opening", "417 yellow"),
    ],
)
def test_the_list_says_what_happened(ada_in, year, way, said):
    assert said in text(ada_in.get(reverse(ANIMALS), {**YEAR, "way": way}))


def test_a_figure_that_does_not_exist_is_not_found(ada_in, year):
    assert ada_in.get(reverse(ANIMALS), {**YEAR, "way": "eaten"}).status_code == 404
    assert ada_in.get(reverse(ANIMALS), {**YEAR, "way": "sales", "class": "horse"}).status_code == 404


def test_a_figure_of_nought_says_that_nobody_is_behind_it(ada_in, year):
    assert "Nobody stands behind" in text(ada_in.get(reverse(ANIMALS), {**YEAR, "way": "deaths"}))


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"since": "soon"}, "since"),
        ({"until": "2199-01-01"}, "until"),
        ({"since": "2026-05-01", "until": "2026-04-01"}, "until"),
        ({"since": "2199-01-01"}, "since"),
    ],
)
def test_days_that_can_not_be_used_are_said_beside_their_field(ada_in, year, asked, field):
    answer = ada_in.get(reverse(HEAD), asked)
    assert field in answer.context["form"].errors
    assert answer.status_code == 200


def test_an_empty_herd_says_what_to_do(ada_in):
    assert "No head in this time" in text(ada_in.get(reverse(HEAD)))


def test_it_leaves_with_its_sum_and_its_word_on_the_balance(ada_in, year):
    answer = ada_in.get(reverse(HEAD), {**YEAR, "as": "csv"})
    lines = list(csv.DictReader(io.StringIO(b"".join(answer).decode().removeprefix("\ufeff"))))
    assert lines[-1] | {"Class": "all", "Opening": "3", "Born": "1", "Sold": "1", "Closing": "3"} == lines[-1]
    drawn = texts_of(b"".join(ada_in.get(reverse(HEAD), {**YEAR, "as": "pdf"})))
    assert any("It balances." in one for one in drawn)


@pytest.mark.parametrize("way", ["csv", "xlsx", "pdf", "print"])
def test_the_list_behind_a_figure_leaves(ada_in, year, way):
    answer = ada_in.get(reverse(ANIMALS), {**YEAR, "way": "closing", "as": way})
    assert answer.status_code == 200


def test_a_page_of_the_list_takes_few_queries_however_long_it_is(ada_in, cast, django_assert_max_num_queries):
    for number in range(30):
        register(cast.kettle_bench, vid_tag(str(number)), on=date(2026, 2, 1))
    with django_assert_max_num_queries(14):
        assert len(ada_in.get(reverse(ANIMALS), {**YEAR, "way": "transfers_in"}).context["lines"]) == 30


def test_undoing_the_sale_brings_the_head_back(ada_in, cast, year):
    before = ada_in.get(reverse(HEAD), YEAR).context["statement"].sums.total
    sale = cast.kettle_bench.changesets.filter(changes__animal_id=year.bull).order_by("-id").first()
    ada_in.post(reverse("office:changeset-undo", args=[sale.pk]))
    after = ada_in.get(reverse(HEAD), YEAR).context["statement"].sums
    assert (before.sales, after.total.sales, after.is_balanced) == (1, 0, True)


def test_the_list_of_reports_says_what_each_answers(ada_in):
    page = text(ada_in.get(reverse("office:reports")))
    for name in ("head", "moving", "week", "treatments", "vaccines", "samples"):
        assert f'href="{reverse(f"office:report-{name}")}"' in page
