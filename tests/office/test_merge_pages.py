"""Merging and splitting in the office: both sides seen first, choices made, one changeset, and a way back."""

from datetime import date
from uuid import UUID, uuid4

import pytest
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.models import Animal, Event, TagWearing
from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from tests.cast import eid_tag, entry, register, vid_tag
from tests.office.conftest import weigh

OTHER_EID = "840270000000991"


def address(keep: UUID, other: UUID) -> str:
    return f"{reverse('office:animals-merge')}?keep={keep}&other={other}"


CHOICES = {"eid": "kept", "ended": "data_error", "on": "2026-05-01", "group": "kept", "reason": "read twice"}


@pytest.fixture
def double(cast, herd):
    """Cow 417 recorded once more: red, with another EID, in another group, with her weight and a calf."""
    bench = cast.kettle_bench
    trap = groups.open_group(entry=entry(bench), name="Mill Trap")
    other = register(bench, eid_tag(OTHER_EID), vid_tag("77", "white"), group_id=trap, coat="red")
    weigh(bench, other, date(2024, 10, 1), "1200")
    register(bench, vid_tag("89", "green"), animal_class="heifer", dam_id=other)
    return other


def text_of(client, url):
    return " ".join(client.get(url).content.decode().split())


def test_the_other_record_is_found_by_any_number(ada_in, herd, double):
    page = ada_in.get(reverse("office:animals-merge"), {"keep": herd.cow})
    assert "Which other record is the same animal as 417 yellow?" in page.content.decode()
    answer = ada_in.get(reverse("office:animals-merge"), {"keep": herd.cow, "number": "77"})
    assert answer.url == address(herd.cow, double)
    first = ada_in.get(reverse("office:animals-merge"), {"number": "417"})
    assert first.url == f"{reverse('office:animals-merge')}?keep={herd.cow}"


@pytest.mark.parametrize(("number", "says"), [("417", "That is the same record"), ("4711", "No animal of this outfit")])
def test_a_number_that_names_no_other_record_is_said_beside_it(ada_in, herd, number, says):
    page = ada_in.get(reverse("office:animals-merge"), {"keep": herd.cow, "number": number}).content.decode()
    assert says in page
    assert 'id="id_number_error"' in page


def test_both_stand_side_by_side_with_what_differs(ada_in, herd, double):
    page = text_of(ada_in, address(herd.cow, double))
    for words in ("Merge 77 white into 417 yellow", "Where they differ", "red", "Both wear an EID now",
                  "They are in two groups now", "The same on both: count once", "Oct 1, 2024: Weighed 1,200 lb."):
        assert words in page


def test_a_merge_is_written_told_and_taken_back(ada_in, herd, double):
    answer = ada_in.post(address(herd.cow, double), {**CHOICES, "fact_coat": "other", "once": _twice(double)})
    assert answer.url == reverse("office:animal", args=[herd.cow])
    page = ada_in.get(answer.url).content.decode()
    written = Changeset.objects.order_by("-recorded_at")[0]
    assert written.title == "Merged 77 white into 417 yellow"
    assert reverse("office:changeset-undo", args=[written.pk]) in page
    assert "Another record of the same animal was merged into this one" in page
    cow = Animal.objects.get(pk=herd.cow)
    assert (cow.coat, cow.calves.filter(is_void=False).count()) == ("red", 2)
    assert Event.objects.of(cow.outfit).filter(animal=cow, kind="weight").count() == 1
    assert ada_in.post(reverse("office:changeset-undo", args=[written.pk])).status_code == 302
    assert not Animal.objects.get(pk=double).is_void
    assert Animal.objects.get(pk=herd.cow).coat == ""


def _twice(animal):
    return [str(event.pk) for event in Event.objects.filter(animal=animal, kind="weight")]


def test_a_double_with_other_details_is_shown_with_both_and_left_to_a_person(ada_in, cast, herd, double):
    for animal, days in ((herd.cow, 90), (double, 100)):
        check = NewEvent(animal, "pregnancy_check", date(2025, 9, 1), {"result": "pregnant", "days": days})
        events.record(entry=entry(cast.kettle_bench), events=[check])
    page = ada_in.get(address(herd.cow, double))
    ticks = {event.kind: (words, is_ticked) for event, words, is_ticked in page.context["doubles"]}
    assert ticks["weight"][1]
    words, is_ticked = ticks["pregnancy_check"]
    assert "100 days bred" in words
    assert "The record kept says: Checked pregnant, 90 days bred" in words
    assert not is_ticked


def test_the_button_of_a_merge_with_an_empty_record_takes_back_that_merge(ada_in, cast, herd):
    empty = register(cast.kettle_bench)
    page = ada_in.post(address(herd.cow, empty), {"reason": "typed twice"}, follow=True).content.decode()
    written = Changeset.objects.order_by("-recorded_at")[0]
    assert reverse("office:changeset-undo", args=[written.pk]) in page


