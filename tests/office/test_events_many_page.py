"""The same event for many animals: who is picked, who is left out, one write that one undo takes back."""

from datetime import date

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.office.forms.events_rows import MOST_ROWS
from herd.office.selection import all_that_match
from herd.registry.models import Animal, Event
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from herd.registry.undo import undo
from tests.cast import eid_tag, entry, register, vid_tag

DAY = "2025-05-01"


def send(client, *animals, kind, step="write", **data):
    picked = ",".join(str(one) for one in animals)
    return client.post(
        reverse("office:events-many"), {"animals": picked, "kind": kind, "step": step, "happened_on": DAY, **data}
    )


def happen(outfit, animal, kind, on, **data):
    events.record(entry=entry(outfit), events=[NewEvent(animal, kind, on, data)])


def test_a_selection_arrives_with_its_number_of_head(ada_in, herd):
    page = ada_in.post(reverse("office:events-many"), {"animals": [str(herd.cow), str(herd.heifer)]})
    assert "<strong>2 head</strong> picked" in page.content.decode()
    assert reverse("office:animal", args=[herd.cow]) in page.content.decode()


def test_without_anybody_the_page_says_what_to_do(ada_in):
    assert "Give the animals’ numbers here" in ada_in.get(reverse("office:events-many")).content.decode()
    page = send(ada_in, kind="weaning", step="fill").content.decode()
    assert "Nobody is picked yet" in page


@pytest.mark.parametrize("kind", ["", "milking", "calving"])
def test_a_kind_that_can_not_be_the_same_for_many_is_asked_again(ada_in, herd, kind):
    page = send(ada_in, herd.cow, kind=kind)
    assert "Choose what is to be recorded." in page.content.decode()
    assert Event.objects.filter(happened_on=DAY).count() == 0


def test_typed_numbers_name_animals_and_the_rest_stays_visible_with_its_reason(ada_in, cast, herd):
    register(cast.kettle_bench, vid_tag("417", "blue"))
    register(cast.far_rim, vid_tag("900"))
    lines = ["840 270 000 000 012", "417 yellow", "417", "8.4027E+14", "900", "", "12"]
    page = send(ada_in, kind="weaning", step="fill", numbers="\n".join(lines))
    assert page.context["head"] == 2
    assert [(one.place, one.text) for one in page.context["unread"]] == [(3, "417"), (4, "8.4027E+14"), (5, "900")]
    text = page.content.decode()
    assert "2 animals answer to it; give the colour or the EID." in text
    assert "No animal of this outfit wears or wore it." in text


def test_a_thousand_typed_numbers_are_found_in_a_few_queries(ada_in, cast, herd, django_assert_max_num_queries):
    numbers = "\n".join([f"84027000000{one:04}" for one in range(1_000)])
    # Near misses are looked for among the first two hundred unknown numbers, in steps of eight hundred.
    with django_assert_max_num_queries(60):
        page = send(ada_in, kind="weaning", step="fill", numbers=numbers)
    # Of the range only the fixture's cow and heifer wear one.
    assert page.context["head"] == 2


def test_another_outfits_animals_are_passed_over(cast, as_person, herd):
    page = send(as_person(cast.eve), herd.cow, kind="weaning")
    assert "Nobody is picked yet" in page.content.decode()
    assert not Event.objects.filter(kind="weaning").exists()


def test_a_reader_records_nothing(cast, as_person, herd):
    assert send(as_person(cast.dot), herd.cow, kind="weaning").status_code == 403


def test_crew_may_record_for_many(cast, as_person, herd):
    assert send(as_person(cast.cal), herd.cow, kind="weaning").status_code == 302


def test_looking_it_over_writes_nothing(ada_in, herd):
    page = send(ada_in, herd.cow, herd.heifer, kind="weaning", step="look")
    assert "weaning of 2 head" in page.content.decode()
    assert not Event.objects.filter(kind="weaning").exists()


def test_one_write_is_one_changeset_and_one_undo_takes_it_back(ada_in, cast, herd):
    answer = send(ada_in, herd.cow, herd.heifer, kind="treatment", product="Longdraw", withdrawal_days="5")
    changeset = Changeset.objects.order_by("recorded_at").last()
    assert answer.url == reverse("office:changeset", args=[changeset.pk])
    assert changeset.title == "Recorded treatment of 2 head"
    assert [message.extra_tags for message in get_messages(answer.wsgi_request)] == [str(changeset.pk)]
    assert ada_in.get(answer.url).status_code == 200
    assert undo(entry(cast.kettle_bench), changeset).is_possible
    assert not Event.objects.of(cast.kettle_bench).filter(kind="treatment").exists()


