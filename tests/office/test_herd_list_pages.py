"""The herd list's pages: filters beside their sentences, pages, kept lists, and what is done with picked animals."""

import csv
import io
from datetime import date

import pytest
from django.urls import reverse

from herd.intake.models import FieldFile, ProcessingDay, RowState, StagedRow
from herd.ledger.models import Changeset
from herd.office.selection import all_that_match, selection_of
from herd.registry.models import HerdList
from herd.registry.services.batch import Batch, NewAnimal
from herd.registry.services.writer import write
from tests.cast import eid_tag, entry, register, vid_tag
from tests.office.conftest import EID, weigh

HERD = reverse("office:herd")


def shown(client, query=""):
    return [line.animal.pk for line, _, _ in client.get(f"{HERD}?{query}").context["rows"]]


def test_the_list_begins_with_all_on_hand_by_visual_tag(ada_in, herd):
    # 5 orange, 12 yellow, 88 green, 417 yellow: in the order of the figures, not of the letters.
    assert shown(ada_in) == [herd.bull, herd.heifer, herd.calf, herd.cow]


def test_a_line_shows_what_its_columns_say(ada_in, herd):
    page = ada_in.get(f"{HERD}?number=417").content.decode()
    assert "1200 lb" in page
    assert "Upper Bench" in page
    assert f'data-whole="{EID}"' in page
    assert "Oct 1, 2024" in page


@pytest.mark.parametrize("columns", ["dam", "sire", "events", "free", "since", "location", "birth", "others", "origin"])
def test_any_column_can_be_chosen(ada_in, herd, columns):
    answer = ada_in.get(f"{HERD}?columns={columns}&columns=vid")
    assert answer.status_code == 200
    assert len(answer.context["headings"]) == 2


def test_the_dam_and_the_last_events_are_said_by_name(ada_in, herd):
    page = ada_in.get(f"{HERD}?columns=dam&columns=events").content.decode()
    assert "417 yellow" in page
    assert "weight 2024-10-01" in page


def test_a_bad_value_is_said_beside_its_field_and_the_rest_is_answered(ada_in, herd):
    answer = ada_in.get(f"{HERD}?months_from=old&group=nowhere&classes=cow&sort=moon&weight_to=heavy&since=soon")
    assert set(answer.context["form"].errors) == {"months_from", "group", "sort", "weight_to", "since"}
    assert [line.animal.pk for line, _, _ in answer.context["rows"]] == [herd.cow]
    assert "There is no such choice" in answer.content.decode()


def test_a_span_the_wrong_way_round_is_said(ada_in, herd):
    answer = ada_in.get(f"{HERD}?months_from=9&months_to=3")
    assert "below the lowest" in answer.content.decode()


def test_the_outfits_own_unit_reads_the_weights(ada_in, herd):
    assert shown(ada_in, "weight_from=1200&weight_to=1200") == [herd.cow]
    assert shown(ada_in, "weight_from=1201") == []


def test_nobody_found_says_how_to_go_on(ada_in, herd):
    assert "Take a filter away" in ada_in.get(f"{HERD}?wears=nues").content.decode()


def test_an_empty_herd_says_how_it_comes_in(ada_in):
    assert "The herd comes in with its list" in ada_in.get(HERD).content.decode()


def test_another_outfits_animals_and_groups_are_not_there(cast, herd, as_person):
    eve = as_person(cast.eve)
    assert "No animal answers" in eve.get(HERD).content.decode()
    assert "group" in eve.get(f"{HERD}?group={herd.group}").context["form"].errors


def test_a_large_herd_comes_a_hundred_a_page_and_back(ada_in, cast, django_assert_max_num_queries):
    bench = cast.kettle_bench
    write(entry(bench), Batch(animals=[NewAnimal({"entry_class": "steer"}) for _ in range(250)]))
    seen, address = [], HERD
    while True:
        with django_assert_max_num_queries(15):
            answer = ada_in.get(address)
        seen += [line.animal.pk for line, _, _ in answer.context["rows"]]
        if not answer.context["page"].next:
            break
        address = f"{HERD}?after={answer.context['page'].next}"
    assert len(seen) == len(set(seen)) == 250
    back = ada_in.get(f"{HERD}?before={answer.context['page'].previous}")
    assert [line.animal.pk for line, _, _ in back.context["rows"]] == seen[100:200]
    assert "100 shown, more follow" in ada_in.get(HERD).content.decode()