def test_an_unticked_double_happened_twice(ada_in, herd, double):
    ada_in.post(address(herd.cow, double), {**CHOICES, "once": []})
    assert Event.objects.filter(animal=herd.cow, kind="weight", is_void=False).count() == 2


def test_an_old_address_leads_to_the_record_kept(ada_in, herd, double):
    ada_in.post(address(herd.cow, double), CHOICES)
    for name in ("animal", "animal-history", "animal-family", "animal-correct"):
        answer = ada_in.get(reverse(f"office:{name}", args=[double]))
        assert answer.url == reverse(f"office:{name}", args=[herd.cow])
    assert "merged into this one" in text_of(ada_in, reverse("office:animal", args=[herd.cow]))


def test_the_button_pressed_twice_merges_once(ada_in, herd, double):
    ada_in.post(address(herd.cow, double), CHOICES)
    written = Changeset.objects.count()
    answer = ada_in.post(address(herd.cow, double), CHOICES)
    assert answer.url == reverse("office:animal", args=[herd.cow])
    assert Changeset.objects.count() == written


def test_a_reason_is_asked_for(ada_in, herd, double):
    page = ada_in.post(address(herd.cow, double), {**CHOICES, "reason": ""}).content.decode()
    assert 'id="id_reason_error"' in page
    assert not Animal.objects.get(pk=double).is_void


def test_dam_and_calf_can_not_be_merged_and_the_page_says_why(ada_in, herd):
    page = ada_in.get(address(herd.cow, herd.calf)).content.decode()
    assert "dam or sire; put that right first" in page
    assert "Make them one record" not in page
    assert "dam or sire" in ada_in.post(address(herd.cow, herd.calf), CHOICES).content.decode()


def test_both_histories_read_like_sentences(ada_in, herd, double):
    ada_in.post(address(herd.cow, double), CHOICES)
    page = text_of(ada_in, reverse("office:animal-history", args=[herd.cow]))
    assert "Merged into 417 yellow: both are one animal." in page
    assert "Visual tag 77 white went from the record merged into 417 yellow to 417 yellow." in page
    assert "Reason: read twice" in page
    calf = TagWearing.objects.get(tag__number="89").animal_id
    page = text_of(ada_in, reverse("office:animal-history", args=[calf]))
    assert "dam from the record merged into 417 yellow to 417 yellow" in page


def test_a_wrong_merge_is_split_long_after_with_its_parts_ticked(ada_in, cast, herd, double):
    ada_in.post(address(herd.cow, double), {**CHOICES, "once": _twice(double)})
    note = NewEvent(herd.cow, "note", date(2026, 5, 2), {"note": "kicks"})
    events.record(entry=entry(cast.kettle_bench), events=[note])
    url = reverse("office:animal-split", args=[herd.cow])
    page = ada_in.get(url)
    form = page.context["form"]
    assert len(form["wearings"].value()) == 2
    assert "kicks" in page.content.decode()
    ticked = {name: form[name].value() or [] for name in ("wearings", "stays", "events", "calves")}
    ticked["events"] = [*ticked["events"], str(note.id)]
    answer = ada_in.post(url, {**ticked, "reason": "they stood side by side"})
    assert answer.url == reverse("office:animal", args=[double])
    back = Animal.objects.get(pk=double)
    assert (back.is_void, back.same_as_id, back.group.name) == (False, None, "Mill Trap")
    assert set(Event.objects.of(back.outfit).filter(animal=back).values_list("kind", flat=True)) == {"weight", "note"}
    history = text_of(ada_in, reverse("office:animal-history", args=[herd.cow]))
    assert "Split: a second animal came out of this record." in history
    assert "A record of its own again, apart from 417 yellow." in text_of(
        ada_in, reverse("office:animal-history", args=[double])
    )


def test_two_animals_recorded_as_one_are_made_two(ada_in, herd):
    url = f"{reverse('office:animal-split', args=[herd.cow])}?merged=new"
    vid = TagWearing.objects.get(animal=herd.cow, kind="vid")
    answer = ada_in.post(
        url, {"wearings": [vid.pk], "entry_class": "cow", "entered_on": "2024-03-01", "reason": "two cows"}
    )
    vid.refresh_from_db()
    assert answer.url == reverse("office:animal", args=[vid.animal_id])
    assert vid.animal_id != herd.cow
    assert ada_in.get(answer.url).status_code == 200


def test_a_split_that_takes_nothing_is_refused_in_words(ada_in, herd):
    url = f"{reverse('office:animal-split', args=[herd.cow])}?merged=new"
    assert "at least one tag or event" in ada_in.post(url, {"reason": "two"}).content.decode()


def test_crew_and_strangers_merge_and_split_nothing(ada_in, cast, as_person, herd, double):
    urls = [address(herd.cow, double), reverse("office:animal-split", args=[herd.cow])]
    for url in urls:
        assert as_person(cast.cal).get(url).status_code == 403
        assert as_person(cast.eve).get(url).status_code == 404
    assert ada_in.get(address(herd.cow, uuid4())).status_code == 404
    assert ada_in.get(f"{urls[1]}?merged={uuid4()}").status_code == 404
