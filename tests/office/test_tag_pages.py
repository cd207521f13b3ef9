"""The pages about tags: put on, replaced with all the law asks for, taken from a box in one touch, set right."""

from datetime import date

import pytest
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.models import TagBox, TagWearing
from herd.registry.queries.export import export_outfit
from herd.registry.services import stock
from herd.registry.services.stock import NewBox
from herd.registry.undo import undo
from tests.cast import eid_tag, entry, register, vid_tag
from tests.office.conftest import EID

FREE = "840270000007777"
DAY = "2026-05-01"


def post(client, name, /, *ids, **data):
    return client.post(reverse(f"office:{name}", args=ids), data)


def wearing(animal, **more):
    return TagWearing.objects.get(animal=animal, ended="", is_void=False, **more)


def box_of(outfit, kind="eid", first="840270000000500", last="840270000000599", **more):
    ids = stock.receive_boxes(entry=entry(outfit), boxes=[NewBox(kind, first, last, **more)])
    return TagBox.objects.get(pk=ids[0])


@pytest.mark.parametrize("username", ["ada", "ben", "cal", "dot"])
def test_everyone_of_the_outfit_reads_the_room(cast, herd, as_person, username):
    box = box_of(cast.kettle_bench)
    client = as_person(getattr(cast, username))
    names = ["tags", "tag-log", "tags-doubtful", "tag-boxes"]
    pages = [*(reverse(f"office:{name}") for name in names), reverse("office:tag-box", args=[box.pk])]
    assert {page: client.get(page).status_code for page in pages} == dict.fromkeys(pages, 200)


def test_a_reader_sets_nothing_right(cast, herd, as_person):
    client = as_person(cast.dot)
    address = reverse("office:tag-settle", args=[wearing(herd.cow, kind="eid").pk, herd.bull])
    for answer in (client.get(reverse("office:tag-turned-up")), client.get(address), client.post(address)):
        assert answer.status_code == 403
    assert reverse("office:tag-turned-up") not in client.get(reverse("office:tags")).content.decode()


def test_a_herd_without_tags_or_boxes_says_what_to_do(ada_in):
    page = ada_in.get(reverse("office:tags")).content.decode()
    assert "No animal on hand wears a tag yet" in page
    assert "No boxes yet" in page


def test_the_first_page_counts_what_is_worn(ada_in, herd, django_assert_max_num_queries):
    with django_assert_max_num_queries(9):
        page = ada_in.get(reverse("office:tags")).content.decode()
    assert "<strong>2</strong> EIDs on animals on hand" in page
    assert "<strong>4</strong> visual tags on animals on hand" in page


def test_why_and_where_a_tag_came_off_is_kept_and_shown(ada_in, herd):
    old = wearing(herd.cow, kind="eid")
    told = {"ended": "replaced", "on": DAY, "reason": "infected ear", "removed_at": "Mill Creek", "number": FREE}
    answer = post(ada_in, "tag-replace", herd.cow, old.pk, **told)
    page = ada_in.get(answer.url).content.decode()
    assert "infected ear, at Mill Creek" in page
    assert wearing(herd.cow, kind="eid").replaces_id == old.pk


def test_an_official_tag_does_not_come_off_without_a_reason(ada_in, herd):
    # 9 CFR 86.4(e): the reason is part of the record (wording from memory).
    old = wearing(herd.cow, kind="eid")
    page = post(ada_in, "tag-replace", herd.cow, old.pk, ended="removed", on=DAY).content.decode()
    assert 'id="id_reason_error"' in page
    vid = wearing(herd.cow, kind="vid")
    assert post(ada_in, "tag-replace", herd.cow, vid.pk, ended="removed", on=DAY).status_code == 302


def test_a_lost_tag_came_off_nowhere_that_is_known(ada_in, herd):
    old = wearing(herd.cow, kind="eid")
    post(ada_in, "tag-replace", herd.cow, old.pk, ended="lost", on=DAY, removed_at="Mill Creek")
    old.refresh_from_db()
    assert (old.ended, old.removed_at) == ("lost", "")


def test_a_metal_tag_is_followed_by_an_eid(ada_in, cast):
    # 9 CFR 86.4(a): official tags put on since November 5, 2024 are electronic, retags too.
    cow = register(cast.kettle_bench, {"kind": "nues", "number": "35ABC1234"})
    old = wearing(cow)
    form = ada_in.get(reverse("office:tag-replace", args=[cow, old.pk])).context["form"]
    assert form["kind"].value() == "eid"
    answer = post(ada_in, "tag-replace", cow, old.pk, ended="broken", on=DAY, kind="eid", number=FREE)
    assert answer.status_code == 302
    assert (wearing(cow).kind, wearing(cow).replaces_id) == ("eid", old.pk)


