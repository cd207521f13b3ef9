"""The export: the same bytes after any work and its undo."""

import json
from collections.abc import Callable
from datetime import date, timedelta
from io import StringIO
from random import Random
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herd.accounts.models import Outfit
from herd.ledger.entry import Source
from herd.registry.models import Animal, Event, Group, GroupMembership, TagWearing
from herd.registry.queries.export import export_outfit
from herd.registry.services import groups
from herd.registry.services.batch import (
    Batch,
    Edit,
    Join,
    Leave,
    NewAnimal,
    NewEvent,
    NewPlace,
    PutOn,
    TakeOff,
    VoidEvent,
)
from herd.registry.services.refused import Refused
from herd.registry.services.standing import folded
from herd.registry.services.writer import write
from herd.registry.undo import undo
from tests.cast import eid_tag, entry, register, vid_tag

START = date(2025, 3, 1)
HEAD = 5


def printed(outfit: Outfit) -> str:
    out = StringIO()
    call_command("export", outfit=outfit.code, stdout=out)
    return out.getvalue()


def test_each_fact_stands_beside_its_file_and_line(kettle_bench: Outfit) -> None:
    source = Source("herd.csv", 3)
    cow = NewAnimal({"entry_class": "cow"}, source=source)
    weight = NewEvent(cow.id, "note", START, {"note": "kicks"}, source=Source("chute.csv", 9))
    write(entry(kettle_bench), Batch(animals=[cow], events=[weight]))
    write(entry(kettle_bench), Batch(edits=[Edit(cow.id, {"coat": "red"}, source=Source("book.csv", 4))]))
    _, animal = export_outfit(kettle_bench)
    assert animal["sources"]["entry_class"] == {"file": "herd.csv", "line": 3}
    assert animal["sources"]["coat"] == {"file": "book.csv", "line": 4}
    assert animal["events"][0]["source"] == {"file": "chute.csv", "line": 9}


def test_the_document_holds_the_same_items_as_the_lines(kettle_bench: Outfit) -> None:
    register(kettle_bench, vid_tag("417"))
    out = StringIO()
    call_command("export", outfit="kettle-bench", json=True, stdout=out)
    document = json.loads(out.getvalue())
    animals = document.pop("animals")
    assert [document, *animals] == [json.loads(line) for line in printed(kettle_bench).splitlines()]


def test_an_unknown_outfit_is_refused(db: None) -> None:
    with pytest.raises(CommandError, match="no outfit with the code 'nowhere'"):
        call_command("export", outfit="nowhere")


def ids(model: type, outfit: Outfit, **where: object) -> list[UUID]:
    return list(model.objects.of(outfit).filter(**where).order_by("pk").values_list("pk", flat=True))


def some_day(chance: Random) -> date:
    return START + timedelta(days=chance.randrange(120))


def new_animal(outfit: Outfit, chance: Random, batch: Batch) -> None:
    calf = NewAnimal({"entry_class": "heifer", "dam_id": chance.choice(ids(Animal, outfit))})
    batch.animals.append(calf)
    batch.put_on.append(PutOn(calf.id, "vid", str(chance.randrange(900, 905)), "blue", worn_from=START))


def tag_on(outfit: Outfit, chance: Random, batch: Batch) -> None:
    animal_id = chance.choice(ids(Animal, outfit))
    kind, number = chance.choice([("eid", f"84027000000080{chance.randrange(4)}"), ("vid", "77")])
    batch.put_on.append(PutOn(animal_id, kind, number, worn_from=some_day(chance), began="retagged"))


def tag_off(outfit: Outfit, chance: Random, batch: Batch) -> None:
    wearing = chance.choice(ids(TagWearing, outfit, ended=""))
    batch.take_off.append(TakeOff(wearing, some_day(chance), chance.choice(["lost", "replaced"])))


def event(outfit: Outfit, chance: Random, batch: Batch) -> None:
    kind, data = chance.choice(
        [
            ("sale", {}),
            ("death", {"cause": "old age"}),
            ("missing", {}),
            ("found", {}),
            ("calving", {"outcome": "live"}),
            ("sample", {"tube": f"KB-{chance.randrange(1000, 1004)}"}),
            ("note", {"note": "quiet"}),
        ]
    )
    animal_id = chance.choice(ids(Animal, outfit))
    batch.events.append(NewEvent(animal_id, kind, some_day(chance), data, source=Source("chute.csv", 2)))


def void(outfit: Outfit, chance: Random, batch: Batch) -> None:
    standing = ids(Event, outfit)
    if standing:
        batch.voids.append(VoidEvent(chance.choice(standing), "did not happen"))


def edit(outfit: Outfit, chance: Random, batch: Batch) -> None:
    animal_id = chance.choice(ids(Animal, outfit))
    batch.edits.append(Edit(animal_id, {"coat": chance.choice(["red", "black", ""])}, "seen"))


def move(outfit: Outfit, chance: Random, batch: Batch) -> None:
    animal_id, day = chance.choice(ids(Animal, outfit)), some_day(chance)
    if chance.random() < 0.3:
        batch.leaves.append(Leave(animal_id, day))
    else:
        batch.joins.append(Join(animal_id, chance.choice(ids(Group, outfit)), day))


def place(outfit: Outfit, chance: Random, batch: Batch) -> None:
    lot = NewPlace("group", {"name": f"Lot {chance.randrange(5)}"})
    batch.places.append(lot)
    batch.joins.append(Join(chance.choice(ids(Animal, outfit)), lot.id, some_day(chance)))


WORKS: tuple[Callable[[Outfit, Random, Batch], None], ...] = (
    new_animal,
    tag_on,
    tag_off,
    event,
    void,
    edit,
    move,
    place,
)


def random_batch(outfit: Outfit, chance: Random) -> Batch:
    batch = Batch()
    for work in chance.choices(WORKS, k=chance.randrange(1, 5)):
        work(outfit, chance, batch)
    return batch


@pytest.fixture
def herd(kettle_bench: Outfit) -> Outfit:
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    for number in range(HEAD):
        tags = eid_tag(f"84027000000070{number}"), vid_tag(str(number))
        register(kettle_bench, *tags, group_id=trap, on=START)
    return kettle_bench


QUIET = settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@QUIET
@given(st.randoms(use_true_random=False), st.integers(1, 6))
def test_the_export_is_the_same_after_random_work_and_its_undo(herd: Outfit, chance, count) -> None:
    with transaction.atomic():
        stages = [(None, printed(herd))]
        for _ in range(count):
            try:
                stages.append((write(entry(herd), random_batch(herd, chance)), printed(herd)))
            except Refused:
                assert printed(herd) == stages[-1][1]
        for (written, _), (_, before) in zip(reversed(stages[1:]), reversed(stages[:-1]), strict=True):
            if written.change_count:
                assert undo(entry(herd), written).is_possible
            assert printed(herd) == before
        transaction.set_rollback(True)


@QUIET
@given(st.randoms(use_true_random=False), st.integers(1, 8))
def test_standing_agrees_with_the_fold_after_random_work(herd: Outfit, chance, count) -> None:
    with transaction.atomic():
        for _ in range(count):
            try:
                write(entry(herd), random_batch(herd, chance))
            except Refused:
                continue
        kept = {row.pk: (row.status, row.animal_class, row.group_id) for row in Animal.objects.of(herd)}
        for animal, life in folded(herd, list(kept)):
            assert kept[animal.pk] == (life.status, life.animal_class, life.group)
        assert GroupMembership.objects.of(herd).filter(left_on=None).count() <= len(kept)
        transaction.set_rollback(True)
