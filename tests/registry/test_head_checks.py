"""Head counts kept and held against the record of their day."""

from datetime import date
from uuid import UUID

import pytest

from herd.accounts.models import Outfit
from herd.ledger.models import Changeset
from herd.registry.models import Animal, Group, HeadCheck
from herd.registry.queries.headchecks import by_class_on, class_differences, compare, last_seen
from herd.registry.queries.whose import whose
from herd.registry.services import groups, headchecks, tags
from herd.registry.services.batch import Batch, NewEvent, PutOn
from herd.registry.services.headchecks import Count
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from herd.registry.undo import undo
from tests.cast import eid_tag, entry, register, vid_tag

SPRING, SUMMER, FALL = date(2025, 3, 1), date(2025, 6, 1), date(2025, 10, 1)
EID = "840270000000417"


@pytest.fixture
def cows(kettle_bench: Outfit) -> Group:
    return Group.objects.get(pk=groups.open_group(entry=entry(kettle_bench), name="Cows"))


@pytest.fixture
def trap(kettle_bench: Outfit) -> Group:
    return Group.objects.get(pk=groups.open_group(entry=entry(kettle_bench), name="Mill Trap"))


@pytest.fixture
def herd(kettle_bench: Outfit, cows: Group) -> list[UUID]:
    """Cow 417 with EID, cow 418, heifer 12."""
    return [
        register(kettle_bench, eid_tag(EID), vid_tag("417"), group_id=cows.pk, on=SPRING),
        register(kettle_bench, vid_tag("418"), group_id=cows.pk, on=SPRING),
        register(kettle_bench, vid_tag("12"), animal_class="heifer", group_id=cows.pk, on=SPRING),
    ]


def keep(outfit: Outfit, group: Group, on: date, *numbers: str, **more) -> HeadCheck:
    key = headchecks.keep(
        entry=entry(outfit, title="counted"), group=group, on=on, count=Count(numbers=numbers, **more)
    )
    return HeadCheck.objects.select_related("group").get(pk=key)


def test_each_number_ends_as_seen_extra_double_or_told_why(kettle_bench, cows, trap, herd) -> None:
    stray = register(kettle_bench, vid_tag("90"), group_id=trap.pk, on=SPRING)
    told = compare(kettle_bench, cows.pk, SUMMER, [EID, "417", "90", "419", "8402700"])
    assert told.expected == 3
    assert told.seen == herd[:1]
    assert sorted(told.unseen) == sorted(herd[1:])
    assert told.extra == [stray]
    assert told.doubles == {herd[0]: 2}
    assert [(one.text, one.is_read) for one in told.untold] == [("419", True), ("8402700", True)]
    assert set(told.untold[0].may_be) == {herd[0], herd[1]}
    assert told.head == 4


def test_every_number_is_accounted_for(kettle_bench, cows, herd) -> None:
    numbers = ["417", EID, "418", "418 yellow", "999", "12:30", "840 270 000 000 417", "fence", "  "]
    told = compare(kettle_bench, cows.pk, SUMMER, numbers)
    doubled = sum(times - 1 for times in told.doubles.values())
    assert len(told.seen) + len(told.extra) + doubled + len(told.untold) == len(numbers)


def test_an_eid_cut_short_and_a_word_make_no_head(kettle_bench, cows, herd) -> None:
    told = compare(kettle_bench, cows.pk, SUMMER, ["840270000004", "fence", "417"])
    assert [(one.text, one.is_read) for one in told.untold] == [("840270000004", False), ("fence", False)]
    assert "has 12 digits; an electronic number has 15" in told.untold[0].reason
    assert told.head == 1


def test_a_late_count_is_held_against_the_members_of_its_day(kettle_bench, cows, trap, herd) -> None:
    groups.move(entry=entry(kettle_bench), animal_ids=herd[:1], group_id=trap.pk, on=FALL)
    late = register(kettle_bench, vid_tag("500"), group_id=cows.pk, on=FALL)
    told = compare(kettle_bench, cows.pk, SUMMER, ["417", "500"])
    assert (told.seen, told.extra, told.expected) == (herd[:1], [late], 3)


def test_a_tag_names_who_wore_it_on_the_day(kettle_bench, cows, herd) -> None:
    wearing = Animal.objects.get(pk=herd[1]).wearings.get()
    tags.take_off(entry=entry(kettle_bench), wearing_id=wearing.pk, on=SUMMER, ended="lost")
    tags.put_on(entry=entry(kettle_bench), tag=PutOn(herd[2], "vid", "418", "yellow", worn_from=FALL))
    assert [whose(kettle_bench, ["418"], day)[0].animal_id for day in (SPRING, FALL)] == [herd[1], herd[2]]


def test_of_two_tags_with_one_number_the_one_expected_is_meant(kettle_bench, cows, trap, herd) -> None:
    green = register(kettle_bench, vid_tag("418", "green"), group_id=trap.pk, on=SPRING)
    assert compare(kettle_bench, cows.pk, SUMMER, ["418"]).seen == [herd[1]]
    assert compare(kettle_bench, cows.pk, SUMMER, ["418 green"]).extra == [green]
    told = whose(kettle_bench, ["418"], SUMMER)[0]
    assert (told.animal_id, set(told.may_be)) == (None, {herd[1], green})
    assert "2 animals answer to it" in told.reason


