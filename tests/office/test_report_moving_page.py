"""Moving and selling on the page: animals in by group, numbers or pick; verdicts and papers out; nothing written."""

import csv
import io
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from herd.ledger.models import Change
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from tests.cast import entry, register, vid_tag
from tests.office.conftest import EID
from tests.office.pdftext import texts_of

MOVING = "office:report-moving"
# 0049Z4J is the premises number of the sample shipment published with the AAVLD/USAHA eCVI data standard.
JOURNEY = {"on": "2026-06-01", "journey": "ordinary"}


def post(client, asked="", **given):
    return client.post(f"{reverse(MOVING)}{asked}", {**JOURNEY, **given})


def verdicts(answer):
    return {one.name: (word, one.stops) for one, word, _ in answer.context["verdicts"]}


def text(answer):
    return " ".join(answer.content.decode().split())


def lines(answer):
    return list(csv.DictReader(io.StringIO(b"".join(answer).decode().removeprefix("\ufeff"))))


def test_a_group_is_judged_and_what_is_in_the_way_stands_on_top(ada_in, cast, herd):
    register(cast.kettle_bench, vid_tag("90"), group_id=herd.group)
    answer = post(ada_in, group=str(herd.group))
    found = verdicts(answer)
    assert next(iter(found)) == "90 yellow"
    assert "wears none" in found["90 yellow"][1][0]
    assert found["417 yellow"] == ("ready", [])
    assert found["12 yellow"][0] == "look at it"


def test_it_says_that_it_does_not_certify(ada_in, herd):
    assert "does not certify" in text(ada_in.get(reverse(MOVING)))
    assert "accredited veterinarian" in text(post(ada_in, group=str(herd.group)))


def test_typed_numbers_and_a_readers_file_are_one_list_and_the_unknown_are_told(ada_in, herd):
    file = SimpleUploadedFile("stick.txt", f"{EID}\n840270000000012\n".encode())
    answer = post(ada_in, typed="5\n9999", upload=file)
    assert set(verdicts(answer)) == {"417 yellow", "12 yellow", "5 orange"}
    assert [one.text for one in answer.context["untold"]] == ["9999"]
    assert answer.context["picked"].ids == answer.context["judged"].ids


def test_animals_picked_in_the_herd_list_get_the_form_and_are_judged_when_it_is_sent(ada_in, herd):
    first = ada_in.post(reverse(MOVING), {"animals": f"{herd.cow},{herd.bull}", "list": ""})
    assert "2 head" in text(first)
    assert not first.context["form"].errors
    again = post(ada_in, animals=first.context["picked"].carried)
    assert set(verdicts(again)) == {"417 yellow", "5 orange"}


def test_nothing_given_is_said_beside_the_numbers(ada_in, herd):
    assert "typed" in post(ada_in).context["form"].errors


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"to_premises": "0049Z4K"}, "to_premises"),
        ({"from_premises": "12"}, "from_premises"),
        ({"on": "soon"}, "on"),
        ({"journey": "flight"}, "journey"),
        ({"shrink": "80"}, "shrink"),
        ({"to_state": "ZZ"}, "to_state"),
    ],
)
def test_bad_input_is_said_beside_its_field(ada_in, herd, given, field):
    answer = post(ada_in, group=str(herd.group), **given)
    assert field in answer.context["form"].errors
    assert "verdicts" not in answer.context


def test_inside_one_state_nothing_is_asked_for(ada_in, cast, herd):
    register(cast.kettle_bench, vid_tag("90"), group_id=herd.group)
    answer = post(ada_in, group=str(herd.group), from_state="WY", to_state="WY")
    assert {word for word, _ in verdicts(answer).values()} == {"ready"}
    assert "stays in one state" in text(answer)


def test_an_exempt_journey_says_its_condition(ada_in, herd):
    assert "each with a backtag" in text(post(ada_in, group=str(herd.group), journey="slaughter"))


