"""The pages of a head count: entered, shown with who did not come out even, acted upon, and taken back."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.models import Animal, HeadCheck
from herd.registry.services import groups
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent
from herd.registry.services.writer import write
from tests.cast import entry, register, vid_tag
from tests.office.conftest import EID

ON = "2025-06-01"


def keep(client, group, **given):
    return client.post(reverse("office:count-new", args=[group]), {"on": ON, **given})


def result_of(client, check):
    return client.get(reverse("office:count", args=[check.pk])).context["result"]


def act(client, name, check, **data):
    return client.post(reverse(f"office:{name}", args=[check.pk]), data, follow=True)


@pytest.fixture
def stray(cast, herd):
    """Cow 90, in Mill Trap."""
    trap = groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")
    return register(cast.kettle_bench, vid_tag("90"), group_id=trap)


def test_a_bare_figure_says_by_how_many_it_differs(ada_in, herd):
    answer = keep(ada_in, herd.group, counted="5")
    page = " ".join(ada_in.get(answer["Location"]).content.decode().split())
    assert "<b>5</b> counted" in page
    assert "<b>2</b> expected that day" in page
    assert "<b>+3</b> too many" in page
    assert "Count again with a reader" in page


def test_figures_by_class_are_held_against_the_class_of_that_day(ada_in, herd):
    keep(ada_in, herd.group, cow="1", heifer="3")
    check = HeadCheck.objects.get()
    assert check.counted == 4
    differences = {one.name: one.difference for one in result_of(ada_in, check).classes}
    assert differences == {"cow": 0, "heifer": 2}


def test_numbers_and_a_readers_file_are_one_count(ada_in, herd, stray):
    file = SimpleUploadedFile("stick.txt", b"840270000000012\n840270000000012\n")
    keep(ada_in, herd.group, typed="90\n999\n12345678", upload=file)
    result = result_of(ada_in, HeadCheck.objects.get())
    assert [(one.name, one.words) for one in result.unseen] == [("417 yellow", "last seen Oct 1, 2024")]
    assert [(one.name, one.words) for one in result.extra] == [("90 yellow", "in Mill Trap")]
    assert [one.words for one in result.doubles] == ["read 2 times, counted once"]
    assert [one.text for one, _ in result.untold] == ["999", "12345678"]
    assert (result.head, result.comparison.expected, result.difference) == (4, 2, 2)


def test_an_even_count_says_so(ada_in, herd):
    answer = keep(ada_in, herd.group, typed=f"{EID}\n12")
    assert "Everyone expected was seen, and nobody else." in ada_in.get(answer["Location"]).content.decode()


def test_more_head_than_numbers_is_said(ada_in, herd):
    keep(ada_in, herd.group, counted="2", typed=EID)
    assert result_of(ada_in, HeadCheck.objects.get()).unread == 1


def test_nothing_counted_is_said_beside_the_figure(ada_in, herd):
    assert keep(ada_in, herd.group).context["form"].errors["counted"] == ["Give a figure, or numbers."]
    assert not HeadCheck.objects.exists()


@pytest.mark.parametrize(
    ("given", "field"),
    [({"counted": "-1"}, "counted"), ({"counted": "many"}, "counted"), ({"counted": "1", "on": "2199-01-01"}, "on")],
)
def test_bad_input_is_said_beside_its_field(ada_in, herd, given, field):
    assert field in keep(ada_in, herd.group, **given).context["form"].errors


def test_the_unseen_are_marked_missing_and_that_is_taken_back(ada_in, herd):
    keep(ada_in, herd.group, typed="12")
    check = HeadCheck.objects.get()
    page = act(ada_in, "count-missing", check, animals=str(herd.cow)).content.decode()
    assert "1 head marked missing since Jun 1, 2025" in page
    assert "the record had 2 head there that day" in page
    assert Animal.objects.get(pk=herd.cow).status == "missing"
    target = Changeset.objects.get(title="Missing at the count of Upper Bench")
    assert reverse("office:changeset-undo", args=[target.pk]) in page
    ada_in.post(reverse("office:changeset-undo", args=[target.pk]))
    assert Animal.objects.get(pk=herd.cow).is_on_hand
    assert [one.animal_id for one in result_of(ada_in, check).unseen] == [herd.cow]


def test_marking_twice_writes_once(ada_in, herd):
    keep(ada_in, herd.group, typed="12")
    check = HeadCheck.objects.get()
    act(ada_in, "count-missing", check, animals=str(herd.cow))
    before = Changeset.objects.count()
    again = act(ada_in, "count-missing", check, animals=str(herd.cow))
    assert "nothing was written" in again.content.decode()
    assert Changeset.objects.count() == before


def test_all_marks_only_those_nothing_speaks_for(ada_in, cast, herd):
    keep(ada_in, herd.group, counted="0", typed="999")
    write(entry(cast.kettle_bench), Batch(events=[NewEvent(herd.cow, "weaning", date(2025, 9, 1))]))
    act(ada_in, "count-missing", HeadCheck.objects.get(), all="1")
    assert Animal.objects.get(pk=herd.cow).status == "on_hand"
    assert Animal.objects.get(pk=herd.heifer).status == "missing"


def test_one_seen_since_is_refused_by_name(ada_in, cast, herd):
    keep(ada_in, herd.group, typed="12")
    write(entry(cast.kettle_bench), Batch(events=[NewEvent(herd.cow, "weaning", date(2025, 9, 1))]))
    answer = act(ada_in, "count-missing", HeadCheck.objects.get(), animals=str(herd.cow))
    assert "417 yellow: It was seen on 2025-09-01, after the count." in answer.content.decode()


def test_those_seen_beside_the_members_join_on_the_day_of_the_count(ada_in, herd, stray):
    keep(ada_in, herd.group, typed=f"{EID}\n12\n90")
    act(ada_in, "count-take-in", HeadCheck.objects.get(), all="1")
    stay = Animal.objects.get(pk=stray).memberships.get(left_on=None)
    assert (stay.group_id, stay.joined_on) == (herd.group, date(2025, 6, 1))
    assert result_of(ada_in, HeadCheck.objects.get()).extra == []


def test_one_sold_is_shown_and_not_offered(ada_in, cast, herd):
    write(entry(cast.kettle_bench), Batch(events=[NewEvent(herd.bull, "sale", date(2025, 1, 1))]))
    keep(ada_in, herd.group, typed=f"{EID}\n12\n5")
    line = result_of(ada_in, HeadCheck.objects.get()).extra[0]
    assert not line.can_act
    assert line.words.startswith("sold since Jan 1, 2025")


def test_an_animal_not_shown_by_the_count_is_not_acted_upon(ada_in, herd):
    keep(ada_in, herd.group, typed="12")
    act(ada_in, "count-missing", HeadCheck.objects.get(), animals=str(herd.bull))
    assert Animal.objects.get(pk=herd.bull).is_on_hand


def test_a_count_is_listed_and_taken_back(ada_in, herd):
    keep(ada_in, herd.group, counted="1", note="half of them in the brush")
    counts = reverse("office:group-counts", args=[herd.group])
    assert "half of them in the brush" in ada_in.get(counts).content.decode()
    target = Changeset.objects.get(title="Counted Upper Bench")
    changes = ada_in.get(reverse("office:changeset", args=[target.pk])).content.decode()
    assert "Upper Bench on Jun 1, 2025: 1 head counted." in changes
    ada_in.post(reverse("office:changeset-undo", args=[target.pk]))
    assert "has not been counted yet" in ada_in.get(counts).content.decode()


@pytest.mark.parametrize("way", ["csv", "xlsx", "print"])
def test_a_result_leaves_the_site(ada_in, herd, way):
    keep(ada_in, herd.group, typed="12\n999", cow="1")
    answer = ada_in.get(reverse("office:count", args=[HeadCheck.objects.get().pk]), {"as": way})
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith({"csv": "text/csv", "print": "text/html"}.get(way, "application/vnd"))


def test_the_csv_has_a_line_for_each_that_is_not_even(ada_in, herd):
    keep(ada_in, herd.group, typed="12\n419")
    answer = ada_in.get(reverse("office:count", args=[HeadCheck.objects.get().pk]), {"as": "csv"})
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    assert f"\"expected, not seen\",,417 yellow,'{EID},\"last seen Oct 1, 2024\"" in text
    assert "names no animal,419,,,No animal of this outfit wears or wore it. It may be 417 yellow." in text


def test_readers_look_and_do_not_write(as_person, ada_in, cast, herd):
    keep(ada_in, herd.group, typed="12")
    reader, check = as_person(cast.dot), HeadCheck.objects.get()
    page = reader.get(reverse("office:count", args=[check.pk])).content.decode()
    assert "Mark all as missing" not in page
    assert keep(reader, herd.group, counted="1").status_code == 403
    assert act(reader, "count-missing", check, all="1").status_code == 403


def test_a_thousand_head_are_shown_in_few_queries(ada_in, cast, herd, django_assert_max_num_queries):
    many = [NewAnimal({"entry_class": "steer"}) for _ in range(1_000)]
    joins = [Join(one.id, herd.group, date(2025, 1, 1)) for one in many]
    write(entry(cast.kettle_bench), Batch(animals=many, joins=joins))
    keep(ada_in, herd.group, typed="12\n999")
    with django_assert_max_num_queries(40):
        result = result_of(ada_in, HeadCheck.objects.get())
    assert len(result.unseen) == 1_001