def test_a_bare_figure_is_kept_beside_what_was_expected(kettle_bench, cows, herd) -> None:
    check = keep(kettle_bench, cows, SUMMER, counted=2, by_class={"cow": 1})
    assert (check.counted, check.expected, check.difference) == (2, 3, -1)
    classes = class_differences(check, by_class_on(kettle_bench, cows.pk, SUMMER))
    assert [(one.name, one.counted, one.expected, one.difference) for one in classes] == [("cow", 1, 2, -1)]


def test_classes_are_those_of_the_day(kettle_bench, cows, herd) -> None:
    write(entry(kettle_bench), Batch(events=[NewEvent(herd[2], "calving", FALL, {"outcome": "live"})]))
    assert by_class_on(kettle_bench, cows.pk, SUMMER) == {"cow": 2, "heifer": 1}
    assert by_class_on(kettle_bench, cows.pk, FALL) == {"cow": 3}


def test_numbers_alone_make_the_figure(kettle_bench, cows, herd) -> None:
    assert keep(kettle_bench, cows, SUMMER, "417", EID, "418", "999").counted == 3


def test_a_count_of_nothing_or_of_more_classes_than_head_is_refused(kettle_bench, cows, herd) -> None:
    with pytest.raises(Refused, match="Give a figure, or numbers"):
        keep(kettle_bench, cows, SUMMER)
    with pytest.raises(Refused, match="come to 5, more than 4"):
        keep(kettle_bench, cows, SUMMER, counted=4, by_class={"cow": 5})


def test_those_not_seen_are_marked_missing_at_once_and_that_is_taken_back(kettle_bench, cows, herd) -> None:
    check = keep(kettle_bench, cows, SUMMER, "417")
    with_title = entry(kettle_bench, title="missing")
    assert headchecks.mark_missing(entry=with_title, check=check, animal_ids=herd[1:]) == 2
    rows = Animal.objects.filter(pk__in=herd[1:])
    assert set(rows.values_list("status", "status_since", "group")) == {("missing", SUMMER, None)}
    assert undo(entry(kettle_bench), Changeset.objects.get(title="missing")).is_possible
    assert set(rows.values_list("status", "group")) == {("on_hand", cows.pk)}


def test_one_seen_after_the_count_or_gone_is_not_marked_missing(kettle_bench, cows, trap, herd) -> None:
    check = keep(kettle_bench, cows, SUMMER, "12")
    write(entry(kettle_bench), Batch(events=[NewEvent(herd[0], "weaning", FALL, {})]))
    groups.move(entry=entry(kettle_bench), animal_ids=herd[1:2], group_id=trap.pk, on=FALL)
    with pytest.raises(Refused) as refused:
        headchecks.mark_missing(entry=entry(kettle_bench), check=check, animal_ids=herd[:2])
    assert [one.reason for one in refused.value.refusals] == [
        "It was seen on 2025-10-01, after the count.",
        "It has left the group since.",
    ]
    assert not Animal.objects.filter(status="missing").exists()


def test_an_animal_missing_before_the_count_is_found_and_joins(kettle_bench, cows, trap, herd) -> None:
    lost = register(kettle_bench, vid_tag("90"), group_id=trap.pk, on=SPRING)
    write(entry(kettle_bench), Batch(events=[NewEvent(lost, "missing", date(2025, 4, 1))]))
    check = keep(kettle_bench, cows, SUMMER, "90")
    assert headchecks.take_in(entry=entry(kettle_bench, title="taken in"), check=check, animal_ids=[lost]) == 1
    row = Animal.objects.get(pk=lost)
    assert (row.status, row.group_id) == ("on_hand", cows.pk)
    assert undo(entry(kettle_bench), Changeset.objects.get(title="taken in")).is_possible
    row.refresh_from_db()
    assert (row.status, row.group_id) == ("missing", None)


def test_one_sold_before_the_count_does_not_join(kettle_bench, cows, trap, herd) -> None:
    sold = register(kettle_bench, vid_tag("90"), group_id=trap.pk, on=SPRING)
    write(entry(kettle_bench), Batch(events=[NewEvent(sold, "sale", date(2025, 4, 1))]))
    check = keep(kettle_bench, cows, SUMMER, "90")
    with pytest.raises(Refused, match="It is sold since 2025-04-01"):
        headchecks.take_in(entry=entry(kettle_bench), check=check, animal_ids=[sold])


def test_being_marked_missing_is_no_sight_of_the_animal(kettle_bench, herd) -> None:
    write(entry(kettle_bench), Batch(events=[NewEvent(herd[0], "weaning", SUMMER), NewEvent(herd[0], "missing", FALL)]))
    assert last_seen(kettle_bench, herd) == {herd[0]: SUMMER}


def test_a_large_group_is_compared_in_few_queries(kettle_bench, cows, herd, django_assert_max_num_queries) -> None:
    numbers = [f"8402700000{place:05}" for place in range(1, 800)]
    # Most of them look for near misses of the first two hundred unknown numbers, however many there are.
    with django_assert_max_num_queries(45):
        assert len(compare(kettle_bench, cows.pk, SUMMER, numbers).untold) == 798
