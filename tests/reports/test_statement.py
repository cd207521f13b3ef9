"""The statement of head: it balances whatever happened, and one year follows on the other."""

from collections.abc import Callable
from datetime import date, timedelta
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herd.accounts.models import Outfit
from herd.ledger.models import Changeset
from herd.registry.models import Event
from herd.registry.queries.headcount import count_head_on
from herd.registry.services import animals, events, groups
from herd.registry.services.batch import Batch, Join, NewEvent
from herd.registry.services.refused import Refused
from herd.registry.services.runs import Birth, Lot, register_births, register_lot
from herd.registry.services.writer import write
from herd.registry.undo import undo
from herd.reports.statement import WAYS, behind, statement_of
from herd.values.identity import new_id
from herd.values.inventory import Flow, follows_on, reconcile
from tests.cast import entry, register, vid_tag

NEW_YEAR, YEAR_END = date(2025, 1, 1), date(2025, 12, 31)
SPRING, SUMMER, FALL = date(2025, 3, 1), date(2025, 6, 1), date(2025, 10, 1)


def event(outfit: Outfit, animal: UUID, kind: str, on: date, **data: str) -> None:
    write(entry(outfit), Batch(events=[NewEvent(animal, kind, on, data)]))


def figures(outfit: Outfit, first: date = NEW_YEAR, last: date = YEAR_END) -> dict[str, dict[str, int]]:
    """What the statement says, without what is nought."""
    statement = statement_of(outfit, first, last)
    assert statement.sums.reasons == ()
    names = ("opening", *WAYS, "closing")
    return {
        name: {way: getattr(flow, way) for way in names if getattr(flow, way)}
        for name, flow in statement.by_class.items()
    }


def test_each_way_of_coming_and_going_stands_in_its_own_column(kettle_bench):
    cows = [register(kettle_bench, on=date(2024, 3, 1)) for _ in range(6)]
    event(kettle_bench, cows[0], "sale", FALL)
    event(kettle_bench, cows[1], "death", SUMMER)
    event(kettle_bench, cows[2], "transfer", SUMMER)
    event(kettle_bench, cows[3], "missing", SPRING)
    event(kettle_bench, cows[4], "missing", SPRING)
    event(kettle_bench, cows[4], "found", SUMMER)
    register_births(entry=entry(kettle_bench), births=[Birth(cows[5], SPRING, facts={"entry_class": "heifer"})])
    lot = Lot([[vid_tag("7")], [vid_tag("8")]], SUMMER, {"entry_class": "bull"})
    register_lot(entry=entry(kettle_bench), lot=lot)
    register(kettle_bench, animal_class="steer", on=SUMMER)
    cows_moved = {"opening": 6, "found": 1, "sales": 1, "deaths": 1, "missing": 2, "transfers_out": 1, "closing": 2}
    assert figures(kettle_bench) == {
        "cow": cows_moved,
        "bull": {"purchases": 2, "closing": 2},
        "steer": {"transfers_in": 1, "closing": 1},
        "calf": {"births": 1, "closing": 1},
    }


def test_changes_of_class_leave_one_and_join_another(kettle_bench):
    heifer = register(kettle_bench, animal_class="heifer", on=date(2024, 3, 1))
    bull = register(kettle_bench, animal_class="bull", on=date(2024, 3, 1))
    event(kettle_bench, heifer, "calving", SPRING, outcome="live")
    event(kettle_bench, bull, "castration", SPRING)
    assert figures(kettle_bench) == {
        "cow": {"class_in": 1, "closing": 1},
        "heifer": {"opening": 1, "class_out": 1},
        "bull": {"opening": 1, "class_out": 1},
        "steer": {"class_in": 1, "closing": 1},
    }


def test_a_calf_leaves_its_class_on_the_day_it_is_a_year_old(kettle_bench):
    born = date(2024, 6, 10)
    calf = register(kettle_bench, animal_class="heifer", on=born, born_on=born, born_precision="day")
    turned = born + timedelta(days=365)
    assert figures(kettle_bench, NEW_YEAR, turned - timedelta(days=1)) == {"calf": {"opening": 1, "closing": 1}}
    assert figures(kettle_bench) == {
        "calf": {"opening": 1, "class_out": 1},
        "heifer": {"class_in": 1, "closing": 1},
    }
    [move] = behind(kettle_bench, NEW_YEAR, YEAR_END, "class_in")
    assert (move.animal_id, move.day, move.event_id, move.other) == (calf, turned, None, "calf")