def test_the_button_pressed_twice_records_once(ada_in, herd):
    token = str(send(ada_in, herd.cow, kind="weaning", step="fill").context["form"]["event_id"].value())
    for _ in range(2):
        assert send(ada_in, herd.cow, herd.heifer, kind="weaning", event_id=token).status_code == 302
    assert Event.objects.filter(kind="weaning").count() == 2


def test_who_can_not_have_had_it_is_named_and_left_out_only_on_a_word(ada_in, cast, herd):
    happen(cast.kettle_bench, herd.bull, "sale", date(2025, 4, 1))
    everyone = (herd.cow, herd.bull, herd.calf)
    page = send(ada_in, *everyone, kind="weaning")
    text = page.content.decode()
    assert "5 orange</a>: sold since 2025-04-01" in text
    assert "88 green</a>: born on 2026-04-01, later than 2025-05-01" in text
    assert not Event.objects.filter(kind="weaning").exists()
    answer = send(ada_in, *everyone, kind="weaning", leave_out="on", seen=page.context["draft"].seen)
    assert "of 1 head. 2 were left out." in " ".join(str(one) for one in get_messages(answer.wsgi_request))
    assert [one.animal_id for one in Event.objects.filter(kind="weaning")] == [herd.cow]


def test_the_word_to_leave_out_holds_only_for_those_who_were_shown(ada_in, cast, herd):
    happen(cast.kettle_bench, herd.bull, "sale", date(2025, 4, 1))
    seen = send(ada_in, herd.cow, herd.bull, kind="weaning", step="look").context["draft"].seen
    happen(cast.kettle_bench, herd.heifer, "death", date(2025, 4, 2))
    everyone = (herd.cow, herd.bull, herd.heifer)
    page = send(ada_in, *everyone, kind="weaning", leave_out="on", seen=seen)
    assert "12 yellow</a>: dead since 2025-04-02" in page.content.decode()
    assert not Event.objects.filter(kind="weaning").exists()


def test_what_happened_before_an_animal_was_sold_can_still_be_recorded(ada_in, cast, herd):
    happen(cast.kettle_bench, herd.bull, "sale", date(2025, 5, 1))
    assert send(ada_in, herd.bull, kind="castration").status_code == 302
    assert send(ada_in, herd.bull, kind="sale").status_code == 200


def test_only_who_is_gone_is_found_again(ada_in, cast, herd):
    happen(cast.kettle_bench, herd.bull, "missing", date(2025, 4, 1))
    page = send(ada_in, herd.cow, herd.bull, kind="found")
    assert "417 yellow</a>: on hand already" in page.content.decode()
    seen = page.context["draft"].seen
    assert send(ada_in, herd.cow, herd.bull, kind="found", leave_out="on", seen=seen).status_code == 302
    assert Animal.objects.get(pk=herd.bull).status == "on_hand"


def test_each_animal_has_its_own_weight_and_an_empty_box_is_passed_over(ada_in, herd):
    weights = {f"weight-{herd.cow}": "1,310", f"weight-{herd.heifer}": "900"}
    page = send(ada_in, herd.cow, herd.heifer, herd.bull, kind="weight", step="look", unit="lb", **weights)
    assert "1 without a figure is passed over" in page.content.decode()
    assert send(ada_in, herd.cow, herd.heifer, herd.bull, kind="weight", unit="lb", **weights).status_code == 302
    written = Event.objects.filter(kind="weight", happened_on=DAY)
    assert {one.animal_id: one.weight_ng for one in written} == {
        herd.cow: 1310 * 453_592_370_000,
        herd.heifer: 900 * 453_592_370_000,
    }


def test_a_box_that_can_not_be_read_keeps_the_rest_waiting_with_what_was_typed(ada_in, herd):
    weights = {f"weight-{herd.cow}": "about 1200", f"weight-{herd.heifer}": "900"}
    page = send(ada_in, herd.cow, herd.heifer, kind="weight", unit="lb", **weights).content.decode()
    assert "is an estimate" in page
    assert 'value="900"' in page
    assert f'aria-describedby="id_weight-{herd.cow}_error"' in page
    assert not Event.objects.filter(kind="weight", happened_on=DAY).exists()


def test_a_doubtful_weight_of_one_waits_for_its_own_tick(ada_in, herd):
    weights = {f"weight-{herd.cow}": "3000", f"weight-{herd.heifer}": "900"}
    page = send(ada_in, herd.cow, herd.heifer, kind="weight", unit="lb", **weights).content.decode()
    assert "weighs 800 lb to 2,000 lb" in page
    ticks = {f"right-{herd.cow}": str(3000 * 453_592_370_000)}
    answer = send(ada_in, herd.cow, herd.heifer, kind="weight", unit="lb", **weights, **ticks)
    assert answer.status_code == 302


