"""Whatever two records hold: a merge undone, or split again into the same parts, gives the same export as before."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from herd.accounts.models import Outfit
from herd.ledger.entry import TYPED, Source
from herd.ledger.models import Change
from herd.registry.models import Animal, Group, TagWearing
from herd.registry.queries.export import export_outfit
from herd.registry.queries.merged import original_parts
from herd.registry.services import groups, merging
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent, PutOn, TakeOff
from herd.registry.services.merge_rows import MergeChoices
from herd.registry.services.refused import Refused
from herd.registry.services.standing import folded
from herd.registry.services.writer import write
from herd.registry.undo import undo
from herd.values.mass import NANOGRAMS, WeightUnit
from tests.cast import entry

FIRST, LAST = date(2024, 1, 1), date(2026, 5, 1)
DAYS = st.integers(0, 400).map(lambda days: FIRST + timedelta(days=days))
SOURCES = st.sampled_from([TYPED, Source("one.csv", 3), Source("two.csv", 9)])
KINDS = st.sampled_from(["weight", "note", "weaning", "calving", "sale", "found", "death"])


@dataclass(frozen=True)
class Life:
    """What one record holds: facts, tags as (kind, is it off again), days of joining, events, calves."""

    facts: dict[str, Any]
    tags: list[tuple[str, bool]]
    joins: list[tuple[int, date]]
    events: list[tuple[str, date, int]]
    calves: int
    source: Source


FACTS = st.fixed_dictionaries(
    {"entry_class": st.sampled_from(["cow", "heifer", ""])},
    optional={
        "coat": st.sampled_from(["", "red", "black"]),
        "breed": st.sampled_from(["AN", "HH"]),
        "entered_on": DAYS,
    },
)
LIVES = st.builds(
    Life,
    FACTS,
    st.lists(st.tuples(st.sampled_from(["eid", "vid", "nues"]), st.booleans()), max_size=4),
    st.lists(st.tuples(st.integers(0, 1), DAYS), max_size=3).map(lambda some: sorted(some, key=lambda one: one[1])),
    st.lists(st.tuples(KINDS, DAYS, st.integers(1, 2)), max_size=5),
    st.integers(0, 2),
    SOURCES,
)
CHOICES = st.fixed_dictionaries(
    {
        "eid": st.sampled_from(["kept", "other", "both"]),
        "group": st.sampled_from(["kept", "other"]),
        "facts_of_other": st.one_of(st.none(), st.just(frozenset({"coat", "entry_class", "entered_on"}))),
    }
)


def write_life(outfit: Outfit, life: Life, number: int, pens: list[UUID]) -> UUID:
    """Put one life into the record, in the order in which it happened."""
    animal, source = NewAnimal(dict(life.facts), source=life.source), life.source
    write(entry(outfit), Batch(animals=[animal]))
    for place, (kind, is_off) in enumerate(life.tags):
        worn = {"eid": f"84027000000{number}{place:03}", "vid": f"{number}{place}", "nues": f"35AB{number}{place:03}"}
        reason = "second" if TagWearing.objects.filter(animal=animal.id, kind="eid", ended="").exists() else ""
        tag = PutOn(animal.id, kind, worn[kind], worn_from=FIRST, source=source)
        if kind == "eid" and reason:
            tag = PutOn(animal.id, kind, worn[kind], worn_from=FIRST, second_reason=reason, source=source)
        write(entry(outfit), Batch(put_on=[tag]))
        if is_off:
            on = TagWearing.objects.get(animal=animal.id, tag__number=worn[kind])
            write(entry(outfit), Batch(take_off=[TakeOff(on.pk, LAST, "lost", source)]))
    for pen, day in life.joins:
        write(entry(outfit), Batch(joins=[Join(animal.id, pens[pen], day, source)]))
    for kind, day, figure in life.events:
        said = {"note": {"note": str(figure)}, "weight": {"weight": str(figure), "unit": "lb"}}
        data: dict[str, Any] = said.get(kind, {})
        grams = figure * NANOGRAMS[WeightUnit.LB] if kind == "weight" else None
        write(entry(outfit), Batch(events=[NewEvent(animal.id, kind, day, data, weight_ng=grams, source=source)]))
    write(entry(outfit), Batch(animals=[NewAnimal({"dam_id": animal.id}) for _ in range(life.calves)]))
    return animal.id


@pytest.mark.django_db
@settings(
    max_examples=25,
    deadline=None,
    # Each example writes two herds; a failing one is small enough without being made smaller for minutes.
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(first=LIVES, second=LIVES, choices=CHOICES, is_pointed_at=st.booleans(), by_split=st.booleans())
def test_nothing_of_either_is_lost(kettle_bench, first, second, choices, is_pointed_at, by_split):
    outfit = Outfit.objects.create(code=f"bench-{Outfit.objects.count()}", name="Bench")
    for name in ("Mill Trap", "Upper Bench"):
        groups.open_group(entry=entry(outfit), name=name)
    pens = list(Group.objects.of(outfit).values_list("pk", flat=True))
    kept, other = write_life(outfit, first, 1, pens), write_life(outfit, second, 2, pens)
    if is_pointed_at:
        named = [NewEvent(kept, "service", FIRST, {"sire": str(one)}) for one in (kept, other)]
        write(entry(outfit), Batch(events=named))
    before = list(export_outfit(outfit))
    try:
        merging.merge(
            entry=entry(outfit),
            kept_id=kept,
            other_id=other,
            choices=MergeChoices(on=LAST, second_reason="two", **choices),
            reason="one cow",
        )
    except Refused as refused:
        pytest.fail(str(refused))
    animal = Animal.objects.get(pk=kept)
    assert [standing.status for _, standing in folded(outfit, [kept])] == [animal.status]
    if by_split:
        parts = original_parts(outfit, kept, other)
        merging.split(entry=entry(outfit), animal_id=kept, merged_id=other, parts=parts, reason="two cows")
    else:
        done = Change.objects.filter(outfit=outfit).order_by("-position")[0].changeset
        assert undo(entry(outfit), done).is_possible
    assert list(export_outfit(outfit)) == before