def test_a_number_corrected_is_no_retag(ada_in, herd):
    old = wearing(herd.cow, kind="vid")
    post(ada_in, "tag-replace", herd.cow, old.pk, ended="data_error", on=DAY, number="471", colour="yellow")
    assert wearing(herd.cow, kind="vid").began == "corrected"


def test_the_next_free_number_goes_on_with_one_touch(ada_in, cast, herd):
    box = box_of(cast.kettle_bench)
    register(cast.kettle_bench, eid_tag("840270000000500"))
    old = wearing(herd.cow, kind="eid")
    page = ada_in.get(reverse("office:tag-replace", args=[herd.cow, old.pk])).content.decode()
    take = f"{box.pk}:840270000000501"
    assert f'value="{take}"' in page
    answer = post(ada_in, "tag-replace", herd.cow, old.pk, ended="lost", on=DAY, number="", take=take)
    assert answer.status_code == 302
    assert wearing(herd.cow, kind="eid").tag.number == "840270000000501"


def test_a_visual_tag_from_a_box_brings_its_colour_and_year(ada_in, cast, herd):
    box = box_of(cast.kettle_bench, "vid", "1", "99", colour="white", issuer_year=2026)
    old = wearing(herd.cow, kind="vid")
    answer = post(ada_in, "tag-replace", herd.cow, old.pk, ended="lost", on=DAY, take=f"{box.pk}:1")
    assert answer.status_code == 302
    tag = wearing(herd.cow, kind="vid").tag
    assert (tag.number, tag.colour, tag.issuer_year) == ("1", "white", 2026)


def test_a_number_of_another_outfits_box_is_not_taken(ada_in, cast, herd):
    box = box_of(cast.far_rim)
    old = wearing(herd.cow, kind="eid")
    post(ada_in, "tag-replace", herd.cow, old.pk, ended="lost", on=DAY, number="", take=f"{box.pk}:840270000000500")
    assert not TagWearing.objects.filter(animal=herd.cow, kind="eid", ended="").exists()


def test_a_number_taken_twice_at_once_goes_on_one_animal(ada_in, cast, herd):
    box = box_of(cast.kettle_bench)
    take = f"{box.pk}:840270000000500"
    for animal in (herd.cow, herd.heifer):
        answer = post(ada_in, "tag-replace", animal, wearing(animal, kind="eid").pk, ended="lost", on=DAY, take=take)
    assert "is on another animal now" in answer.content.decode()
    assert wearing(herd.heifer, kind="eid").tag.number == "840270000000012"


def test_a_tag_put_on_after_a_loss_names_the_lost_one(ada_in, herd):
    old = wearing(herd.cow, kind="eid")
    post(ada_in, "tag-replace", herd.cow, old.pk, ended="lost", on=DAY)
    post(ada_in, "tag-new", herd.cow, kind="eid", number=FREE, on="2026-09-01")
    new = wearing(herd.cow, kind="eid")
    assert (new.began, new.replaces_id) == ("retagged", old.pk)


# 9 CFR 86.4(c), as restated in 345 IAC 1-2.6-10 (Indiana).
@pytest.mark.parametrize(
    ("way", "more", "words"),
    [
        ("", "", "Take that off first, or choose why another goes on."),
        ("approved", "", "Say who approved it and what for"),
        ("not_official", "herd reader", "begin with 840 are official"),
        ("ain_beside_metal", "", "metal tags only"),
        ("vaccination", "", "is a metal tag"),
    ],
)
def test_a_second_official_tag_is_refused_without_a_reason_that_holds(ada_in, herd, way, more, words):
    data = {"kind": "eid", "number": FREE, "on": DAY, "second_way": way, "second_reason": more}
    page = post(ada_in, "tag-new", herd.cow, **data).content.decode()
    assert words in page
    assert TagWearing.objects.filter(animal=herd.cow, kind="eid").count() == 1


def test_an_approved_second_tag_keeps_its_reason(ada_in, herd):
    data = {"kind": "eid", "number": FREE, "on": DAY, "second_way": "approved", "second_reason": "export to Canada"}
    answer = post(ada_in, "tag-new", herd.cow, **data)
    second = wearing(herd.cow, is_second=True)
    assert second.second_reason == "approved by an animal health official: export to Canada"
    assert "export to Canada" in ada_in.get(answer.url).content.decode()


