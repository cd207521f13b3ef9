"""The group pages: head by class, who was in a group on a day, who came and went, and what is written of one."""

from datetime import date

import pytest
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.models import Animal, Group
from herd.registry.services import groups
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent
from herd.registry.services.writer import write
from tests.cast import entry


def group_page(client, group, **query):
    return client.get(reverse("office:group", args=[group]), query)


def test_the_list_counts_each_group_by_class(ada_in, herd):
    page = " ".join(ada_in.get(reverse("office:groups")).content.decode().split())
    assert reverse("office:group", args=[herd.group]) in page
    assert '<td class="num" data-label="cows">1</td>' in page
    assert '<td class="num" data-label="in all"><strong>2</strong></td>' in page


def test_a_group_lists_its_members_with_their_last_weight(ada_in, herd):
    answer = group_page(ada_in, herd.group)
    assert [one.animal.pk for one in answer.context["members"]] == sorted([herd.cow, herd.heifer])
    page = answer.content.decode()
    assert "1,200 lb" in page
    assert "Oct 1, 2024" in page


def test_the_day_of_joining_counts_and_the_day_of_leaving_does_not(ada_in, cast, herd):
    other = groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")
    groups.move(entry=entry(cast.kettle_bench), animal_ids=[herd.cow], group_id=other, on=date(2025, 6, 1))

    def members(group, on):
        return [one.animal.pk for one in group_page(ada_in, group, on=on).context["members"]]

    assert herd.cow in members(herd.group, "2025-05-31")
    assert herd.cow not in members(herd.group, "2025-06-01")
    assert members(other, "2025-06-01") == [herd.cow]
    assert members(other, "2025-05-31") == []


def test_weights_after_the_day_are_not_shown(ada_in, herd):
    members = group_page(ada_in, herd.group, on="2024-09-30").context["members"]
    assert [one.weighed for one in members] == [None, None]


def test_nobody_there_is_said_with_the_day(ada_in, herd):
    assert (
        "Nobody was in Upper Bench on Jan 1, 2020" in group_page(ada_in, herd.group, on="2020-01-01").content.decode()
    )


def test_a_day_that_is_none_counts_as_today(ada_in, herd):
    answer = group_page(ada_in, herd.group, on="soon")
    assert answer.context["day"] == answer.context["today"]


def test_a_large_group_comes_in_pages_of_two_hundred(ada_in, cast, django_assert_max_num_queries):
    bench = cast.kettle_bench
    group = groups.open_group(entry=entry(bench), name="Feeders")
    many = [NewAnimal({"entry_class": "steer"}) for _ in range(450)]
    write(entry(bench), Batch(animals=many, joins=[Join(one.id, group, date(2026, 1, 1)) for one in many]))
    seen, after, sizes = [], {}, []
    while True:
        with django_assert_max_num_queries(10):
            context = group_page(ada_in, group, **after).context
        seen += [one.animal.pk for one in context["members"]]
        sizes.append((len(context["members"]), context["first"], context["last"], context["head"]))
        if not context["next"]:
            break
        after = {"after": context["next"]}
    assert sizes == [(200, 1, 200, 450), (200, 201, 400, 450), (50, 401, 450, 450)]
    assert seen == sorted(one.id for one in many)


def said(answer):
    return " ".join(answer.content.decode().split())


def post(client, page, key, **data):
    return client.post(reverse(f"office:{page}", args=[key]), data)


def test_the_list_counts_any_past_day(ada_in, cast, herd):
    write(entry(cast.kettle_bench), Batch(events=[NewEvent(herd.cow, "sale", date(2026, 5, 1))]))
    page = said(ada_in.get(reverse("office:groups"), {"on": "2026-04-30"}))
    assert "<strong>4 head</strong> on hand on Apr 30, 2026" in page
    assert ada_in.get(reverse("office:groups"), {"on": "2026-05-01"}).context["count"].total == 3


KINDS = {"csv": "text/csv", "xlsx": "application/vnd.openxml", "print": "text/html"}


@pytest.mark.parametrize("way", sorted(KINDS))
@pytest.mark.parametrize("page", ["groups", "group", "group-moves", "group-counts"])
def test_every_list_leaves_the_site(ada_in, herd, page, way):
    args = [] if page == "groups" else [herd.group]
    answer = ada_in.get(reverse(f"office:{page}", args=args), {"as": way, "on": "2026-01-01"})
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith(KINDS[way])


def test_the_ways_out_keep_the_day_asked_for(ada_in, herd):
    assert "?on=2026-01-01&amp;as=csv" in said(ada_in.get(reverse("office:groups"), {"on": "2026-01-01"}))