def test_all_are_counted_only_on_demand(ada_in, herd):
    assert ada_in.get(HERD).context["every"] is None
    answer = ada_in.get(f"{HERD}?count=1")
    assert len(answer.context["every"]) == 4
    assert "all 4 that match" in answer.content.decode()


def test_the_list_leaves_whole_with_the_columns_chosen(ada_in, herd):
    answer = ada_in.get(f"{HERD}?columns=vid&columns=eid&columns=weight&as=csv")
    rows = list(csv.reader(io.StringIO(b"".join(answer.streaming_content).decode("utf-8-sig"))))
    assert rows[0] == ["Visual tag", "EID", "Last weight, lb"]
    assert rows[-1] == ["417 yellow", f"'{EID}", "1200"]
    assert len(rows) == 5


def test_a_reader_may_look_and_take_along_but_is_offered_nothing_to_write(cast, herd, as_person):
    dot = as_person(cast.dot)
    page = dot.get(HERD).content.decode()
    assert "Move picked" not in page
    assert "Keep this list" not in page
    assert dot.post(reverse("office:herd-picked") + "?as=csv", {"animals": str(herd.cow)}).status_code == 200
    assert dot.post(reverse("office:herd-day"), {"animals": str(herd.cow)}).status_code == 403
    assert dot.get(reverse("office:herd-keep")).status_code == 403


def keep(client, name, query):
    return client.post(f"{reverse('office:herd-keep')}?{query}", {"name": name})


def test_a_list_is_kept_for_everyone_and_offered_on_top(cast, ada_in, herd, as_person):
    answer = keep(ada_in, "Grown cows", "classes=cow&nonsense=1")
    kept = HerdList.objects.get()
    assert (kept.name, kept.question) == ("Grown cows", "classes=cow")
    assert answer.url == f"{HERD}?classes=cow&kept={kept.pk}"
    page = as_person(cast.dot).get(answer.url).content.decode()
    assert page.count("Grown cows") >= 2


def test_a_name_is_taken_once(ada_in, herd):
    keep(ada_in, "Grown cows", "classes=cow")
    answer = keep(ada_in, "Grown cows", "classes=bull")
    assert "called Grown cows already" in answer.content.decode()
    assert HerdList.objects.count() == 1


def test_a_kept_list_is_renamed_asks_anew_is_taken_out_and_all_that_is_undone(ada_in, herd):
    keep(ada_in, "Cows", "classes=cow")
    kept = HerdList.objects.get()
    address = reverse("office:herd-kept", args=[kept.pk])
    ada_in.post(address, {"name": "Old cows"})
    kept.refresh_from_db()
    assert (kept.name, kept.question) == ("Old cows", "classes=cow")
    ada_in.post(f"{address}?classes=bull", {"name": "Bulls"})
    kept.refresh_from_db()
    assert (kept.name, kept.question) == ("Bulls", "classes=bull")
    ada_in.post(reverse("office:herd-kept-out", args=[kept.pk]))
    assert not HerdList.objects.of(kept.outfit).exists()
    for name in ("Bulls", "Old cows", "Cows"):
        last = Changeset.objects.filter(undoes=None, is_undone=False, title__contains="herd list").first()
        ada_in.post(reverse("office:changeset-undo", args=[last.pk]))
        assert HerdList.objects.of(kept.outfit).get().name == name


def test_a_list_taken_out_twice_is_gone_the_second_time(ada_in, herd):
    keep(ada_in, "Cows", "classes=cow")
    address = reverse("office:herd-kept-out", args=[HerdList.objects.get().pk])
    assert ada_in.post(address).status_code == 302
    assert ada_in.post(address).status_code == 404


def take_along(client, animals, **more):
    answer = client.post(reverse("office:herd-picked") + "?as=csv", {"animals": animals, **more})
    return list(csv.reader(io.StringIO(b"".join(answer.streaming_content).decode("utf-8-sig"))))


def test_picked_animals_are_taken_along_with_the_columns_of_the_list(ada_in, herd):
    rows = take_along(ada_in, [str(herd.cow), f"{herd.bull},{herd.calf}"], list="columns=vid&columns=class")
    assert rows == [["Visual tag", "Class"], ["417 yellow", "cow"], ["5 orange", "bull"], ["88 green", "steer calf"]]