def test_an_840_tag_beside_a_metal_tag_needs_no_more_words(ada_in, cast):
    cow = register(cast.kettle_bench, {"kind": "nues", "number": "35ABC1234"})
    assert post(ada_in, "tag-new", cow, kind="eid", number=FREE, on=DAY).status_code == 302
    new = wearing(cow, kind="eid")
    assert (new.is_second, new.second_reason) == (False, "840 tag added beside a metal or vaccination tag")


def test_a_first_tag_asks_for_nothing_more(ada_in, herd):
    assert post(ada_in, "tag-new", herd.bull, kind="eid", number=FREE, on=DAY).status_code == 302
    assert wearing(herd.bull, kind="eid").second_reason == ""


def look_up(client, number, animal):
    return client.get(reverse("office:tag-turned-up"), {"number": number, "animal": animal})


def test_a_tag_on_the_wrong_animal_is_looked_up_by_numbers(ada_in, herd):
    answer = look_up(ada_in, "840 270 000 000 417", "5")
    assert answer.url == reverse("office:tag-settle", args=[wearing(herd.cow, kind="eid").pk, herd.bull])
    page = ada_in.get(answer.url).content.decode()
    assert "In the record on" in page
    assert "It hangs on" in page


@pytest.mark.parametrize(
    ("number", "animal", "words"),
    [
        ("999999", "5", "No animal of this outfit wears this number now"),
        (EID, "999999", "No animal of this outfit wears or wore 999999."),
        ("", "5", "Number on the tag is needed."),
    ],
)
def test_what_can_not_be_looked_up_is_said_beside_its_field(ada_in, herd, number, animal, words):
    assert words in look_up(ada_in, number, animal).content.decode()


def test_several_tags_of_one_number_are_chosen_from(ada_in, cast, herd):
    register(cast.kettle_bench, vid_tag("417", "white"))
    page = look_up(ada_in, "417", "5").content.decode()
    assert "Several tags have this number" in page
    assert page.count("/tags/turned-up/") == 2


@pytest.mark.parametrize(
    ("truth", "ended", "began"), [("moved", "removed", "tagged"), ("wrong", "data_error", "corrected")]
)
def test_what_is_true_is_written_and_can_be_taken_back(ada_in, cast, herd, truth, ended, began):
    before = list(export_outfit(cast.kettle_bench))
    old = wearing(herd.cow, kind="eid")
    data = {"truth": truth, f"{truth}-on": DAY, f"{truth}-reason": "seen in the chute"}
    answer = post(ada_in, "tag-settle", old.pk, herd.bull, **data)
    assert answer.url == reverse("office:animal", args=[herd.bull])
    changeset = Changeset.objects.order_by("recorded_at").last()
    assert reverse("office:changeset-undo", args=[changeset.pk]) in ada_in.get(answer.url).content.decode()
    old.refresh_from_db()
    assert (old.ended, wearing(herd.bull, kind="eid").began) == (ended, began)
    assert undo(entry(cast.kettle_bench), changeset).is_possible
    assert list(export_outfit(cast.kettle_bench)) == before


def test_the_own_eid_of_the_other_animal_is_asked_for(ada_in, herd):
    old = wearing(herd.cow, kind="eid")
    data = {"truth": "moved", "moved-on": DAY, "moved-reason": "seen in the chute"}
    page = post(ada_in, "tag-settle", old.pk, herd.heifer, **data).content.decode()
    assert "An animal wears one EID. Say what became of the other." in page
    assert 'id="id_moved-own_error"' in page
    assert 'id="id_wrong-own_error"' not in page
    assert post(ada_in, "tag-settle", old.pk, herd.heifer, **data, **{"moved-own": "lost"}).status_code == 302
    new = wearing(herd.heifer, kind="eid")
    assert (new.tag.number, new.began, new.replaces.tag.number) == (EID, "retagged", "840270000000012")


def test_an_answer_sent_twice_is_written_once(ada_in, herd):
    old = wearing(herd.cow, kind="eid")
    data = {"truth": "moved", "moved-on": DAY, "moved-reason": "seen in the chute"}
    assert post(ada_in, "tag-settle", old.pk, herd.bull, **data).status_code == 302
    assert post(ada_in, "tag-settle", old.pk, herd.bull, **data).status_code == 404


def test_a_day_before_the_tag_went_on_is_refused_beside_the_day(ada_in, herd):
    old = wearing(herd.cow, kind="eid")
    data = {"truth": "moved", "moved-on": "2020-01-01", "moved-reason": "seen in the chute"}
    assert 'id="id_moved-on_error"' in post(ada_in, "tag-settle", old.pk, herd.bull, **data).content.decode()


