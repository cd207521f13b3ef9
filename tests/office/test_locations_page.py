"""The location pages: head there on a day, premises numbers, groups moved there, places taken out of use."""

from datetime import date

import pytest
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.models import Animal, Group, Location
from herd.registry.services import groups
from herd.values.premises import check_character
from tests.cast import entry

NUMBER = "00KB09" + check_character("00KB09")


@pytest.fixture
def creek(cast):
    return groups.open_location(entry=entry(cast.kettle_bench), name="Mill Creek")


def page_of(client, name, *args, **query):
    return client.get(reverse(f"office:{name}", args=args), query)


def place(client, herd, creek, on="2025-06-01"):
    return client.post(reverse("office:group-place", args=[herd.group]), {"location": str(creek), "on": on})


def test_without_locations_the_head_is_somewhere_not_known(ada_in, herd):
    page = page_of(ada_in, "locations").content.decode()
    assert "Location not known" in page
    assert reverse("office:location-new") in page


def test_a_group_moves_and_its_head_is_counted_there_from_that_day(ada_in, herd, creek):
    answer = place(ada_in, herd, creek)
    assert "lies at Mill Creek since Jun 1, 2025; 2 head moved" in ada_in.get(answer["Location"]).content.decode()

    def head(on):
        return {one.place and one.place.name: one.head for one in page_of(ada_in, "locations", on=on).context["rows"]}

    assert head("2025-05-31") == {"Mill Creek": 0, None: 3}
    assert head("2025-06-01") == {"Mill Creek": 2, None: 1}
    assert page_of(ada_in, "location", creek, on="2025-06-01").context["head"] == 2
    assert page_of(ada_in, "location", creek, on="2025-05-31").context["head"] == 0


def test_the_move_is_taken_back_with_its_button(ada_in, herd, creek):
    place(ada_in, herd, creek)
    target = Changeset.objects.get(title="Moved the group Upper Bench to Mill Creek")
    ada_in.post(reverse("office:changeset-undo", args=[target.pk]))
    assert Group.objects.get(pk=herd.group).location_id is None
    assert Animal.objects.get(pk=herd.cow).location_id is None


def test_a_day_in_the_future_is_refused_beside_the_day(ada_in, herd, creek):
    answer = place(ada_in, herd, creek, on="2199-01-01")
    assert "lies in the future" in str(answer.context["form"].errors["on"])


def test_who_came_and_went_is_listed(ada_in, herd, creek):
    place(ada_in, herd, creek)
    context = page_of(ada_in, "location-moves", creek, **{"from": "2025-01-01", "to": "2025-12-31"}).context
    assert {(one.day, one.is_in, one.other) for one in context["lines"]} == {
        (date(2025, 6, 1), True, "a place not known")
    }
    assert (context["ledger"].came, context["ledger"].after) == (2, 2)


def test_a_premises_number_with_a_slip_says_what_is_wrong(ada_in, herd):
    address = reverse("office:location-new")
    wrong = NUMBER[:-1] + ("0" if NUMBER[-1] != "0" else "1")
    answer = ada_in.post(address, {"name": "Home", "premises_number": wrong})
    assert "its last character should be" in str(answer.context["form"].errors["premises_number"])
    ada_in.post(address, {"name": "Home", "premises_number": NUMBER.lower()})
    assert Location.objects.get(name="Home").premises_number == NUMBER


def test_a_location_is_renamed(ada_in, herd, creek):
    ada_in.post(reverse("office:location-change", args=[creek]), {"name": "Creek", "premises_number": ""})
    assert Location.objects.get(pk=creek).name == "Creek"


def test_a_location_in_use_stays_and_an_empty_one_goes_out_of_use_and_back(ada_in, herd, creek):
    address = reverse("office:location-retire", args=[creek])
    place(ada_in, herd, creek)
    assert "Upper Bench lies there" in ada_in.post(address, follow=True).content.decode()
    assert not Location.objects.get(pk=creek).is_retired
    other = groups.open_location(entry=entry(Location.objects.get(pk=creek).outfit), name="Home")
    place(ada_in, herd, other, on="2025-07-01")
    ada_in.post(address)
    assert Location.objects.get(pk=creek).is_retired
    offered = page_of(ada_in, "group-place", herd.group).context["form"].fields["location"].choices
    assert [name for _, name in offered] == ["choose a location"]
    ada_in.post(address, {"back": "1"})
    assert not Location.objects.get(pk=creek).is_retired


@pytest.mark.parametrize("way", ["csv", "xlsx", "print"])
@pytest.mark.parametrize("name", ["locations", "location", "location-moves"])
def test_every_list_leaves_the_site(ada_in, herd, creek, name, way):
    place(ada_in, herd, creek)
    args = [] if name == "locations" else [creek]
    answer = page_of(ada_in, name, *args, **{"as": way})
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith({"csv": "text/csv", "print": "text/html"}.get(way, "application/vnd"))


def test_crew_moves_groups_but_opens_no_location(as_person, cast, herd, creek):
    crew = as_person(cast.cal)
    assert place(crew, herd, creek).status_code == 302
    assert crew.get(reverse("office:location-new")).status_code == 403
    assert place(as_person(cast.dot), herd, creek).status_code == 403
