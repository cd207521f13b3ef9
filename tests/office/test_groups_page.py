"""The group pages: head by class, and who was in a group on a day."""

from datetime import date

from django.urls import reverse

from herd.registry.services import groups
from herd.registry.services.batch import Batch, Join, NewAnimal
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
