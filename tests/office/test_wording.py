"""Events in words, one sentence for each kind."""

from datetime import date
from uuid import UUID

import pytest

from herd.office.gains import gains_of, plot_of
from herd.office.wording import SENTENCES, animals_spoken_of, say_event
from herd.registry.models import Event
from herd.registry.queries.history import WeightPoint
from herd.values.eventkinds import EVENT_KINDS
from herd.values.mass import WeightUnit

CALF = "01900000-0000-7000-8000-000000000001"
NAMES = {CALF: "88 green"}
POUND = 453_592_370_000


def said(kind, **data):
    return say_event(Event(kind=kind, data=data), WeightUnit.LB, NAMES)


@pytest.mark.parametrize(
    ("kind", "data", "sentence"),
    [
        ("weight", {"weight": "612", "unit": "lb", "purpose": "weaning"}, "Weighed 612 lb, weaning weight."),
        ("weight", {"weight": "612", "unit": "lb", "purpose": "other"}, "Weighed 612 lb."),
        ("pregnancy_check", {"result": "pregnant", "days": 90, "method": "palpation"},
         "Checked pregnant, 90 days bred, by palpation."),
        ("pregnancy_check", {"result": "open"}, "Checked open."),
        ("pregnancy_check", {"result": "recheck"}, "To be checked again."),
        ("service", {"sire": CALF, "method": "AI"}, "Served by 88 green (AI)."),
        ("calving", {"calf": CALF, "outcome": "live", "ease": "1"}, "Calved: a live calf, 88 green, calving ease 1."),
        ("calving", {"calf": "01900000-0000-7000-8000-000000000009"}, "Calved: a calf, an animal."),
        ("calving", {"calf": "B204"}, "Calved: a calf, B204."),
        ("weaning", {}, "Weaned."),
        ("treatment", {"product": "Oxytetracycline", "condition": "foot rot", "dose": "25 mL", "route": "SC",
                       "site": "neck", "lot": "A7", "given_by": "Ada", "withdrawal_days": 28},
         "Treated with Oxytetracycline for foot rot, dose 25 mL, SC, at the neck, lot A7, given by Ada, "
         "meat withdrawal 28 days."),
        ("vaccination", {"product": "Clostridial", "withdrawal_days": 0},
         "Vaccinated with Clostridial, meat withdrawal 0 days."),
        ("sample", {"tube": "TB1", "tissue": "ear notch"}, "Sampled, tube TB1, ear notch."),
        ("sample_result", {"tube": "TB1", "test": "BVD", "result": "negative"},
         "Sample result (BVD of tube TB1): negative."),
        ("body_condition", {"score": "5.5"}, "Body condition 5.5."),
        ("movement", {"to": "Mill Trap"}, "Moved to Mill Trap."),
        ("sale", {"buyer": "the sale barn", "price": "$1.80/lb"}, "Sold to the sale barn for $1.80/lb."),
        ("purchase", {}, "Bought."),
        ("transfer", {"to": "a lease"}, "Transferred out to a lease."),
        ("death", {"cause": "bloat"}, "Died: bloat."),
        ("missing", {}, "Went missing."),
        ("found", {}, "Found again."),
        ("castration", {"method": "band"}, "Castrated (band)."),
        ("note", {"note": "Kicks."}, "Note: Kicks."),
        ("weaning", {"note": "Late"}, "Weaned. Note: Late."),
        ("weaning", {"note": ""}, "Weaned."),
    ],
)  # fmt: skip
def test_an_event_reads_as_a_sentence(kind, data, sentence):
    assert said(kind, **data) == sentence


def test_every_kind_has_a_sentence_of_its_own():
    assert set(SENTENCES) | {"weight"} == set(EVENT_KINDS)


def test_the_animals_that_events_speak_of_are_found():
    calving = Event(kind="calving", data={"calf": CALF})
    service = Event(kind="service", data={"sire": "a neighbour's bull"})
    assert animals_spoken_of([calving, service]) == {UUID(CALF)}


def points(*weighings):
    return [
        WeightPoint(day, pounds * POUND, Event(kind="weight", data={"weight": str(pounds), "unit": "lb"}))
        for day, pounds in weighings
    ]


def test_gain_is_weight_by_days_between_two_weighings():
    # 4-H teaching sheet (formsbank 18793): 600 lb on Jan 1 to 1,200 lb on Sep 10 are 252 days, 2.4 lb a day;
    # 600 / 252 = 2.38 to two places.
    first, second = gains_of(points((date(2025, 1, 1), 600), (date(2025, 9, 10), 1200)), WeightUnit.LB)
    assert (first.gain, first.days) == (None, None)
    assert (str(second.gain), second.days, second.is_short) == ("2.38", 252, False)


def test_gain_is_said_in_the_outfits_unit():
    kilograms = gains_of(points((date(2025, 1, 1), 600), (date(2025, 9, 10), 1200)), WeightUnit.KG)[1]
    # 600 lb x 0.45359237 / 252 days, computed.
    assert str(kilograms.gain) == "1.08"


def test_a_loss_is_below_nothing():
    assert str(gains_of(points((date(2025, 1, 1), 1200), (date(2025, 4, 11), 1150)), WeightUnit.LB)[1].gain) == "-0.50"


def test_two_weighings_of_one_day_have_no_gain():
    second = gains_of(points((date(2025, 1, 1), 600), (date(2025, 1, 1), 604)), WeightUnit.LB)[1]
    assert (second.gain, second.days) == (None, 0)


@pytest.mark.parametrize(("day", "is_short"), [(date(2025, 3, 1), True), (date(2025, 3, 2), False)])
def test_a_span_under_60_days_says_little(day, is_short):
    # Watson et al. 2013, J. Anim. Sci. 91:5507: fill alone moves weights of consecutive days by -39 to +44 kg.
    assert gains_of(points((date(2025, 1, 1), 600), (day, 700)), WeightUnit.LB)[1].is_short is is_short


def test_the_plot_has_a_second_and_a_figure_for_each_weighing():
    # 20,089 days from 1970-01-01 to 2025-01-01, counted by the calendar; noon is 43,200 seconds on.
    data = plot_of(points((date(2025, 1, 1), 600)), {}, WeightUnit.LB).data
    assert (data["axis"], data["unit"], data["places"]) == ("day", "lb", [20_089 * 86_400 + 43_200])
    assert [one["values"] for one in data["series"]] == [[600.0]]