def test_a_calf_tagged_late_is_a_birth_where_its_dam_was_here(kettle_bench):
    here = register(kettle_bench, on=date(2024, 3, 1))
    late = register(kettle_bench, on=SUMMER)
    for dam in (here, late):
        register(kettle_bench, animal_class="bull", on=SUMMER, born_on=SPRING, born_precision="day", dam_id=dam)
    assert figures(kettle_bench)["calf"] == {"births": 1, "transfers_in": 1, "closing": 2}


def test_bought_and_sold_on_one_day_counts_both(kettle_bench):
    register_lot(entry=entry(kettle_bench), lot=Lot([[vid_tag("7")]], SUMMER, {"entry_class": "steer"}))
    event(kettle_bench, Event.objects.get().animal_id, "sale", SUMMER)
    assert figures(kettle_bench) == {"steer": {"purchases": 1, "sales": 1}}


def test_a_missing_animal_that_turns_out_dead_was_found_and_died(kettle_bench):
    cow = register(kettle_bench, on=date(2024, 3, 1))
    event(kettle_bench, cow, "missing", SPRING)
    event(kettle_bench, cow, "death", FALL)
    assert figures(kettle_bench) == {"cow": {"opening": 1, "missing": 1, "found": 1, "deaths": 1}}


def test_one_bought_back_is_a_purchase_and_one_that_died_stays_away(kettle_bench):
    back, dead = register(kettle_bench, on=NEW_YEAR), register(kettle_bench, on=NEW_YEAR)
    event(kettle_bench, back, "sale", SPRING)
    event(kettle_bench, back, "purchase", FALL)
    event(kettle_bench, dead, "death", SPRING)
    event(kettle_bench, dead, "found", FALL)
    assert figures(kettle_bench, SUMMER) == {"cow": {"purchases": 1, "closing": 1}}


def test_a_late_entry_changes_the_time_it_belongs_to(kettle_bench):
    cow = register(kettle_bench, on=date(2024, 3, 1))
    event(kettle_bench, cow, "sale", FALL)
    assert figures(kettle_bench, SUMMER)["cow"] == {"opening": 1, "sales": 1}
    event(kettle_bench, cow, "death", SPRING)
    assert figures(kettle_bench, SUMMER) == {}
    assert figures(kettle_bench) == {"cow": {"opening": 1, "deaths": 1}}


def test_the_list_behind_a_figure_is_as_long_as_the_figure(kettle_bench):
    cows = [register(kettle_bench, on=date(2024, 3, 1)) for _ in range(3)]
    event(kettle_bench, cows[0], "sale", FALL)
    event(kettle_bench, cows[1], "castration", FALL)
    statement = statement_of(kettle_bench, NEW_YEAR, YEAR_END)
    for name, flow in statement.sums.by_class.items():
        for way in ("opening", *WAYS, "closing"):
            assert len(behind(kettle_bench, NEW_YEAR, YEAR_END, way, name)) == getattr(flow, way), (name, way)
    [sold] = behind(kettle_bench, NEW_YEAR, YEAR_END, "sales")
    assert (sold.animal_id, sold.day) == (cows[0], FALL)
    assert Event.objects.get(pk=sold.event_id).kind == "sale"


def test_another_outfits_head_are_not_in_it(kettle_bench, far_rim):
    register(far_rim, on=SPRING)
    assert figures(kettle_bench) == {}


def test_days_in_the_wrong_order_are_refused(kettle_bench):
    with pytest.raises(ValueError, match="before the first"):
        statement_of(kettle_bench, SUMMER, SPRING)


def test_a_year_of_a_herd_takes_few_queries(kettle_bench, django_assert_max_num_queries):
    for number in range(12):
        cow = register(kettle_bench, on=date(2024, 3, 1))
        event(kettle_bench, cow, "sale", SPRING + timedelta(days=number))
    with django_assert_max_num_queries(22):
        statement_of(kettle_bench, NEW_YEAR, YEAR_END)