def test_the_list_for_the_veterinarian_has_whole_numbers_both_places_and_leaves_out_what_is_stopped(
    ada_in, cast, herd
):
    register(cast.kettle_bench, vid_tag("90"), group_id=herd.group)
    given = {"group": str(herd.group), "from_premises": "0049Z4J", "receiver": "A buyer", "to_state": "NE"}
    drawn = texts_of(b"".join(post(ada_in, "?paper=numbers&as=pdf", **given)))
    said = " ".join(drawn)
    assert EID in drawn
    assert "90 yellow" not in drawn
    wanted = ("Cattle, 2 head.", "premises 0049Z4J", "A buyer, Nebraska", "1 head with something in the way")
    assert [words for words in (*wanted, "no certificate") if words not in said] == []


def test_the_sale_sheet_shrinks_the_last_weights_and_sums_them(ada_in, cast, herd):
    rows = lines(post(ada_in, "?paper=sale&as=csv", group=str(herd.group), shrink="4"))
    by_tag = {row["Visual tag"]: row for row in rows}
    assert (by_tag["417 yellow"]["Last weight"], by_tag["417 yellow"]["After shrink"]) == ("1200", "1152")
    assert by_tag["12 yellow"]["Weighed"] == "not weighed"
    assert by_tag["1 head weighed"]["After shrink"] == "1152"


def test_the_check_leaves_with_every_reason(ada_in, cast, herd):
    register(cast.kettle_bench, vid_tag("90"), group_id=herd.group)
    [row] = [one for one in lines(post(ada_in, "?as=csv", group=str(herd.group))) if one["Visual tag"] == "90 yellow"]
    assert row["Verdict"] == "in the way"
    assert "wears none" in row["Reasons"]
    assert "18 months" in row["Needs official ID because"]


def test_what_the_papers_form_carries_makes_the_same_list(ada_in, herd):
    page = post(ada_in, group=str(herd.group), to_state="NE")
    carried = {**dict(page.context["sent"]), "animals": page.context["judged"].carried}
    rows = lines(ada_in.post(f"{reverse(MOVING)}?paper=check&as=csv", carried))
    assert {row["Visual tag"] for row in rows} == set(verdicts(page))


def test_a_paper_or_way_that_does_not_exist_is_not_found(ada_in, herd):
    assert post(ada_in, "?paper=brand&as=csv", group=str(herd.group)).status_code == 404
    assert post(ada_in, "?as=doc", group=str(herd.group)).status_code == 404


def test_one_that_left_since_is_not_moved(ada_in, cast, herd):
    gone = NewEvent(herd.bull, "sale", date(2026, 5, 1))
    events.record(entry=entry(cast.kettle_bench), events=[gone])
    assert "Not on hand: sold" in verdicts(post(ada_in, typed="5 orange"))["5 orange"][1][0]


def test_another_outfits_group_and_animals_are_not_taken(as_person, cast, herd):
    eve = as_person(cast.eve)
    assert "group" in post(eve, group=str(herd.group)).context["form"].errors
    assert "typed" in post(eve, animals=str(herd.cow)).context["form"].errors


def test_a_reader_checks_too_and_nothing_is_written(as_person, cast, herd):
    before = Change.objects.count()
    assert post(as_person(cast.dot), group=str(herd.group)).status_code == 200
    assert Change.objects.count() == before


def test_the_herd_list_leads_here(as_person, cast, herd):
    assert f'formaction="{reverse(MOVING)}"' in as_person(cast.dot).get(reverse("office:herd")).content.decode()


def test_a_group_leads_here_with_itself_chosen(ada_in, herd):
    address = f"{reverse(MOVING)}?group={herd.group}"
    assert address in ada_in.get(reverse("office:group", args=[herd.group])).content.decode()
    assert f'value="{herd.group}" selected' in ada_in.get(address).content.decode()


def test_a_group_that_is_no_id_is_not_chosen(ada_in, herd):
    assert ada_in.get(f"{reverse(MOVING)}?group=x").status_code == 200


def test_a_long_list_takes_few_queries(ada_in, cast, herd, django_assert_max_num_queries):
    for number in range(100, 140):
        register(cast.kettle_bench, vid_tag(str(number)), group_id=herd.group)
    with django_assert_max_num_queries(12):
        assert len(post(ada_in, group=str(herd.group)).context["verdicts"]) == 42
