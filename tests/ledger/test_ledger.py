"""The ledger: what stood before and after, in one dense order per outfit, and never deleted."""

from datetime import date
from threading import Thread
from uuid import UUID

import pytest
from django.db import IntegrityError, connection, transaction

from herd.accounts.models import Outfit, Person
from herd.ledger.entry import Entry, Source, Subject
from herd.ledger.models import Action, Change, Changeset, ChangesetKind, FeedCounter
from herd.ledger.record import changeset
from herd.registry.services import animals
from herd.registry.services.batch import Batch, NewAnimal, NewEvent
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from herd.values.identity import new_id
from tests.cast import eid_tag, entry, register

DAY = date(2025, 10, 14)


def write_changes(outfit: Outfit, count: int) -> None:
    with changeset(entry(outfit)) as pen:
        for _ in range(count):
            pen.write(Subject("breed", new_id()), Action.CREATED, after={"code": "AN"})


def positions(outfit: Outfit) -> list[int]:
    return list(Change.objects.filter(outfit=outfit).order_by("position").values_list("position", flat=True))


def test_a_changeset_says_who_wrote_what_and_from_where(kettle_bench: Outfit, ada: Person) -> None:
    row = new_id()
    who = Entry(kettle_bench, ada, ChangesetKind.INTAKE, "Weaning", day_id=row)
    animal = NewAnimal({"entry_class": "cow"}, source=Source("chute.csv", 12, row))
    written = write(who, Batch(animals=[animal]))
    change = Change.objects.get()
    assert (written.title, written.person_name, written.kind, written.day_id) == (
        "Weaning",
        "ada",
        "intake",
        row,
    )
    assert written.change_count == 1
    assert (change.source_file, change.source_line, change.source_row) == ("chute.csv", 12, row)
    assert (change.subject_kind, change.subject_id, change.animal_id) == ("animal", animal.id, animal.id)


def test_what_is_created_has_an_after_and_no_before(kettle_bench: Outfit) -> None:
    register(kettle_bench, born_on=date(2021, 3, 4))
    change = Change.objects.get()
    assert (change.action, change.before) == ("created", None)
    assert change.after["born_on"] == "2021-03-04"


def test_positions_are_dense_and_in_the_order_of_commits(kettle_bench: Outfit) -> None:
    for count in (1, 3, 2):
        write_changes(kettle_bench, count)
    assert positions(kettle_bench) == [1, 2, 3, 4, 5, 6]
    sets = list(Change.objects.order_by("position").values_list("changeset_id", flat=True))
    assert sets == [sets[0], sets[1], sets[1], sets[1], sets[4], sets[4]]
    assert FeedCounter.objects.get().position == 6


def test_two_outfits_count_apart(kettle_bench: Outfit, far_rim: Outfit) -> None:
    write_changes(kettle_bench, 2)
    write_changes(far_rim, 1)
    write_changes(kettle_bench, 1)
    assert (positions(kettle_bench), positions(far_rim)) == ([1, 2, 3], [1])


def test_a_changeset_without_changes_leaves_no_trace(kettle_bench: Outfit) -> None:
    write_changes(kettle_bench, 0)
    assert not Changeset.objects.exists()
    assert not FeedCounter.objects.exists()


def test_a_refused_write_takes_no_position(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    with pytest.raises(Refused):
        write(entry(kettle_bench), Batch(events=[NewEvent(cow, "note", DAY, {"note": "x"})], animals=[BAD]))
    write_changes(kettle_bench, 1)
    assert positions(kettle_bench) == [1, 2]


BAD = NewAnimal({"temper": "wild"})


def test_the_database_refuses_one_position_twice(kettle_bench: Outfit) -> None:
    write_changes(kettle_bench, 2)
    with pytest.raises(IntegrityError), transaction.atomic():
        Change.objects.filter(position=2).update(position=1)


def test_the_database_refuses_to_take_a_change_back_twice(kettle_bench: Outfit) -> None:
    write_changes(kettle_bench, 3)
    first, second, third = Change.objects.order_by("position")
    Change.objects.filter(pk=second.pk).update(undoes=first.pk)
    with pytest.raises(IntegrityError), transaction.atomic():
        Change.objects.filter(pk=third.pk).update(undoes=first.pk)


def test_the_ledger_only_grows(kettle_bench: Outfit) -> None:
    write_changes(kettle_bench, 1)
    for row in (Change.objects.get(), Changeset.objects.get()):
        with pytest.raises(TypeError, match="never deleted"):
            row.delete()
    for rows in (Change.objects.all(), Changeset.objects.all(), kettle_bench.changesets.all()):
        with pytest.raises(TypeError, match="only grows"):
            rows.delete()


def test_a_person_or_outfit_with_history_is_not_deleted(kettle_bench: Outfit, ada: Person) -> None:
    animals.register(entry=entry(kettle_bench, ada), facts={"entry_class": "cow"})
    with pytest.raises(IntegrityError):
        ada.delete()
    with pytest.raises(IntegrityError):
        kettle_bench.delete()


@pytest.mark.django_db(transaction=True)
def test_writers_at_the_same_time_share_no_position(kettle_bench: Outfit) -> None:
    failures: list[Exception] = []

    def work() -> None:
        try:
            for _ in range(5):
                write_changes(kettle_bench, 4)
        except Exception as problem:  # noqa: BLE001
            failures.append(problem)
        finally:
            connection.close()

    writers = [Thread(target=work) for _ in range(4)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert failures == []
    assert positions(kettle_bench) == list(range(1, 81))
    runs: list[UUID] = [
        one.changeset_id for one in Change.objects.order_by("position") if one.position % 4 == 1
    ]
    assert len(set(runs)) == 20


def test_an_eid_is_written_down_with_its_tag(kettle_bench: Outfit) -> None:
    register(kettle_bench, eid_tag("840270000000417"))
    told = Change.objects.order_by("position").values_list("subject_kind", flat=True)
    assert list(told) == ["animal", "tag", "wearing"]
