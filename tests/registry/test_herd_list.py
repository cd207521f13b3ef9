"""The herd list's question: what each filter lets through, each order, and pages that neither skip nor repeat."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from herd.registry.models import TagWearing
from herd.registry.queries.herdlist import SORTS, Question, count_of, filters, ids_of, page_of, sorts
from herd.registry.services import events, groups
from herd.registry.services.batch import Batch, NewEvent, TakeOff
from herd.registry.services.writer import write
from herd.values.mass import Weight, WeightUnit
from tests.cast import eid_tag, entry, register, vid_tag

TODAY = date(2026, 11, 20)


def record(outfit, animal, kind, on, **data):
    more = {}
    if kind == "weight":
        more = {"weight_ng": pounds(data["weight"])}
        data = {"weight": data["weight"], "unit": "lb"}
    one = NewEvent(animal, kind, on, data, **more)
    events.record(entry=entry(outfit), events=[one])


def pounds(figure):
    return Weight(Decimal(figure), WeightUnit.LB).nanograms


def found(outfit, **asked):
    return set(ids_of(outfit, Question(TODAY, **asked)))


@pytest.fixture(params=["looked up", "named", "walked"])
def way(request, monkeypatch):
    """Each way in which the animals are met: few or many."""
    few, named = {"looked up": (5_000, 0), "named": (5_000, 1_000), "walked": (0, 0)}[request.param]
    monkeypatch.setattr(sorts, "FEW", few)
    monkeypatch.setattr(sorts, "NAMED", named)
    monkeypatch.setattr(filters, "NARROW", 0 if request.param == "walked" else 10_000)


@pytest.fixture
def bench(kettle_bench):
    return kettle_bench


def test_group_place_and_none(bench, way):
    group = groups.open_group(entry=entry(bench), name="Upper Bench")
    here = register(bench, vid_tag("1"), group_id=group)
    loose = register(bench, vid_tag("2"))
    assert found(bench, group_id=group) == {here}
    assert found(bench, is_loose=True) == {loose}
    assert found(bench, is_nowhere=True) == {here, loose}


def test_classes_count_calves_as_the_head_count_does(bench):
    # Common practice, no source: under a year an animal is a calf beside its class, a cow never.
    young, old = TODAY - timedelta(days=364), TODAY - timedelta(days=365)
    calf = register(bench, animal_class="heifer", born_on=young, born_precision="day")
    heifer = register(bench, animal_class="heifer", born_on=old, born_precision="day")
    unborn = register(bench, animal_class="heifer")
    cow = register(bench, animal_class="cow", born_on=young, born_precision="day")
    nameless = register(bench, animal_class="")
    assert found(bench, classes=("calf",)) == {calf}
    assert found(bench, classes=("heifer",)) == {heifer, unborn}
    assert found(bench, classes=("heifer calf", "cow")) == {calf, cow}
    assert found(bench, classes=("bull calf",)) == set()
    assert found(bench, classes=("unknown",)) == {nameless}


def test_ages_are_whole_months_with_both_ends(bench):
    six = register(bench, born_on=date(2026, 5, 20), born_precision="day")
    five = register(bench, born_on=date(2026, 5, 21), born_precision="day")
    register(bench)
    assert found(bench, months_from=6) == {six}
    assert found(bench, months_to=5) == {five}
    assert found(bench, months_from=5, months_to=6) == {five, six}


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2026, 3, 31), 1, date(2026, 2, 28)),
        (date(2026, 1, 15), 1, date(2025, 12, 15)),
        (date(2026, 1, 1), 30_000, date.min),
    ],
)
def test_months_before_a_day(day, months, then):
    assert filters.months_before(day, months) == then


def test_status(bench):
    here = register(bench)
    sold = register(bench)
    record(bench, sold, "sale", date(2026, 1, 5))
    assert found(bench) == {here}
    assert found(bench, statuses=("sold", "dead")) == {sold}
    assert found(bench, statuses=()) == {here, sold}


def test_tags_worn_and_missing(bench, way):
    both = register(bench, vid_tag("1"), eid_tag("840270000000001"))
    visual = register(bench, vid_tag("2"))
    bare = register(bench)
    assert found(bench, wears="eid") == {both}
    assert found(bench, lacks="eid") == {visual, bare}
    assert found(bench, wears="vid", lacks="eid") == {visual}
    assert found(bench, lacks="any") == {bare}


def test_events_had_and_lacking_since_a_day(bench, way):
    early, late, never = (register(bench, vid_tag(str(number))) for number in (1, 2, 3))
    record(bench, early, "weaning", date(2025, 1, 1))
    record(bench, late, "weaning", date(2026, 1, 1))
    since = date(2026, 1, 1)
    assert found(bench, event="weaning") == {early, late}
    assert found(bench, event="weaning", event_since=since) == {late}
    assert found(bench, event="weaning", event_since=since, event_is_lacking=True) == {early, never}
    assert found(bench, event="weaning", event_is_lacking=True) == {never}


def test_the_last_pregnancy_check_counts(bench):
    cow, other, never = (register(bench, vid_tag(str(number))) for number in (1, 2, 3))
    record(bench, cow, "pregnancy_check", date(2026, 9, 1), result="pregnant")
    record(bench, cow, "pregnancy_check", date(2026, 10, 1), result="open")
    record(bench, other, "pregnancy_check", date(2026, 10, 1), result="pregnant")
    assert found(bench, last_check="open") == {cow}
    assert found(bench, last_check="pregnant") == {other}
    assert found(bench, last_check="none") == {never}


@pytest.mark.parametrize("sort", ["vid", "weight"])
def test_only_the_last_weight_counts(bench, way, sort):
    light, heavy = register(bench, vid_tag("1")), register(bench, vid_tag("2"))
    register(bench, vid_tag("3"))
    record(bench, light, "weight", date(2026, 1, 1), weight="900")
    record(bench, light, "weight", date(2026, 5, 1), weight="600")
    record(bench, heavy, "weight", date(2026, 5, 1), weight="900")
    assert found(bench, weight_from=pounds("800"), sort=sort) == {heavy}
    assert found(bench, weight_to=pounds("800"), sort=sort) == {light}
    assert found(bench, weight_from=pounds("600"), weight_to=pounds("900"), sort=sort) == {light, heavy}


@pytest.mark.parametrize(
    "text", ["417", "41", "17", "417 yellow", "yellow 417", "417y", " 417 ", "840 270 000 000 417", "0000417"]
)
def test_a_number_is_found_by_its_begin_or_end(bench, text):
    cow = register(bench, vid_tag("417"), eid_tag("840270000000417"))
    register(bench, vid_tag("5"), eid_tag("840270000000999"))
    wanted = {cow} if text != "417y" else set()
    assert found(bench, number=text) == wanted


def test_a_number_worn_before_is_found_and_one_never_worn_is_not(bench):
    cow = register(bench, vid_tag("417"))
    wearing = cow_wearing(cow)
    tags_ended(bench, wearing, "lost")
    assert found(bench, number="417") == {cow}
    other = register(bench, vid_tag("99"))
    tags_ended(bench, cow_wearing(other), "data_error")
    assert found(bench, number="99") == set()


def cow_wearing(animal):
    return TagWearing.objects.get(animal=animal, ended="")


def tags_ended(outfit, wearing, why):
    write(entry(outfit), Batch(take_off=[TakeOff(wearing.pk, date(2026, 1, 1), why)]))


def test_visual_tags_sort_as_people_count(bench, way):
    order = ["007", "9", "9B", "10", "10A", "112", "A9", "A10", "A-17", "B2"]
    made = {number: register(bench, vid_tag(number)) for number in reversed(order)}
    names = {animal: number for number, animal in made.items()}
    got = [names[one] for one in ids_of(bench, Question(TODAY))]
    assert got.index("9") < got.index("9B") < got.index("10") < got.index("10A") < got.index("112")
    assert got.index("112") < got.index("A9") < got.index("A10") < got.index("B2")
    assert sorted(got) == sorted(order)
    assert [names[one] for one in ids_of(bench, Question(TODAY, is_falling=True))] == got[::-1]


def test_an_animal_with_two_visual_tags_is_listed_once(bench, way):
    twice = register(bench, vid_tag("30"), vid_tag("2", "green"))
    once = register(bench, vid_tag("10"))
    assert sorted(ids_of(bench, Question(TODAY))) == sorted([twice, once])


def mixed_herd(outfit):
    """Some of everything, with many ties, and some without what is sorted by."""
    pens = [groups.open_group(entry=entry(outfit), name=name) for name in ("B", "A")]
    for number in range(14):
        worn = [vid_tag(str(number), "yellow")] if number % 3 else []
        worn += [eid_tag(f"8402700000{number * 7 % 13:05d}")] if number % 4 else []
        animal = register(
            outfit,
            *worn,
            animal_class=("cow", "heifer", "")[number % 3],
            born_on=date(2020 + number % 3, 1, 1) if number % 5 else None,
            born_precision="day" if number % 5 else "unknown",
            group_id=pens[number % 2] if number % 7 else None,
        )
        if number % 2:
            record(outfit, animal, "weight", date(2025, 1, 1), weight="900")
            record(outfit, animal, "weight", date(2026, 1, 1), weight=str(600 + number % 3))


@pytest.mark.parametrize("is_falling", [False, True])
@pytest.mark.parametrize("sort", SORTS)
def test_pages_neither_skip_nor_repeat_both_ways(bench, way, sort, is_falling):
    mixed_herd(bench)
    question = Question(TODAY, sort=sort, is_falling=is_falling)
    whole = ids_of(bench, question)
    assert len(whole) == len(set(whole)) == 14 == count_of(bench, question)
    pages, after = [], ""
    while not pages or after:
        page = page_of(bench, question, after=after, size=3)
        pages.append(page)
        after = page.next
    assert [one for page in pages for one in page.ids] == whole
    for earlier, later in zip(pages, pages[1:], strict=False):
        back = page_of(bench, question, before=later.previous, size=3)
        assert back.ids == earlier.ids
        assert bool(back.previous) == (earlier is not pages[0])


@pytest.mark.parametrize("sort", ["born", "weight", "since", "vid"])
@pytest.mark.parametrize("mark", ["nonsense", "~", "0190", "01a21378-9395-7281-9432-81f3dffefb25~nonsense\x00"])
def test_a_mark_that_is_none_begins_anew(bench, sort, mark):
    cow = register(bench, vid_tag("1"))
    assert page_of(bench, Question(TODAY, sort=sort), after=mark).ids == [cow]


def test_a_mark_of_another_order_does_not_break_the_page(bench):
    register(bench, vid_tag("1"))
    mark = "01a21378-9395-7281-9432-81f3dffefb25~!B1"
    for sort in SORTS:
        page_of(bench, Question(TODAY, sort=sort), after=mark)


def test_another_outfits_animals_are_never_met(bench, far_rim, way):
    cow = register(bench, vid_tag("1"))
    other = register(far_rim, vid_tag("1"), eid_tag("840270000000001"))
    record(far_rim, other, "weight", date(2026, 1, 1), weight="900")
    for sort in SORTS:
        assert ids_of(bench, Question(TODAY, sort=sort)) == [cow]
    assert found(bench, number="840270000000001") == set()


def test_a_page_asks_little_of_the_database(bench, django_assert_max_num_queries):
    mixed_herd(bench)
    for sort in SORTS:
        with django_assert_max_num_queries(4):
            page_of(bench, Question(TODAY, sort=sort))
