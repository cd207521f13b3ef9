"""Each page answers for those whose role allows it, and tells the others in words."""

import pytest
from django.test import RequestFactory
from django.urls import reverse
from django.views.defaults import server_error

from herd.ledger.models import Changeset
from herd.registry.models import TagWearing

READING = ["home", "find", "groups", "activity", "password", "choose-outfit", "days"]
WRITING = ["animal-new", "group-new"]


def animal_pages(herd):
    """Addresses that only write, for the cow."""
    wearing = TagWearing.objects.get(animal=herd.cow, kind="eid")
    return [
        reverse("office:animal-correct", args=[herd.cow]),
        reverse("office:animal-move", args=[herd.cow]),
        reverse("office:event-new", args=[herd.cow]),
        reverse("office:event-void", args=[herd.cow, herd.weight.pk]),
        reverse("office:tag-new", args=[herd.cow]),
        reverse("office:tag-replace", args=[herd.cow, wearing.pk]),
    ]


def reading_pages(herd):
    """Addresses with an id that everyone of the outfit may read."""
    changeset = Changeset.objects.first()
    return [
        reverse("office:animal", args=[herd.cow]),
        reverse("office:animal-history", args=[herd.cow]),
        reverse("office:group", args=[herd.group]),
        reverse("office:changeset", args=[changeset.pk]),
    ]


@pytest.mark.parametrize("username", ["ada", "ben", "cal", "dot"])
def test_everyone_of_the_outfit_reads_every_page(cast, herd, as_person, username):
    client = as_person(getattr(cast, username))
    addresses = [reverse(f"office:{name}") for name in READING] + reading_pages(herd)
    assert {address: client.get(address).status_code for address in addresses} == dict.fromkeys(addresses, 200)


@pytest.mark.parametrize("username", ["ada", "ben", "cal"])
def test_crew_and_up_get_the_forms(cast, herd, as_person, username):
    client = as_person(getattr(cast, username))
    addresses = [reverse(f"office:{name}") for name in WRITING] + animal_pages(herd)
    assert {address: client.get(address).status_code for address in addresses} == dict.fromkeys(addresses, 200)


def test_a_reader_is_told_in_words_that_writing_is_not_hers(cast, herd, as_person):
    client = as_person(cast.dot)
    addresses = [reverse(f"office:{name}") for name in WRITING] + animal_pages(herd)
    written = Changeset.objects.count()
    for address in addresses:
        for answer in (client.get(address), client.post(address, {"reason": "x", "name": "x"})):
            assert answer.status_code == 403, address
            assert "Your role in this outfit is to read" in answer.content.decode()
    assert Changeset.objects.count() == written


def test_a_readers_pages_offer_nothing_to_write(cast, herd, as_person):
    client = as_person(cast.dot)
    for address in [reverse("office:home"), *reading_pages(herd)]:
        page = client.get(address).content.decode()
        assert "/undo/" not in page, address
        assert "Correct facts" not in page
        assert reverse("office:animal-new") not in page


def test_someone_not_signed_in_is_sent_to_sign_in_and_back(cast, herd, client):
    address = reverse("office:animal", args=[herd.cow])
    answer = client.get(address)
    assert (answer.status_code, answer.url) == (302, f"{reverse('office:sign-in')}?next={address}")


def test_a_piece_of_a_page_sends_the_whole_page_to_sign_in(cast, client):
    answer = client.get(reverse("office:home"), headers={"HX-Request": "true"})
    assert (answer.status_code, answer.headers["HX-Redirect"]) == (204, reverse("office:sign-in"))


def test_an_unknown_address_answers_404_in_words(ada_in):
    answer = ada_in.get("/no-such-page/")
    assert answer.status_code == 404
    assert "There is no such page in this outfit" in answer.content.decode()


def test_a_fault_of_ours_answers_500_in_words_without_a_database():
    answer = server_error(RequestFactory().get("/"))
    assert answer.status_code == 500
    assert "The fault is ours" in answer.content.decode()


def test_an_empty_herd_says_what_to_do_first(ada_in):
    page = ada_in.get(reverse("office:home")).content.decode()
    assert "Begin with your herd list" in page
    assert f"{reverse('office:day-new')}?herd_list=1" in page


def test_an_empty_herd_does_not_ask_a_reader_to_write(cast, as_person):
    page = as_person(cast.dot).get(reverse("office:home")).content.decode()
    assert "Someone who may write" in page
    assert reverse("office:day-new") not in page


def test_the_home_page_counts_the_head(ada_in, herd):
    page = ada_in.get(reverse("office:home")).content.decode()
    assert "<strong>4</strong> head on hand" in page
    assert "<strong>1</strong> calves" in page
    assert "Upper Bench" in page
    assert "In no group" in page


def test_the_home_page_stays_at_few_queries(ada_in, herd, django_assert_max_num_queries):
    with django_assert_max_num_queries(9):
        ada_in.get(reverse("office:home"))


def test_no_groups_yet_says_what_a_group_is(ada_in):
    assert "No groups yet" in ada_in.get(reverse("office:groups")).content.decode()


def test_no_activity_yet_says_what_will_stand_there(ada_in):
    assert "Nothing has been written yet" in ada_in.get(reverse("office:activity")).content.decode()
