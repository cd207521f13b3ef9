"""Activity: changesets newest first, and each one's changes in words."""

from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from herd.accounts.models import OutfitPerson, Role
from herd.accounts.services import change_role
from herd.ledger.entry import Entry, Source
from herd.ledger.models import Changeset, ChangesetKind
from herd.office.changes import say_changes
from herd.registry.models import Animal
from herd.registry.queries.changes import standing_ids
from herd.registry.services import animals, events, groups, lists
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


def shown_in(answer):
    return [getattr(one, "title", "") or one.says for one in answer.context["happenings"]]


@pytest.fixture
def written(cast, herd):
    """Ben weaned the heifer, ada changed cal's role, and a product was kept by nobody in particular."""
    by_ben = Entry(cast.kettle_bench, cast.ben, ChangesetKind.OFFICE, "Weaned the heifer")
    events.record(entry=by_ben, events=[NewEvent(herd.heifer, "weaning", date(2025, 5, 1))])
    place = OutfitPerson.objects.get(person=cast.cal)
    change_role(place=place, role=Role.READER, by=cast.ada)
    lists.add(entry=entry(cast.kettle_bench, title="New product"), subject="product", facts={"name": "Blue drench"})


ROLE_SENTENCE = "cal is read only now, and was crew before."


def test_people_and_the_herd_stand_in_one_list_by_time(ada_in, written):
    answer = ada_in.get(reverse("office:activity"))
    assert shown_in(answer)[:3] == ["New product", ROLE_SENTENCE, "Weaned the heifer"]
    assert ROLE_SENTENCE in answer.content.decode()


def test_the_list_is_narrowed_by_who(ada_in, cast, written):
    address = reverse("office:activity")
    assert shown_in(ada_in.get(address, {"who": str(cast.ben.pk)})) == ["Weaned the heifer"]
    assert shown_in(ada_in.get(address, {"who": str(cast.ada.pk)})) == [ROLE_SENTENCE]
    nobody = shown_in(ada_in.get(address, {"who": "none"}))
    assert "New product" in nobody
    assert ROLE_SENTENCE not in nobody


def test_the_list_is_narrowed_by_kind(ada_in, written):
    address = reverse("office:activity")
    assert shown_in(ada_in.get(address, {"kind": "people"})) == [ROLE_SENTENCE]
    assert ROLE_SENTENCE not in shown_in(ada_in.get(address, {"kind": "office"}))
    assert shown_in(ada_in.get(address, {"kind": "undo"})) == []
    assert "Nothing of this kind" in ada_in.get(address, {"kind": "undo"}).content.decode()


@pytest.mark.parametrize("number", ["12", "840270000000012", "000012"])
def test_the_list_is_narrowed_by_an_animal_of_any_number(ada_in, written, number):
    found = shown_in(ada_in.get(reverse("office:activity"), {"animal": number}))
    assert found == ["Weaned the heifer", "registered"]


def test_a_number_that_nothing_wears_is_said(ada_in, written):
    answer = ada_in.get(reverse("office:activity"), {"animal": "9999"})
    assert "No animal wears or wore 9999." in answer.content.decode()
    assert shown_in(answer) == []


def test_the_period_is_in_days_of_the_outfit(ada_in, cast, written):
    # 2026-01-02 05:30 UTC is still New Year's Day in Denver.
    Changeset.objects.filter(title="Weaned the heifer").update(recorded_at=datetime(2026, 1, 2, 5, 30, tzinfo=UTC))
    address = reverse("office:activity")
    first = {"since": "2026-01-01", "until": "2026-01-01"}
    second = {"since": "2026-01-02", "until": "2026-01-02"}
    assert shown_in(ada_in.get(address, first)) == ["Weaned the heifer"]
    assert shown_in(ada_in.get(address, second)) == []


def test_a_bad_filter_is_said_beside_it_and_the_rest_answered(ada_in, cast, written):
    asked = {"who": str(cast.ben.pk), "kind": "gossip", "since": "yesterday", "until": "2020-13-01"}
    answer = ada_in.get(reverse("office:activity"), asked)
    assert set(answer.context["form"].errors) == {"kind", "since", "until"}
    assert shown_in(answer) == ["Weaned the heifer"]


def test_paging_keeps_the_question_and_misses_none(ada_in, cast, herd):
    place = OutfitPerson.objects.get(person=cast.cal)
    for number in range(70):
        change_role(place=place, role=(Role.READER, Role.CREW)[number % 2], by=cast.ada)
        weigh(cast.kettle_bench, herd.cow, date(2025, 1, 1 + number % 28), str(1_100 + number))
    seen, before = [], ""
    while before is not None:
        context = ada_in.get(reverse("office:activity"), {"kind": "people", "before": before}).context
        seen += [one.pk for one in context["happenings"]]
        before = context["older"]
        assert context["question"] == "kind=people"
    assert len(seen) == len(set(seen)) == 70
    seen, before = [], ""
    while before is not None:
        context = ada_in.get(reverse("office:activity"), {"before": before}).context
        seen += [one.pk for one in context["happenings"]]
        before = context["older"]
    assert len(seen) == len(set(seen)) == 70 + Changeset.objects.count()


def test_the_activity_leaves_whole_as_a_file(ada_in, cast, written):
    answer = ada_in.get(reverse("office:activity"), {"as": "csv", "before": str(Changeset.objects.first().pk)})
    lines = b"".join(answer.streaming_content).decode("utf-8-sig").splitlines()
    assert lines[0] == "When,Who,What,Kind,Changes,Taken back"
    assert len(lines) == 1 + Changeset.objects.count() + 1
    assert any(line.endswith(f'ada,"{ROLE_SENTENCE}",people and roles,,') for line in lines)
    assert ada_in.get(reverse("office:activity"), {"as": "xlsx"}).status_code == 200
    assert ROLE_SENTENCE in ada_in.get(reverse("office:activity"), {"as": "print"}).content.decode()


def test_another_outfits_activity_stays_there(ada_in, cast, written, as_person):
    eve_in = as_person(cast.eve)
    foreign = Changeset.objects.get(title="Weaned the heifer")
    for asked in ({}, {"who": str(cast.ben.pk)}, {"animal": "12"}, {"before": str(foreign.pk)}):
        assert shown_in(eve_in.get(reverse("office:activity"), asked)) == []


def test_the_activity_stays_at_few_queries(ada_in, written, django_assert_max_num_queries):
    with django_assert_max_num_queries(12):
        ada_in.get(reverse("office:activity"), {"animal": "12"})


def test_rows_of_lists_are_said_with_what_was_changed(cast, herd):
    bench = cast.kettle_bench
    drench = lists.add(entry=entry(bench, title="a"), subject="product", facts={"name": "Blue drench", "dose": "5 mL"})
    facts = {"meat_withdrawal_days": 14, "is_retired": True}
    lists.correct(entry=entry(bench, title="b"), subject="product", row_id=drench, facts=facts)
    lists.take_out(entry=entry(bench, title="c"), subject="product", row_id=drench)
    assert [said(Changeset.objects.get(title=title)) for title in "abc"] == [
        ["Product Blue drench: new."],
        ["Product Blue drench: withdrawal days for meat from nothing to 14; retired from no to yes."],
        ["Product Blue drench: taken out."],
    ]
    written = Changeset.objects.get(title="c")
    undo(Entry(bench, cast.ada, ChangesetKind.UNDO, "d", undoes=written), written)
    assert said(Changeset.objects.get(title="d")) == ["Product Blue drench: brought back."]
