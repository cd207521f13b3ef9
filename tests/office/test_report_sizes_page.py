"""The page of frame scores and scrotal circumferences, the ways in, and what reports say of own values."""

import csv
import io
from datetime import date, timedelta

import pytest
from django.urls import reverse

from herd.registry.models import Event
from herd.registry.services import policies
from tests.cast import entry, register, vid_tag

BORN = date(2025, 3, 1)
ASKED = {"since": "2026-01-01", "until": "2026-06-30"}
SIZES, BEHIND = "office:report-sizes", "/reports/sizes/animals/"


def text(answer):
    return " ".join(answer.content.decode().split())


def rows(answer):
    return list(csv.DictReader(io.StringIO(b"".join(answer).decode().removeprefix("\ufeff"))))


@pytest.fixture
def bulls(cast):
    born = {"born_on": BORN, "born_precision": "day", "breed": "Angus"}
    return [register(cast.kettle_bench, vid_tag(f"{one}"), animal_class="bull", on=BORN, **born) for one in (1, 2)]


def record(client, animal, kind, key, value, age=365):
    data = {"happened_on": f"{BORN + timedelta(days=age)}", key: value}
    return client.post(f"{reverse('office:event-new', args=[animal])}?kind={kind}", data)


def test_what_is_recorded_by_form_has_its_score_and_ratio(ada_in, bulls):
    record(ada_in, bulls[0], "hip_height", "height", "49")
    record(ada_in, bulls[1], "hip_height", "height", "129.54 cm")
    assert {one.data["height"] for one in Event.objects.filter(kind="hip_height")} == {"49 in", "129.54 cm"}
    page = text(ada_in.get(reverse(SIZES), ASKED))
    assert 'aria-label="5.0 frame score of 1 yellow">5.0</a></strong>' in page
    assert "6.0 frame score of 2 yellow" in page
    assert "152 to 639 days" in page
    assert "Every value it reckons with is the published one" in page
    made = text(ada_in.get(BEHIND, {**ASKED, "what": f"head-{bulls[0]}"}))
    assert "-11.548 + 0.4878 H" in made
    assert "Kept alike. Measured 129.54 cm." in made
    assert ada_in.get(BEHIND, {**ASKED, "what": "adjusted"}).context["heads"] == 2
    assert ada_in.get(BEHIND, {**ASKED, "what": "tides"}).status_code == 404
    assert ada_in.get(BEHIND).url == reverse(SIZES)
    [first, second] = rows(ada_in.get(reverse(SIZES), {**ASKED, "as": "csv"}))
    assert (first["Frame score"], first["At 365 days, in"], first["Ratio"]) == ("6.0", "51.0", "102.0")
    assert (second["As entered"], second["Ratio"]) == ("49 in", "98.0")


def test_circumferences_are_asked_for_and_own_factors_are_said(ada_in, cast, bulls):
    record(ada_in, bulls[0], "scrotal", "circumference", "34", 350)
    asked = {**ASKED, "kind": "scrotal"}
    assert "34.6" in text(ada_in.get(reverse(SIZES), asked))
    said = {"name": "scrotal_factors", "text": "Angus 0.032", "in_force_from": BORN, "today": date(2026, 6, 1)}
    policies.set_value(entry=entry(cast.kettle_bench), **said)
    page = text(ada_in.get(reverse(SIZES), asked))
    assert "34.5" in page
    assert "own values: growth of the scrotal circumference by breed: Angus 0.032 cm a day since Mar 1, 2025" in page


@pytest.mark.parametrize(
    ("kind", "key", "value", "sentence"),
    [
        ("hip_height", "height", "126", "126 in can’t be a hip height"),
        ("hip_height", "height", "tall", "is no hip height"),
        ("scrotal", "circumference", "", "needed"),
    ],
)
def test_what_can_not_be_a_size_is_refused_beside_it(ada_in, bulls, kind, key, value, sentence):
    answer = record(ada_in, bulls[0], kind, key, value)
    assert answer.status_code == 200
    assert sentence in text(answer)
    assert not Event.objects.filter(kind=kind).exists()


def test_nobody_measured_says_how_measures_come_in(ada_in, cast):
    assert "None was measured between" in text(ada_in.get(reverse(SIZES), ASKED))


@pytest.mark.parametrize(
    ("name", "query", "key", "value", "said"),
    [
        ("report-due", {"days": "90"}, "gestation", "285", "gestation: 285 days"),
        ("report-calving", ASKED, "calving_period", "28", "length of a calving period: 28 days"),
        ("report-breeding", {"bulls_in": "2025-06-20", "bulls_out": "2025-08-20"}, "gestation_limits", "250 to 310",
         "gestation outside is doubted: 250 to 310 days"),
        ("report-calves", {"since": "2025-01-01", "until": "2025-12-31"}, "birth_window", "60",
         "contemporaries are born within: 60 days"),
    ],
)  # fmt: skip
def test_each_report_and_its_file_say_which_values_are_own(ada_in, cast, herd, bulls, name, query, key, value, said):
    address = reverse(f"office:{name}")
    file = {**query, "as": "print"}
    assert "Every value it reckons with is the published one." in text(ada_in.get(address, file))
    policies.set_value(
        entry=entry(cast.kettle_bench), name=key, text=value, in_force_from=date(2025, 1, 1), today=date(2026, 6, 1)
    )
    if name != "report-due":
        assert said in text(ada_in.get(address, query))
    assert said in text(ada_in.get(address, file))