def test_a_slip_of_the_day_loses_no_figure(ada_in, herd):
    weights = {f"weight-{herd.calf}": "480"}
    page = send(ada_in, herd.calf, kind="weight", unit="lb", **weights)
    assert page.context["draft"].rows == []
    assert f'<input type="hidden" name="weight-{herd.calf}" value="480">' in page.content.decode()


def test_with_no_box_filled_there_is_nothing_to_record(ada_in, herd):
    page = send(ada_in, herd.cow, kind="weight", unit="lb")
    assert "No box is filled in" in page.content.decode()


def test_a_result_for_all_stands_where_a_box_is_empty(ada_in, herd):
    own = {f"result-{herd.heifer}": "open", f"days-{herd.cow}": "90"}
    assert send(ada_in, herd.cow, herd.heifer, kind="pregnancy_check", result="pregnant", **own).status_code == 302
    checks = {one.animal_id: one.data for one in Event.objects.filter(kind="pregnancy_check")}
    assert checks == {herd.cow: {"result": "pregnant", "days": 90}, herd.heifer: {"result": "open"}}


def test_days_bred_of_an_open_animal_are_asked_again(ada_in, herd):
    own = {f"result-{herd.cow}": "open", f"days-{herd.cow}": "90"}
    assert "Days bred go with the result pregnant." in send(
        ada_in, herd.cow, kind="pregnancy_check", **own
    ).content.decode()


def test_one_tube_for_two_animals_is_refused_by_name(ada_in, herd):
    tubes = {f"tube-{herd.cow}": "TB0001", f"tube-{herd.heifer}": "TB0001"}
    page = send(ada_in, herd.cow, herd.heifer, kind="sample", **tubes)
    assert "Tube TB0001 would be used twice." in page.content.decode()
    assert not Event.objects.filter(kind="sample").exists()


def test_a_table_for_very_many_is_sent_to_a_processing_day(ada_in, cast):
    herd = [Animal(outfit=cast.kettle_bench, entry_class="cow") for _ in range(MOST_ROWS + 1)]
    Animal.objects.bulk_create(herd)
    page = send(ada_in, *(one.pk for one in herd), kind="weight", step="fill").content.decode()
    assert "601 head are too many" in page
    assert send(ada_in, *(one.pk for one in herd), kind="weaning", step="fill").context["head"] == MOST_ROWS + 1


def test_more_than_one_request_should_write_are_not_taken_on(ada_in, cast, herd, monkeypatch):
    monkeypatch.setattr("herd.office.views.events_many.MOST_HEAD", 1)
    page = send(ada_in, herd.cow, herd.heifer, kind="weaning")
    assert "2 head are too many in one go; take 1 at most." in page.content.decode()
    assert not Event.objects.filter(kind="weaning").exists()


def test_all_that_match_in_the_herd_list_are_taken_as_they_were_shown(ada_in, cast, herd):
    every = all_that_match(cast.kettle_bench, "")
    page = ada_in.post(reverse("office:events-many"), {"animals": every.carried})
    assert page.context["head"] == len(every)
    register(cast.kettle_bench, vid_tag("901"))
    again = ada_in.post(reverse("office:events-many"), {"animals": every.carried})
    assert again.status_code == 302


def test_a_sale_of_many_names_each_who_is_in_withdrawal(ada_in, cast, herd):
    for animal in (herd.cow, herd.heifer):
        happen(cast.kettle_bench, animal, "treatment", date(2025, 4, 30), product="penicillin", withdrawal_days=10)
    page = send(ada_in, herd.cow, herd.heifer, herd.bull, kind="sale").content.decode()
    assert page.count("free from May 11, 2025: penicillin") == 2
    assert not Event.objects.filter(kind="sale").exists()
    sure = {"is_sure": "on", "despite_withdrawal": "to a feedlot"}
    assert send(ada_in, herd.cow, herd.heifer, herd.bull, kind="sale", buyer="a feedlot", **sure).status_code == 302
    assert Event.objects.filter(kind="sale").count() == 3


def test_five_hundred_weights_are_shown_and_written_in_a_bounded_number_of_queries(
    ada_in, cast, django_assert_max_num_queries
):
    herd = [register(cast.kettle_bench, eid_tag(f"84027000001{one:04}")) for one in range(2)]
    more = [Animal(outfit=cast.kettle_bench, entry_class="cow", animal_class="cow") for _ in range(498)]
    Animal.objects.bulk_create(more)
    everyone = [*herd, *(one.pk for one in more)]
    weights = {f"weight-{one}": "1200" for one in everyone}
    with django_assert_max_num_queries(60):
        assert send(ada_in, *everyone, kind="weight", unit="lb", **weights).status_code == 302
    assert Event.objects.filter(kind="weight").count() == 500