def test_nobody_picked_is_sent_back_to_the_same_list(ada_in, herd):
    answer = ada_in.post(reverse("office:herd-day"), {"list": "classes=cow"}, follow=True)
    assert answer.redirect_chain == [(f"{HERD}?classes=cow", 302)]
    assert "Nobody is picked yet" in answer.content.decode()


def carried(outfit, query):
    return all_that_match(outfit, query).carried


def test_all_that_match_are_asked_for_again(cast, ada_in, herd):
    rows = take_along(ada_in, carried(cast.kettle_bench, "classes=cow&classes=bull"), list="columns=vid")
    assert rows == [["Visual tag"], ["5 orange"], ["417 yellow"]]


def test_a_list_that_changed_in_between_is_shown_again_and_not_acted_on(cast, ada_in, herd):
    picked = carried(cast.kettle_bench, "classes=cow")
    register(cast.kettle_bench, vid_tag("418"))
    answer = ada_in.post(reverse("office:herd-picked") + "?as=csv", {"animals": picked}, follow=True)
    assert "The list has changed since you picked it: 2 head match now" in answer.content.decode()
    assert len(answer.context["every"]) == 2


def test_an_exchange_of_one_animal_for_another_is_noticed_at_the_same_count(cast, ada_in, herd):
    picked = carried(cast.kettle_bench, "weight_from=1150&status=any")
    weigh(cast.kettle_bench, herd.cow, date(2025, 10, 1), "1100")
    weigh(cast.kettle_bench, herd.bull, date(2025, 10, 1), "1900")
    answer = ada_in.post(reverse("office:herd-picked") + "?as=csv", {"animals": picked})
    assert answer.status_code == 302


def test_a_selection_is_carried_to_the_next_page_whichever_way_it_was_picked(cast, herd, rf):
    bench = cast.kettle_bench
    for given in (f"{herd.cow},{herd.bull}", carried(bench, "classes=cow")):
        first = selection_of(rf.post("/", {"animals": given}), bench)
        assert selection_of(rf.post("/", {"animals": first.carried}), bench) == first
        assert first.ids


def test_a_carried_question_finds_only_the_own_herd(cast, ada_in, herd):
    register(cast.far_rim, eid_tag("840270000000999"))
    answer = ada_in.post(reverse("office:herd-picked") + "?as=csv", {"animals": carried(cast.far_rim, "classes=cow")})
    assert answer.status_code == 302


def to_day(client, animals, **said):
    return client.post(reverse("office:herd-day"), {"animals": animals, **said}, follow=True)


def test_the_page_says_how_many_head_and_what_it_means(ada_in, herd):
    page = to_day(ada_in, [str(herd.cow), str(herd.bull)]).content.decode()
    assert "2 head to a processing day" in page
    assert "as if a reader had seen them" in page


def test_picked_animals_open_a_day_where_they_count_as_there(ada_in, herd):
    to_day(ada_in, [str(herd.cow), str(herd.heifer)], day="", worked_on="2026-11-01")
    day = ProcessingDay.objects.get()
    assert FieldFile.objects.get(day=day).name == "picked in the herd list.csv"
    rows = StagedRow.objects.filter(day=day)
    assert {row.merged.animal_id for row in rows} == {herd.cow, herd.heifer}
    assert {row.state for row in rows} == {RowState.KNOWN}


def test_picked_animals_join_an_open_day_once(ada_in, herd):
    to_day(ada_in, str(herd.cow), day="", worked_on="2026-11-01")
    day = ProcessingDay.objects.get()
    to_day(ada_in, str(herd.heifer), day=str(day.pk))
    assert FieldFile.objects.filter(day=day).count() == 2
    again = to_day(ada_in, str(herd.heifer), day=str(day.pk))
    assert "is in this day already" in again.content.decode()
    assert FieldFile.objects.filter(day=day).count() == 2


def test_a_day_of_another_outfit_is_not_offered(cast, ada_in, herd):
    far = ProcessingDay.objects.create(outfit=cast.far_rim, name="Rim", worked_on=date(2026, 1, 1), state="review")
    answer = to_day(ada_in, str(herd.cow), day=str(far.pk))
    assert "takes no files now" in answer.content.decode()
    assert not FieldFile.objects.exists()


def test_animals_without_a_number_are_left_out_and_said(cast, ada_in, herd):
    bare = register(cast.kettle_bench)
    page = to_day(ada_in, [str(herd.cow), str(bare)]).content.decode()
    assert "1 of them wears neither" in page
    assert "Add 1 head" in page