def test_the_published_class_change_balances():
    """1,710 brood cows + 308 heifers promoted - 256 replaced = 1,762: University of Florida, base year 1981."""
    cows = Flow(1710, class_in=308, class_out=256, closing=1762)
    rest = Flow(308, class_in=256, class_out=308, closing=256)
    assert reconcile({"cow": cows, "heifer": rest}).is_balanced


# What is done in one step of a made-up history; each takes the outfit, the animals so far, one of them, and the day.
Step = Callable[[Outfit, list[UUID], UUID, date], None]


def _calved(outfit: Outfit, herd: list[UUID], one: UUID, on: date) -> None:
    birth = Birth(one, on, facts={"entry_class": "bull" if on.day % 2 else "heifer"})
    changeset = register_births(entry=entry(outfit), births=[birth])
    herd += changeset.changes.filter(subject_kind="animal", action="created").values_list("subject_id", flat=True)


def _bought(outfit: Outfit, herd: list[UUID], one: UUID, on: date) -> None:
    facts = {"entry_class": ("steer", "heifer", "")[on.day % 3]}
    lot = Lot([[vid_tag(f"{on.toordinal()}{len(herd)}")]], on, facts)
    changeset = register_lot(entry=entry(outfit), lot=lot)
    herd += changeset.changes.filter(subject_kind="animal", action="created").values_list("subject_id", flat=True)


def _registered(outfit: Outfit, herd: list[UUID], one: UUID, on: date) -> None:
    facts = {"entry_class": "bull", "born_on": on - timedelta(days=on.day * 20), "born_precision": "day"}
    herd.append(animals.register(entry=entry(outfit), facts=facts, on=on if on.day % 2 else None))


def _happened(kind: str) -> Step:
    return lambda outfit, _, one, on: events.record(entry=entry(outfit), events=[NewEvent(one, kind, on)])


def _joined(outfit: Outfit, herd: list[UUID], one: UUID, on: date) -> None:
    pen = groups.open_group(entry=entry(outfit), name=str(new_id())[:30])
    write(entry(outfit), Batch(joins=[Join(one, pen, on)]))


def _taken_back(outfit: Outfit, herd: list[UUID], one: UUID, on: date) -> None:
    newest = Changeset.objects.filter(outfit=outfit, undoes=None, undone_by=None).order_by("-id").first()
    if newest is not None:
        undo(entry(outfit), newest)


KINDS = ("sale", "death", "missing", "found", "castration", "transfer", "purchase", "movement")
STEPS: dict[str, Step] = {
    "calved": _calved,
    "bought": _bought,
    "registered": _registered,
    "joined": _joined,
    "taken back": _taken_back,
    **{kind: _happened(kind) for kind in KINDS},
}


@pytest.mark.django_db
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    steps=st.lists(
        st.tuples(st.sampled_from(sorted(STEPS)), st.integers(0, 900), st.integers(0, 30)), min_size=1, max_size=14
    ),
    cut=st.integers(1, 900),
)
def test_any_history_balances_and_each_time_follows_on_the_last(db, steps, cut):
    """Days come in any order, as late entries do; whatever is refused is no part of the history."""
    outfit, start = Outfit.objects.create(code=str(new_id()), name="Any"), date(2023, 7, 1)
    herd = [register(outfit, animal_class="heifer", on=start), register(outfit, animal_class="bull", on=None)]
    for name, days, which in steps:
        try:
            STEPS[name](outfit, herd, herd[which % len(herd)], start + timedelta(days=days))
        except Refused:
            continue
    middle, end = start + timedelta(days=cut), start + timedelta(days=901)
    before, after = statement_of(outfit, start, middle), statement_of(outfit, middle + timedelta(days=1), end)
    assert (before.sums.reasons, after.sums.reasons) == ((), ())
    assert follows_on(before.sums.by_class, after.sums.by_class) == ()
    assert before.sums.total.closing == count_head_on(outfit, middle).total
