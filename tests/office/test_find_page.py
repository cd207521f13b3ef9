"""The find box: each way to find an animal, said in words."""

from datetime import date

from django.urls import reverse

from herd.registry.models import TagWearing
from herd.registry.services import events, tags
from herd.registry.services.batch import NewEvent, PutOn
from tests.cast import eid_tag, entry, register, vid_tag
from tests.office.conftest import EID


def find(client, number, **more):
    return client.get(reverse("office:find"), {"q": number, **more})


def animal(animal_id):
    return reverse("office:animal", args=[animal_id])


def test_a_number_that_one_animal_wears_leads_straight_to_it(ada_in, herd):
    assert find(ada_in, EID).url == animal(herd.cow)


def test_an_eid_is_found_in_any_spelling(ada_in, herd):
    for spelling in ("840 270 000 000 417", "840-270000000417", " 840270000000417 ", "USA270000000417"):
        answer = find(ada_in, spelling)
        assert answer.status_code == 302, spelling
        assert answer.url == animal(herd.cow)


def test_a_visual_tag_is_found_whatever_the_case(ada_in, cast, herd):
    one = register(cast.kettle_bench, vid_tag("B204"))
    assert find(ada_in, "b204").url == animal(one)


def test_other_readings_of_the_number_are_offered_on_the_animals_page(ada_in, cast, herd):
    register(cast.kettle_bench, eid_tag("840270000990417"))
    answer = find(ada_in, "417")
    assert answer.url == f"{animal(herd.cow)}?asked=417"
    page = ada_in.get(answer.url).content.decode()
    assert "Others that “417” may mean" in page
    listed = find(ada_in, "417", all=1).content.decode()
    assert "2 animals for “417”" in listed
    assert "last digits of its EID" in listed


def test_a_number_worn_before_is_named_as_such(ada_in, cast, herd):
    old = TagWearing.objects.get(animal=herd.cow, kind="eid")
    new = PutOn(herd.cow, "eid", "840270000005000", worn_from=date(2025, 5, 1))
    tags.replace(entry=entry(cast.kettle_bench), old=old, ended="lost", new=new)
    page = find(ada_in, EID).content.decode()
    assert "wore it before" in page
    assert animal(herd.cow) in page


def test_a_sample_tube_leads_to_its_animal(ada_in, cast, herd):
    sample = NewEvent(herd.heifer, "sample", date(2025, 5, 1), {"tube": "TB00881"})
    events.record(entry=entry(cast.kettle_bench), events=[sample])
    assert find(ada_in, "tb00881").url == animal(herd.heifer)


def test_last_digits_list_their_animals(ada_in, herd):
    page = find(ada_in, "00417").content.decode()
    assert "last digits of its EID" in page
    assert animal(herd.cow) in page


def test_a_slip_is_named_as_a_near_miss(ada_in, herd):
    page = find(ada_in, "840270000000471").content.decode()
    assert "one slip away" in page
    assert animal(herd.cow) in page


def test_nothing_found_says_what_was_tried(ada_in, herd):
    page = find(ada_in, "99881").content.decode()
    assert "Nothing found for “99881”" in page
    assert "Looked for it among the tags worn now" in page


def test_an_empty_box_explains_itself(ada_in, herd):
    assert "Type any number" in find(ada_in, "  ").content.decode()


def test_what_was_typed_is_never_taken_for_markup(ada_in, herd):
    page = find(ada_in, "<b>9</b>&").content.decode()
    assert "<b>9</b>" not in page
    assert "&lt;b&gt;9&lt;/b&gt;&amp;" in page


def test_a_very_long_number_is_answered(ada_in, herd):
    assert find(ada_in, "9" * 5_000).status_code == 200
