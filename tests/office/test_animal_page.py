"""The animal page: what is known of one head, and where each fact came from."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from herd.intake.models import DayState, ProcessingDay
from herd.ledger.entry import Entry, Source
from herd.ledger.models import ChangesetKind
from herd.registry.models import TagWearing
from herd.registry.services import animals, events, tags
from herd.registry.services.batch import Batch, NewAnimal, NewEvent, PutOn
from herd.registry.services.writer import write
from herd.values.mass import WeightUnit
from tests.cast import entry
from tests.office.conftest import weigh


def page_of(client, animal_id):
    return client.get(reverse("office:animal", args=[animal_id])).content.decode()


def text_of(client, animal_id):
    """The page with its spaces run together, for sentences that templates break over lines."""
    return " ".join(page_of(client, animal_id).split())


def test_it_names_the_animal_by_its_visual_tag_and_groups_the_eid(ada_in, herd):
    page = text_of(ada_in, herd.cow)
    assert "Visual tag" in page
    assert 'data-whole="840270000000417">840 270 000 000 417</span>' in page
    assert "in <a" in page


def test_an_animal_without_a_tag_goes_by_the_last_it_wore(ada_in, cast, herd):
    wearing = TagWearing.objects.get(animal=herd.bull)
    tags.take_off(entry=entry(cast.kettle_bench), wearing_id=wearing.pk, on=date(2025, 1, 2), ended="lost")
    page = text_of(ada_in, herd.bull)
    assert '<span class="muted">was</span>' in page
    assert "No tag on now." in page


def test_dam_sire_and_calves_lead_to_each_other(ada_in, herd):
    calf = page_of(ada_in, herd.calf)
    assert reverse("office:animal", args=[herd.cow]) in calf
    assert reverse("office:animal", args=[herd.bull]) in calf
    for parent in (herd.cow, herd.bull):
        assert reverse("office:animal", args=[herd.calf]) in page_of(ada_in, parent)


def test_facts_name_the_file_and_line_they_came_from_and_lead_to_the_day(ada_in, cast):
    bench = cast.kettle_bench
    day = ProcessingDay.objects.create(outfit=bench, name="List", worked_on=date(2026, 1, 1), state=DayState.APPLIED)
    source = Source("herd list.csv", 12)
    animal = NewAnimal({"entry_class": "cow", "coat": "black"}, source=source)
    tag = PutOn(animal.id, "vid", "700", worn_from=date(2026, 1, 1), source=source)
    by_day = Entry(bench, cast.ada, ChangesetKind.INTAKE, "List applied", day_id=day.pk)
    write(by_day, Batch(animals=[animal], put_on=[tag]))
    page = page_of(ada_in, animal.id)
    assert page.count(f'<a href="{reverse("office:day", args=[day.pk])}">herd list.csv, line 12</a>') >= 3


def test_a_corrected_fact_names_who_corrected_it_and_the_others_keep_their_source(ada_in, cast):
    bench = cast.kettle_bench
    animal = NewAnimal({"entry_class": "cow", "coat": "black", "breed": "AN"}, source=Source("herd list.csv", 12))
    write(Entry(bench, None, ChangesetKind.INTAKE, "List applied"), Batch(animals=[animal]))
    row = animals.Animal.objects.get(pk=animal.id)
    by_ben = Entry(bench, cast.ben, ChangesetKind.OFFICE, "Corrected")
    animals.correct(entry=by_ben, animal=row, facts={"coat": "red"}, reason="Seen in the pen")
    page = text_of(ada_in, animal.id)
    facts = page[page.index("Facts</h2>") : page.index("Tags</h2>")]
    assert "red <span" in facts
    assert "ben, " in facts
    assert "AN <span" in facts
    assert facts.count("herd list.csv, line 12") == 2
    assert "Reason: Seen in the pen" in page


def test_weights_stand_in_the_outfits_unit_beside_what_was_entered(ada_in, cast, herd):
    weigh(cast.kettle_bench, herd.cow, date(2025, 10, 1), "551.5", WeightUnit.KG)
    page = text_of(ada_in, herd.cow)
    # 551.5 kg / 0.45359237 kg (international pound, 1959) = 1,215.85 lb.
    assert "1,216 lb (entered as 551.5 kg)" in page
    assert "1,200 lb" in page
    # (1,215.85 - 1,200) lb over 365 days, computed.
    assert "0.04" in page
    assert '<script id="weights" type="application/json">' in page
    assert '"values": [1200.0, 1216.0]' in page


def test_a_single_weight_draws_no_plot(ada_in, herd):
    page = page_of(ada_in, herd.cow)
    assert "weights-plot" not in page
    assert "uPlot" not in page


def test_gains_over_short_spans_are_marked(ada_in, cast, herd):
    weigh(cast.kettle_bench, herd.cow, date(2024, 10, 20), "1230")
    page = text_of(ada_in, herd.cow)
    assert "a gain over less than 60 days says little" in page
    weigh(cast.kettle_bench, herd.heifer, date(2024, 1, 1), "600")
    weigh(cast.kettle_bench, herd.heifer, date(2024, 6, 1), "800")
    assert "Under 60 days" not in page_of(ada_in, herd.heifer)


@pytest.fixture
def today(cast):
    return timezone.now().astimezone(cast.kettle_bench.zone).date()


def treat(cast, animal, on, days, product="Oxytetracycline"):
    data = {"product": product, "withdrawal_days": days}
    one = NewEvent(animal, "treatment", on, data)
    events.record(entry=entry(cast.kettle_bench), events=[one])


def test_an_animal_in_withdrawal_says_until_when(ada_in, cast, herd, today):
    treat(cast, herd.cow, today, 28)
    treat(cast, herd.cow, today, 3, "Flunixin")
    page = text_of(ada_in, herd.cow)
    # Date-only rule of herd.values.withdrawal: free from the day after date + 28; the latest end counts.
    free = today + timedelta(days=29)
    assert "In withdrawal until the end of" in page
    assert f"free from {free:%b} {free.day}, {free.year}" in page
    assert "follow the label and the veterinarian" in page


def test_withdrawal_is_over_on_the_first_free_day(ada_in, cast, herd, today):
    treat(cast, herd.cow, today - timedelta(days=8), 7)
    assert "In withdrawal" not in page_of(ada_in, herd.cow)
    treat(cast, herd.heifer, today - timedelta(days=7), 7)
    assert "In withdrawal" in page_of(ada_in, herd.heifer)


def test_a_withdrawal_of_no_days_says_nothing(ada_in, cast, herd, today):
    treat(cast, herd.cow, today, 0)
    assert "In withdrawal" not in page_of(ada_in, herd.cow)


def test_a_note_is_never_taken_for_markup(ada_in, cast, herd):
    note = NewEvent(herd.cow, "note", date(2025, 1, 1), {"note": "</script><script>alert(1)</script>"})
    events.record(entry=entry(cast.kettle_bench), events=[note])
    assert "<script>alert" not in page_of(ada_in, herd.cow)


def test_its_queries_do_not_grow_with_its_events(ada_in, cast, herd, django_assert_max_num_queries):
    for week in range(30):
        weigh(cast.kettle_bench, herd.cow, date(2025, 1, 1) + timedelta(weeks=week), str(1_200 + week))
    with django_assert_max_num_queries(18):
        ada_in.get(reverse("office:animal", args=[herd.cow]))


def test_the_history_lists_every_change_and_pages(ada_in, cast, herd):
    for week in range(110):
        weigh(cast.kettle_bench, herd.cow, date(2023, 1, 1) + timedelta(weeks=week), str(1_200 + week))
    first = ada_in.get(reverse("office:animal-history", args=[herd.cow]))
    older = f"?before={first.context['older']}"
    second = ada_in.get(reverse("office:animal-history", args=[herd.cow]) + older)
    shown = [one.change.pk for one in (*first.context["changes"], *second.context["changes"])]
    assert len(shown) == len(set(shown)) == first.context["change_count"] > 110
    assert "Registered:" in second.content.decode()


def test_an_unknown_animal_answers_404(ada_in):
    assert ada_in.get(reverse("office:animal", args=[uuid4()])).status_code == 404
