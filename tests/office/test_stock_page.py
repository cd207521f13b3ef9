"""The pages of the tag stock: boxes taken in, counted, corrected; numbers missing and found again."""

import pytest
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.models import MissingTag, TagBox
from herd.registry.queries.stock import count_boxes
from herd.registry.services import stock
from tests.cast import eid_tag, entry, register

FIRST, LAST = "840270000000500", "840270000000599"


def post(client, name, /, *ids, **data):
    return client.post(reverse(f"office:{name}", args=ids), data)


def take_in(client, **more):
    data = {"kind": "eid", "first": FIRST, "last": LAST, "received_on": "2026-01-05", **more}
    return post(client, "tag-box-new", **data)


@pytest.fixture
def box(cast):
    stock.receive(entry=entry(cast.kettle_bench), kind="eid", first=FIRST, last=LAST)
    return TagBox.objects.get()


def test_an_empty_stock_says_what_to_do(ada_in, cast, as_person):
    assert "Take in the boxes you have" in ada_in.get(reverse("office:tag-boxes")).content.decode()
    page = as_person(cast.dot).get(reverse("office:tag-boxes")).content.decode()
    assert "The office or the owner takes boxes in." in page


def test_a_box_is_taken_in_as_it_is_printed_and_can_be_taken_back(ada_in):
    answer = take_in(ada_in, first="840 270 000 000 500", last="840-270-000-000-599", supplier="the co-op")
    box = TagBox.objects.get()
    assert answer.url == reverse("office:tag-box", args=[box.pk])
    assert (box.first, box.last, box.supplier) == (FIRST, LAST, "the co-op")
    page = ada_in.get(answer.url).content.decode()
    assert reverse("office:changeset-undo", args=[Changeset.objects.get().pk]) in page
    assert "<strong>100</strong> free of 100" in page


def test_several_boxes_of_one_size_come_in_together(ada_in):
    answer = take_in(ada_in, kind="vid", first="1", last="120", colour="yellow", size="50")
    assert answer.url == reverse("office:tag-boxes")
    assert sorted(str(box) for box in TagBox.objects.all()) == ["1 to 50", "101 to 120", "51 to 100"]
    assert Changeset.objects.count() == 1
    assert "A run of 3 boxes, 1 to 120, is in stock." in ada_in.get(answer.url).content.decode()


@pytest.mark.parametrize(
    ("data", "field", "words"),
    [
        ({"first": "8.4E+14"}, "first", "lost its last digits"),
        ({"last": "84027000000059"}, "last", "14 digits"),
        ({"first": LAST, "last": FIRST}, "last", "run from"),
        ({"last": ""}, "last", "Last number is needed."),
        ({"kind": "nues", "first": "35ABC1001", "last": "35ABD1100"}, "last", "run from"),
        ({"kind": "brand"}, "kind", "not one of the available choices"),
        ({"kind": "vid", "first": "1", "last": "900", "size": "1"}, "size", "too many"),
        ({"kind": "vid", "first": "9", "last": "1", "size": "5"}, "last", "run from"),
    ],
)
def test_what_is_no_box_is_said_beside_its_field(ada_in, data, field, words):
    page = take_in(ada_in, **data).content.decode()
    assert words in page
    assert f'id="id_{field}_error"' in page
    assert not TagBox.objects.exists()


def test_a_box_sent_twice_comes_in_once(ada_in):
    take_in(ada_in)
    assert "overlaps the box" in take_in(ada_in).content.decode()
    assert TagBox.objects.count() == 1


def test_crew_mark_numbers_but_leave_boxes_to_the_office(cast, box, as_person):
    client = as_person(cast.cal)
    assert take_in(client).status_code == 403
    assert client.get(reverse("office:tag-box-correct", args=[box.pk])).status_code == 403
    assert client.get(reverse("office:tag-box-out", args=[box.pk])).status_code == 403
    page = client.get(reverse("office:tag-box", args=[box.pk])).content.decode()
    assert reverse("office:tag-box-missing", args=[box.pk]) in page
    assert reverse("office:tag-box-out", args=[box.pk]) not in page
    assert post(client, "tag-box-missing", box.pk, number="510", reason="bent pin").status_code == 302


def test_a_reader_marks_nothing(cast, box, as_person):
    client = as_person(cast.dot)
    for name in ("tag-box-missing", "tag-box-found"):
        assert post(client, name, box.pk, number="510", reason="bent pin").status_code == 403
    assert reverse("office:tag-box-missing", args=[box.pk]) not in client.get(
        reverse("office:tag-box", args=[box.pk])
    ).content.decode()


