"""Activity: changesets newest first, and each one's changes in words."""

from datetime import date

import pytest
from django.urls import reverse

from herd.ledger.entry import Entry, Source
from herd.ledger.models import Changeset, ChangesetKind
from herd.office.changes import say_changes
from herd.registry.models import Animal
from herd.registry.queries.changes import standing_ids
from herd.registry.services import animals, events, groups
from herd.registry.services.batch import Batch, NewAnimal, NewEvent, PutOn
from herd.registry.services.writer import write
from herd.registry.undo import undo
from tests.cast import entry
from tests.office.conftest import weigh


def changeset_page(client, changeset, **query):
    return client.get(reverse("office:changeset", args=[changeset.pk]), query)


def said(changeset):
    return [one.words for one in say_changes(changeset.outfit, list(changeset.changes.order_by("position")))]


def test_the_newest_stands_first_with_who_and_how_many(ada_in, cast, herd):
    by_ben = Entry(cast.kettle_bench, cast.ben, ChangesetKind.OFFICE, "Weaned the heifer")
    events.record(entry=by_ben, events=[NewEvent(herd.heifer, "weaning", date(2025, 5, 1))])
    answer = ada_in.get(reverse("office:activity"))
    assert answer.context["happenings"][0].title == "Weaned the heifer"
    page = answer.content.decode()
    assert page.index("Weaned the heifer") < page.index("registered")
    assert "ben, " in page


def test_activity_comes_in_pages_that_miss_none(ada_in, cast, herd):
    for week in range(60):
        weigh(cast.kettle_bench, herd.cow, date(2025, 1, 1 + week % 28), str(1_100 + week))
    first = ada_in.get(reverse("office:activity")).context
    second = ada_in.get(reverse("office:activity"), {"before": first["older"]}).context
    shown = [one.pk for one in (*first["happenings"], *second["happenings"])]
    assert len(shown) == len(set(shown)) == Changeset.objects.count()
    assert second["older"] is None


def test_registering_reads_as_sentences(cast, herd):
    cow = Changeset.objects.filter(changes__subject_id=herd.cow).first()
    assert said(cow) == [
        "Registered: class when it came in cow, came in on Mar 1, 2024, born Apr 2, 2019.",
        "Tag number 840270000000417: new.",
        "Tag number 417 yellow: new.",
        "EID 840 270 000 000 417 put on Mar 1, 2024 (tagged).",
        "Visual tag 417 yellow put on Mar 1, 2024 (tagged).",
        "Joined Upper Bench on Mar 1, 2024.",
    ]


def test_a_calf_is_said_with_its_dam_and_sire(cast, herd):
    calf = Changeset.objects.filter(changes__subject_id=herd.calf).first()
    assert "dam 417 yellow, sire 5 orange" in said(calf)[0]


def test_a_correction_says_both_values_and_its_undo_says_them_back(cast, herd):
    cow = Animal.objects.get(pk=herd.cow)
    animals.correct(
        entry=entry(cast.kettle_bench, title="fix"),
        animal=cow,
        facts={"coat": "red", "born_on": date(2019, 4, 3)},
        reason="calving book",
    )
    changeset = Changeset.objects.get(title="fix")
    assert said(changeset) == ["Corrected: born from Apr 2, 2019 to Apr 3, 2019; coat from nothing to red."]
    by_ada = Entry(cast.kettle_bench, cast.ada, ChangesetKind.UNDO, "unfix", undoes=changeset)
    undo(by_ada, changeset)
    assert said(Changeset.objects.get(title="unfix")) == [
        "Set back: born from Apr 3, 2019 to Apr 2, 2019; coat from red to nothing."
    ]


@pytest.fixture
def moved(cast, herd):
    """The changeset of a move to Mill Trap."""
    other = groups.open_group(entry=entry(cast.kettle_bench), name="Mill Trap", kind="pasture")
    by_hand = entry(cast.kettle_bench, title="move")
    groups.move(entry=by_hand, animal_ids=[herd.cow], group_id=other, on=date(2025, 6, 1))
    return Changeset.objects.get(title="move")


def test_a_move_and_its_undo_read_as_sentences(cast, moved):
    assert said(moved) == ["Left Upper Bench on Jun 1, 2025.", "Joined Mill Trap on Jun 1, 2025."]
    undo(Entry(cast.kettle_bench, cast.ada, ChangesetKind.UNDO, "back", undoes=moved), moved)
    assert set(said(Changeset.objects.get(title="back"))) == {
        "Did not join Mill Trap after all.",
        "Stays in Upper Bench.",
    }


def test_what_is_about_no_animal_is_told_apart(ada_in, cast, herd, moved):
    opened = Changeset.objects.filter(changes__subject_kind="group").order_by("recorded_at").last()
    assert "Group Mill Trap: new." in changeset_page(ada_in, opened).content.decode()
    registered = Changeset.objects.filter(changes__subject_id=herd.cow).first()
    assert "2 new tag numbers" in changeset_page(ada_in, registered).content.decode()


def test_a_changeset_names_the_file_and_line_of_each_change(ada_in, cast):
    animal = NewAnimal({"entry_class": "cow"}, source=Source("list.csv", 7))
    write(entry(cast.kettle_bench, title="list"), Batch(animals=[animal]))
    assert "list.csv, line 7" in changeset_page(ada_in, Changeset.objects.get(title="list")).content.decode()


def test_a_large_changeset_comes_in_pages_of_animals(ada_in, cast, django_assert_max_num_queries):
    bench = cast.kettle_bench
    many = [NewAnimal({"entry_class": "steer"}) for _ in range(95)]
    tags = [PutOn(one.id, "vid", str(place), worn_from=date(2026, 1, 1)) for place, one in enumerate(many)]
    write(entry(bench, title="many"), Batch(animals=many, put_on=tags))
    changeset = Changeset.objects.get(title="many")
    seen, query = [], {}
    while True:
        with django_assert_max_num_queries(16):
            context = changeset_page(ada_in, changeset, **query).context
        seen += [part.key for part in context["animals"]]
        assert all(len(part.lines) == 2 for part in context["animals"])
        if not context["next"]:
            break
        query = {"after": context["next"]}
    assert seen == sorted(str(one.id) for one in many)


def test_a_change_undone_and_done_again_stands(cast, herd):
    weigh(cast.kettle_bench, herd.bull, date(2025, 5, 1), "1900")
    target = Changeset.objects.order_by("recorded_at").last()
    for turn in range(3):
        changes = list(cow_changes(herd.bull))
        first = next(change for change in changes if change.changeset.title == "weighed")
        assert (first.pk in standing_ids(changes)) is (turn % 2 == 0)
        undo(Entry(cast.kettle_bench, cast.ada, ChangesetKind.UNDO, f"turn {turn}", undoes=target), target)
        target = Changeset.objects.get(title=f"turn {turn}")


def cow_changes(animal):
    rows = Changeset.objects.first().changes.model.objects
    return rows.filter(animal_id=animal).select_related("changeset").order_by("position")
