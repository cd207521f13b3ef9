"""The page of weaning and yearling weights: calf by calf, by group, by dam, and how each leaves."""

import csv
import html
import io
import re
from datetime import date, timedelta
from itertools import product
from uuid import uuid4

import pytest
from django.urls import reverse

from tests.cast import register, vid_tag
from tests.office.conftest import weigh

CALVES = "office:report-calves"
BORN = date(2025, 3, 1)
ASKED = {"since": "2025-01-01", "until": "2025-12-31", "standard": "70"}


def text(answer):
    return " ".join(answer.content.decode().split())


def rows(answer):
    return list(csv.DictReader(io.StringIO(b"".join(answer).decode().removeprefix("\ufeff"))))


@pytest.fixture
def crop(cast):
    """Heifers 1 and 2 of mature cows, weighed at 205 days, and 3 without a dam."""
    bench = cast.kettle_bench
    ids = []
    for number, figure in ((1, "550"), (2, "450"), (3, "500")):
        known = {"born_on": date(2019, 3, 1), "born_precision": "day"}
        dam = register(bench, vid_tag(f"C{number}"), on=date(2024, 1, 1), **known) if number < 3 else None
        born = {"born_on": BORN, "born_precision": "day"}
        ids.append(register(bench, vid_tag(str(number)), animal_class="heifer", on=BORN, dam_id=dam, **born))
        weigh(bench, ids[-1], BORN + timedelta(days=205), figure)
    return ids


def opened(client, asked, words):
    """What the one figure opens that is said aloud so."""
    found = re.findall(r'<a href="([^"]+)" aria-label="([^"]+)"', client.get(reverse(CALVES), asked).content.decode())
    [address] = [html.unescape(address) for address, said in found if html.unescape(said) == words]
    return client.get(address)


def test_each_calf_has_its_weights_its_ratio_or_the_reason(ada_in, crop):
    page = text(ada_in.get(reverse(CALVES), ASKED))
    assert 'aria-label="550 adjusted weaning weight of 1 yellow">550</a></strong>' in page
    assert "110.0" in page
    assert "No dam is entered" in page
    assert "standard birth weight was assumed" in page
    assert reverse("office:animal", args=[crop[0]]) in page


@pytest.mark.parametrize(
    ("show", "words", "said", "head"),
    [
        ("", "550 adjusted weaning weight of 1 yellow", "(weaning weight - birth weight) / age x 205", 3),
        ("", "110.0 weaning ratio of 1 yellow", "Kept alike up to weaning.", 3),
        ("", "2 head, With an adjusted weaning weight", "Adjusted weaning weight 450.0 lb, ratio 90.0.", 2),
        ("", "3 head, Calves", "No dam is entered", 3),
        ("groups", "500 mean of those kept alike", "sum of the adjusted weaning weights / head; 2 head", 2),
        ("dams", "110.0 mean ratio of the calves of C1 yellow", "plain mean of their ratios", 1),
    ],
)
def test_each_figure_opens_how_it_was_made_and_its_animals(ada_in, crop, show, words, said, head):
    answer = opened(ada_in, {**ASKED, "show": show}, words)
    assert said in text(answer)
    assert answer.context["heads"] == head


def test_a_figure_that_is_none_is_not_found(ada_in, crop):
    address = reverse("office:report-calves-animals")
    assert ada_in.get(address, {**ASKED, "what": f"calf-{uuid4()}"}).status_code == 404
    assert ada_in.get(address, ASKED).url == reverse(CALVES)


def test_the_files_say_the_same(ada_in, crop):
    lines = rows(ada_in.get(reverse(CALVES), {**ASKED, "as": "csv"}))
    assert [(one["Visual tag"], one["Adjusted weaning weight, lb"], one["Weaning ratio"]) for one in lines] == [
        ("1 yellow", "550", "110.0"), ("2 yellow", "450", "90.0"), ("3 yellow", "", ""),
    ]  # fmt: skip
    [group] = rows(ada_in.get(reverse(CALVES), {**ASKED, "show": "groups", "as": "csv"}))
    assert (group["Head"], group["Mean adjusted weight, lb"], group["Class"]) == ("2", "500", "heifer")
    dams = rows(ada_in.get(reverse(CALVES), {**ASKED, "show": "dams", "as": "csv"}))
    assert [(one["Visual tag"], one["Mean weaning ratio"]) for one in dams] == [
        ("C1 yellow", "110.0"), ("C2 yellow", "90.0"),
    ]  # fmt: skip


def test_every_list_leaves_in_every_way(ada_in, crop):
    for show, way in product(["", "groups", "dams"], ["csv", "xlsx", "pdf", "print"]):
        answer = ada_in.get(reverse(CALVES), {**ASKED, "show": show, "as": way})
        assert answer.status_code == 200, (show, way)


def test_an_unlikely_standard_weight_is_refused_beside_its_field(ada_in, crop):
    answer = ada_in.get(reverse(CALVES), {**ASKED, "standard": "800"})
    assert answer.context["form"].errors["standard"] == ["A newborn calf weighs 40 to 140 lb."]
    assert "Without a birth weight" in text(answer)


def test_no_calf_and_no_adjusted_weight_are_said(ada_in, cast, crop):
    empty = {"since": "2020-01-01", "until": "2020-12-31"}
    assert "No calf was born between" in text(ada_in.get(reverse(CALVES), empty))
    bare = {**ASKED, "standard": "", "show": "dams"}
    assert "No calf has an adjusted weight" in text(ada_in.get(reverse(CALVES), bare))


def test_the_page_asks_few_queries(ada_in, crop, django_assert_max_num_queries):
    with django_assert_max_num_queries(15):
        ada_in.get(reverse(CALVES), ASKED)