def test_a_range_named_by_last_digits_is_marked_missing_and_found_again(ada_in, box):
    answer = post(ada_in, "tag-box-missing", box.pk, number="510", last="519", reason="fell in the creek")
    page = ada_in.get(answer.url).content.decode()
    assert "10 numbers are marked missing." in page
    assert reverse("office:changeset-undo", args=[Changeset.objects.order_by("recorded_at").last().pk]) in page
    post(ada_in, "tag-box-found", box.pk, number="515", reason="downstream")
    assert MissingTag.objects.filter(is_void=False).count() == 9


@pytest.mark.parametrize(
    ("data", "field", "words"),
    [
        ({"number": "700"}, "number", "has 3 digits"),
        ({"number": "840270000000700"}, "number", "is not in the box"),
        ({"number": "5"}, "number", "has 1 digits"),
        ({"number": "510", "reason": ""}, "reason", "Reason is needed."),
        ({"number": "519", "last": "510"}, "last", "comes before"),
    ],
)
def test_numbers_that_are_none_of_the_box_are_said_beside_their_field(ada_in, box, data, field, words):
    page = post(ada_in, "tag-box-missing", box.pk, **{"reason": "bent pin", **data}).content.decode()
    assert words in page
    assert f'id="id_{field}_error"' in page
    assert not MissingTag.objects.exists()


def test_a_box_shows_who_wears_each_number(ada_in, cast, box, django_assert_max_num_queries):
    cow = register(cast.kettle_bench, eid_tag(FIRST))
    with django_assert_max_num_queries(16):
        page = ada_in.get(reverse("office:tag-box", args=[box.pk])).content.decode()
    assert reverse("office:animal", args=[cow]) in page
    assert "The next free number is" in page
    page = ada_in.get(reverse("office:tag-box", args=[box.pk]), {"show": "free"})
    assert page.context["lines"][0][0].number == "840270000000501"


def test_the_numbers_of_a_box_are_paged(ada_in, cast):
    stock.receive(entry=entry(cast.kettle_bench), kind="eid", first="840270000000000", last="840270000009999")
    address = reverse("office:tag-box", args=[TagBox.objects.get().pk])
    page = ada_in.get(address)
    assert (len(page.context["lines"]), page.context["next"]) == (100, "840270000000099")
    page = ada_in.get(address, {"after": "840270000009950", "show": "nothing"})
    assert (len(page.context["lines"]), page.context["next"]) == (49, None)


def test_boxes_and_numbers_leave_as_tables(ada_in, cast, box):
    register(cast.kettle_bench, eid_tag(FIRST))
    for address, words in (
        (reverse("office:tag-boxes"), f"EID,'{FIRST},'{LAST},,,,,100,1,0,99,'840270000000501"),
        (reverse("office:tag-box", args=[box.pk]), f"'{FIRST},worn,"),
    ):
        answer = ada_in.get(address, {"as": "csv"})
        assert words in b"".join(answer.streaming_content).decode("utf-8-sig")
        assert ada_in.get(address, {"as": "xlsx"}).status_code == 200
        assert ada_in.get(address, {"as": "print"}).status_code == 200


def test_the_form_to_correct_a_box_shows_what_is_known_and_sets_it_right(ada_in, box):
    form = ada_in.get(reverse("office:tag-box-correct", args=[box.pk])).context["form"]
    shown = {name: form[name].value() or "" for name in form.fields}
    told = {**shown, "last": "840270000000699", "reason": "two hundred came"}
    answer = post(ada_in, "tag-box-correct", box.pk, **told)
    assert answer.url == reverse("office:tag-box", args=[box.pk])
    box.refresh_from_db()
    assert count_boxes(box.outfit, [box])[0].total == 200


def test_a_box_is_taken_out_with_a_reason(ada_in, cast, box):
    register(cast.kettle_bench, eid_tag(FIRST))
    page = ada_in.get(reverse("office:tag-box-out", args=[box.pk])).content.decode()
    assert "Used so far: 1." in page
    assert post(ada_in, "tag-box-out", box.pk, reason="sent back").status_code == 302
    assert ada_in.get(reverse("office:tag-box", args=[box.pk])).status_code == 404


@pytest.mark.parametrize("page", ["0", "x", "-1", "99999999999", "7"])
def test_a_page_that_is_none_is_answered(ada_in, box, page):
    assert ada_in.get(reverse("office:tag-boxes"), {"page": page}).status_code == 200


def test_boxes_are_listed_by_kind(ada_in, cast, box):
    stock.receive(entry=entry(cast.kettle_bench), kind="vid", first="1", last="9", colour="yellow")
    page = ada_in.get(reverse("office:tag-boxes"), {"kind": "vid"})
    assert [str(one.box) for one in page.context["counts"]] == ["1 to 9"]
    assert len(ada_in.get(reverse("office:tag-boxes"), {"kind": "ring"}).context["counts"]) == 2