def test_the_tag_log_shows_both_numbers_and_leaves_as_a_table(ada_in, herd):
    old = wearing(herd.cow, kind="eid")
    told = {"ended": "broken", "on": DAY, "reason": "pulled in the chute", "number": FREE}
    post(ada_in, "tag-replace", herd.cow, old.pk, **told)
    asked = {"since": "2026-04-15", "until": "2026-12-31"}
    page = ada_in.get(reverse("office:tag-log"), asked).content.decode()
    assert "840 270 000 000 417" in page
    assert "840 270 000 007 777" in page
    assert "pulled in the chute" in page
    answer = ada_in.get(reverse("office:tag-log"), {**asked, "as": "csv"})
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    assert text.splitlines()[1] == (
        f"2026-05-01,417 yellow,\"retagged, broken before\",EID,'{EID},EID,'{FREE},pulled in the chute,,ada,,"
    )


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"since": "x"}, "Give the day as year-month-day"),
        ({"since": "2026-05-01", "until": "2026-04-01"}, "This day comes before the first one."),
        ({"since": "1999-01-01", "until": "1999-12-31"}, "No tag went on or came off in this time."),
        ({"kind": "ring"}, "ring is not one of the available choices"),
        ({"after": "nowhere"}, "Tag log"),
    ],
)
def test_a_question_to_the_log_that_makes_no_sense_is_answered_as_far_as_it_does(ada_in, herd, asked, words):
    answer = ada_in.get(reverse("office:tag-log"), asked)
    assert answer.status_code == 200
    assert words in answer.content.decode()


def test_doubts_are_listed_with_the_way_to_mend_them(ada_in, cast):
    cow = register(cast.kettle_bench, eid_tag("999000000001337"))
    page = ada_in.get(reverse("office:tags-doubtful")).content.decode()
    assert "?check=numbers" in page
    page = ada_in.get(reverse("office:tags-doubtful"), {"check": "numbers"}).content.decode()
    address = reverse("office:tag-replace", args=[cow, wearing(cow).pk])
    assert f"{address}?ended=data_error" in page
    assert ada_in.get(f"{address}?ended=data_error").context["form"]["ended"].value() == "data_error"


def test_an_unknown_check_answers_404(ada_in):
    assert ada_in.get(reverse("office:tags-doubtful"), {"check": "everything"}).status_code == 404


def test_all_doubts_leave_as_one_table(ada_in, cast):
    register(cast.kettle_bench)
    register(cast.kettle_bench, eid_tag("999000000001337"))
    answer = ada_in.get(reverse("office:tags-doubtful"), {"as": "csv"})
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    assert "No tag,no tag,,,On hand without any tag." in text
    assert "Numbers that look wrong" in text


def test_nothing_doubtful_is_said(ada_in, herd):
    assert "Nothing is doubtful" in ada_in.get(reverse("office:tags-doubtful")).content.decode()
    page = ada_in.get(reverse("office:tags-doubtful"), {"check": "twice"}).content.decode()
    assert "is found by this check" in page


def test_the_day_of_a_tag_reaches_the_log_in_the_outfits_own_words(ada_in, herd):
    page = ada_in.get(reverse("office:tag-log"), {"since": "2024-01-01", "until": "2024-12-31", "kind": "vid"})
    assert [str(one.line.place.day) for one in page.context["lines"]] == [str(date(2024, 3, 1))] * 3


def test_a_large_herd_is_counted_only_when_asked(ada_in, cast, monkeypatch):
    monkeypatch.setattr("herd.registry.queries.doubtfultags.LARGE", 1)
    for _ in range(2):
        register(cast.kettle_bench)
    page = ada_in.get(reverse("office:tags-doubtful"))
    assert {count for _, _, count in page.context["counts"]} == {None}
    assert "Count them all" in page.content.decode()
    page = ada_in.get(reverse("office:tags-doubtful"), {"count": "1"})
    assert {key: count for key, _, count in page.context["counts"]}["untagged"] == 2


def test_a_tag_is_not_settled_onto_an_animal_of_another_outfit(ada_in, cast, herd):
    far = register(cast.far_rim)
    address = reverse("office:tag-settle", args=[wearing(herd.cow, kind="eid").pk, far])
    data = {"truth": "moved", "moved-on": DAY, "moved-reason": "seen in the chute"}
    assert (ada_in.get(address).status_code, ada_in.post(address, data).status_code) == (404, 404)