def test_the_members_leave_with_their_eids_as_text(ada_in, herd):
    text = b"".join(group_page(ada_in, herd.group, **{"as": "csv"}).streaming_content).decode()
    assert "417 yellow,'840270000000417,cow,2019-04-02,1200,2024-10-01" in text


def test_a_group_is_renamed_and_put_right(ada_in, cast, herd):
    place = groups.open_location(entry=entry(cast.kettle_bench), name="Bench")
    post(ada_in, "group-change", herd.group, name="Lower Bench", kind="pen", location=str(place))
    row = Group.objects.get(pk=herd.group)
    assert (row.name, row.kind, row.location_id) == ("Lower Bench", "pen", place)
    assert Animal.objects.get(pk=herd.cow).location_id == place


def test_a_name_that_is_taken_is_said_beside_its_field(ada_in, cast, herd):
    groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")
    answer = post(ada_in, "group-change", herd.group, name="Mill Trap", kind="herd", location="")
    assert answer.context["form"].errors["name"] == ["There is a group called Mill Trap already."]


def test_closing_asks_where_its_animals_go_and_can_be_taken_back(ada_in, cast, herd):
    trap = groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")
    answer = post(ada_in, "group-close", herd.group, on="2026-06-01", into="")
    assert answer.context["form"].errors["into"] == ["Say which group its animals join."]
    answer = post(ada_in, "group-close", herd.group, on="2026-06-01", into=str(trap))
    assert Group.objects.get(pk=herd.group).is_closed
    assert Animal.objects.get(pk=herd.cow).group_id == trap
    page = said(ada_in.get(answer["Location"]))
    assert "Closed groups" in page
    target = Changeset.objects.get(title="Closed the group Upper Bench")
    assert reverse("office:changeset-undo", args=[target.pk]) in page
    ada_in.post(reverse("office:changeset-undo", args=[target.pk]))
    assert not Group.objects.get(pk=herd.group).is_closed


def test_an_empty_group_closes_and_opens_again(ada_in, cast, herd):
    empty = groups.open_group(entry=entry(cast.kettle_bench), name="Old Pen")
    post(ada_in, "group-close", empty, on="2026-06-01")
    assert Group.objects.get(pk=empty).is_closed
    post(ada_in, "group-reopen", empty)
    assert not Group.objects.get(pk=empty).is_closed


def test_a_day_before_its_animals_joined_is_refused_beside_the_day(ada_in, cast, herd):
    trap = groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")
    answer = post(ada_in, "group-close", herd.group, on="2020-01-01", into=str(trap))
    assert "after that day" in str(answer.context["form"].errors["on"])


def test_who_joined_and_left_is_listed_with_the_sum(ada_in, cast, herd):
    trap = groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap")
    groups.move(entry=entry(cast.kettle_bench), animal_ids=[herd.cow], group_id=trap, on=date(2025, 6, 1))
    span = {"from": "2025-01-01", "to": "2025-12-31"}
    context = ada_in.get(reverse("office:group-moves", args=[herd.group]), span).context
    assert [(one.name, one.is_in, one.other) for one in context["lines"]] == [("417 yellow", False, "Mill Trap")]
    ledger = context["ledger"]
    assert (ledger.before, ledger.came, ledger.went, ledger.after) == (2, 0, 1, 1)


def test_days_given_backwards_are_turned_round(ada_in, herd):
    span = {"from": "2025-12-31", "to": "2025-01-01"}
    context = ada_in.get(reverse("office:group-moves", args=[herd.group]), span).context
    assert (context["first"], context["last"]) == (date(2025, 1, 1), date(2025, 12, 31))


def test_the_class_on_a_past_day_is_that_days(ada_in, cast, herd):
    write(entry(cast.kettle_bench), Batch(events=[NewEvent(herd.heifer, "calving", date(2026, 3, 1))]))
    then = group_page(ada_in, herd.group, on="2026-02-01").context["members"]
    assert {one.animal.pk: one.animal.animal_class for one in then}[herd.heifer] == "heifer"


@pytest.mark.parametrize("name", ["group-change", "group-close", "group-reopen"])
def test_crew_does_not_change_groups(as_person, cast, herd, name):
    assert post(as_person(cast.cal), name, herd.group, name="Hm", kind="pen").status_code == 403


def test_readers_see_no_boxes_to_pick(as_person, cast, herd):
    assert 'type="checkbox"' not in said(group_page(as_person(cast.dot), herd.group))
