"""Applying: checked against the record of that moment, all or nothing, once, and taken back byte for byte."""

from datetime import timedelta
from uuid import UUID

import pytest

from herd.accounts.models import Outfit
from herd.intake.days import judge_undo, undo_day
from herd.intake.models import DayState, FindingKind, ProcessingDay
from herd.intake.pipeline import run
from herd.intake.queries.report import report_of
from herd.ledger.models import Changeset
from herd.registry.models import Animal, TagWearing
from herd.registry.services import events, tags
from herd.registry.services.batch import NewEvent, PutOn
from herd.registry.services.refused import Refused
from herd.registry.services.work import Work
from herd.registry.services.writer import STEPS
from herd.registry.undo import undo
from herd.values.mass import NANOGRAMS, WeightUnit
from tests.cast import entry
from tests.intake.field import (
    SINCE,
    WORKED_ON,
    answer,
    apply,
    check_counts,
    cow,
    csv_file,
    eid,
    finding,
    herd,
    kinds,
    record,
    states,
    weights,
    who_has,
    work,
    worn,
)

E417, E530 = eid(417 * 11), eid(530 * 11)
LINES = ["EID,Weight (lb)", f"{E417},1180", f"{E530},1190"]


def weigh(outfit: Outfit, animal_id: UUID, pounds: int) -> None:
    data = {"weight": str(pounds), "unit": "lb"}
    one = NewEvent(animal_id, "weight", WORKED_ON, data, weight_ng=pounds * NANOGRAMS[WeightUnit.LB])
    events.record(entry=entry(outfit), events=[one])


def take_back(day: ProcessingDay) -> list[str]:
    """Undo the day; the reasons where that was refused."""
    return list(undo_day(day=ProcessingDay.objects.get(pk=day.pk), person=None).reasons)


def test_an_animal_sold_since_goes_back_to_review_and_the_rest_is_written(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    events.record(entry=entry(kettle_bench), events=[NewEvent(cows[417], "sale", WORKED_ON.replace(day=1), {})])
    apply(day)
    assert weights(kettle_bench, cows[417]) == []
    assert weights(kettle_bench, cows[530]) == ["1190 lb"]
    assert finding(day, FindingKind.NOT_ON_HAND).animal_id == cows[417]
    assert states(day) == ["waiting", "applied"]
    day.refresh_from_db()
    assert day.state == DayState.REVIEW


def test_a_tag_moved_since_takes_nothing_to_its_new_wearer_unseen(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    bare = cow(kettle_bench, "688")
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    old = TagWearing.objects.get(animal=cows[417], kind="eid")
    tags.take_off(entry=entry(kettle_bench), wearing_id=old.pk, on=WORKED_ON, ended="lost")
    tags.put_on(entry=entry(kettle_bench), tag=PutOn(bare, "eid", E417, worn_from=WORKED_ON))
    applied = apply(day)
    assert applied.went_back == 1
    assert weights(kettle_bench, cows[417]) == weights(kettle_bench, bare) == []
    assert weights(kettle_bench, cows[530]) == ["1190 lb"]
    # Seen again, a second apply writes it where the tag is now.
    apply(day)
    assert weights(kettle_bench, bare) == ["1180 lb"]


def test_the_same_weighing_recorded_since_is_known_and_not_written_twice(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    weigh(kettle_bench, cows[417], 1180)
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert states(day) == ["known", "applied"]


def test_another_weighing_recorded_since_goes_back_to_review(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    weigh(kettle_bench, cows[417], 1111)
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1111 lb"]
    assert finding(day, FindingKind.DIFFERS).animal_id == cows[417]


def test_work_on_other_animals_sends_nothing_back(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    weigh(kettle_bench, cows[688], 1111)
    assert apply(day).went_back == 0
    assert states(day) == ["applied", "applied"]


def test_applying_again_writes_nothing(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    apply(day)
    once, count = record(kettle_bench), Changeset.objects.count()
    assert apply(day).changeset_id is None
    run(ProcessingDay.objects.get(pk=day.pk))
    assert apply(day).changeset_id is None
    assert record(kettle_bench) == once
    assert Changeset.objects.count() == count
    assert states(day) == ["applied", "applied"]
    check_counts(day)


def test_what_waits_is_written_later_and_the_rest_not_again(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", [*LINES, f"{eid(900_001)},1200"])])
    apply(day)
    assert states(day) == ["applied", "applied", "waiting"]
    answer(day, finding(day, FindingKind.UNKNOWN_TAG), "new_animal")
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    (made,) = who_has(kettle_bench, eid(900_001))
    assert weights(kettle_bench, UUID(made)) == ["1200 lb"]
    day.refresh_from_db()
    assert day.state == DayState.APPLIED
    assert len(report_of(day).changesets) == 2


def test_one_apply_is_one_changeset_that_names_the_day(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    before = Changeset.objects.count()
    day = work(kettle_bench, [csv_file("scale.csv", LINES)], name="Fall weighing")
    written = apply(day).changeset_id
    assert Changeset.objects.count() == before + 1
    assert Changeset.objects.get(pk=written).title == "Fall weighing, 2025-10-20"


def test_undo_restores_the_record_byte_for_byte_and_the_day_can_be_applied_again(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    before = record(kettle_bench)
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Weight (lb)", f"{eid(900_001)},417,1180"])])
    answer(day, finding(day, FindingKind.UNKNOWN_TAG), "retag")
    apply(day)
    applied = record(kettle_bench)
    assert applied != before
    assert take_back(day) == []
    assert record(kettle_bench) == before
    assert states(day) == ["waiting"]
    apply(day)
    assert [one[0] for one in worn(kettle_bench, UUID(who_has(kettle_bench, "417")[0]))][-1] == eid(900_001)


def test_undo_takes_both_applies_of_a_day_back(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    before = record(kettle_bench)
    day = work(kettle_bench, [csv_file("scale.csv", [*LINES, f"{eid(900_001)},1200"])])
    apply(day)
    answer(day, finding(day, FindingKind.UNKNOWN_TAG), "new_animal")
    apply(day)
    assert take_back(day) == []
    assert record(kettle_bench) == before
    check_counts(day)


def test_undo_takes_a_later_apply_on_the_same_new_animal_back(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    before = record(kettle_bench)
    line = f"{eid(900_001)},530,505"
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Weight (lb)", line])])
    answer(day, finding(day, FindingKind.UNKNOWN_TAG), "retag")
    apply(day)
    answer(day, finding(day, FindingKind.DOUBTFUL), "as_written")
    apply(day)
    assert take_back(day) == []
    assert record(kettle_bench) == before


def test_undo_is_refused_with_the_reason_while_later_work_builds_on_it(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [530])
    before = record(kettle_bench)
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(900_001)},1200"])], name="First")
    answer(day, finding(day, FindingKind.UNKNOWN_TAG), "new_animal")
    apply(day)
    later = work(
        kettle_bench,
        [csv_file("later.csv", ["EID,Weight (lb)", f"{eid(900_001)},1210"])],
        name="Second",
        day=WORKED_ON.replace(day=28),
    )
    apply(later)
    applied = record(kettle_bench)
    assert not judge_undo(day).is_possible
    (reason,) = take_back(day)
    assert "“Second, 2025-10-28” has built on it" in reason
    assert record(kettle_bench) == applied
    assert take_back(later) == []
    assert take_back(day) == []
    assert record(kettle_bench) == before


def test_later_work_of_a_day_with_the_same_name_stands_in_the_way_too(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [530])
    first = [csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(900_001)},1200", f"{eid(911_113)},1200"])]
    day = work(kettle_bench, first)
    answer(day, finding_of(day, eid(900_001)), "new_animal")
    apply(day)
    answer(day, finding_of(day, eid(911_113)), "new_animal")
    apply(day)
    apply(work(kettle_bench, [csv_file("preg.csv", ["EID,Preg", f"{eid(900_001)},open"])]))
    applied = record(kettle_bench)
    assert not judge_undo(day).is_possible
    assert take_back(day) != []
    assert record(kettle_bench) == applied


def finding_of(day: ProcessingDay, number: str):  # noqa: ANN201
    return day.findings.get(is_open=True, key=f"who:{number}")


def test_undo_takes_a_group_back_that_the_first_apply_made_and_the_second_filled(kettle_bench: Outfit) -> None:
    before = record(kettle_bench)
    lines = ["EID,VID,Group", f"{eid(1)},417,Heifer Lot", f"{eid(77)},417,Heifer Lot", f"{eid(5555)},530,Heifer Lot"]
    day = work(kettle_bench, [csv_file("herd.csv", lines, is_herd_list=True)], of=None)
    apply(day)
    answer(day, day.findings.filter(is_open=True).first(), "take")
    apply(day)
    assert len(report_of(day).changesets) == 2
    assert judge_undo(day).is_possible
    assert take_back(day) == []
    assert record(kettle_bench) == before


def test_there_is_nothing_to_undo_of_a_day_that_was_not_applied(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    assert take_back(day) == ["Nothing of this day is in the record."]


def test_an_undone_changeset_is_not_taken_back_twice(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    written = Changeset.objects.get(pk=apply(day).changeset_id)
    assert undo(entry(kettle_bench), written).is_possible
    before = record(kettle_bench)
    assert take_back(day) == ["Nothing of this day is in the record."]
    assert record(kettle_bench) == before


def test_a_refused_apply_leaves_nothing_and_says_why(kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    before = record(kettle_bench)

    def stop(*args: object) -> None:
        raise Refused([])

    monkeypatch.setattr("herd.registry.services.writer.STEPS", (stop,))
    with pytest.raises(Refused):
        apply(day)
    day.refresh_from_db()
    assert day.state == DayState.REVIEW
    assert day.problem.startswith("Nothing was applied")
    assert record(kettle_bench) == before
    assert states(day) == ["waiting", "waiting"]


def test_what_the_registry_refuses_of_one_animal_stays_and_the_rest_is_written(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    lines = ["EID,Weight (lb),Group", f"{E417},1180,Creek", f"{E530},1190,"]
    day = work(kettle_bench, [csv_file("scale.csv", lines)], day=SINCE - timedelta(days=40))
    answer(day, finding(day, FindingKind.DIFFERS), "take")
    assert (applied := apply(day)).went_back == 1
    assert weights(kettle_bench, cows[417]) == []
    assert weights(kettle_bench, cows[530]) == ["1190 lb"]
    day.refresh_from_db()
    assert (day.state, states(day)) == (DayState.REVIEW, ["waiting", "applied"])
    assert day.problem.startswith("The rest was applied, but not all: ")
    assert day.problem.endswith(applied.refused[0])
    with pytest.raises(Refused, match="joined"):
        apply(day)
    assert take_back(day) == []


def test_a_calf_waits_with_the_dam_that_the_registry_refuses(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = ["EID,Tag,Class,Dam", f"{E417},417,cow,", f"{E530},530,heifer,417", f"{eid(6)},6,cow,"]
    day = work(kettle_bench, [csv_file("herd.csv", lines, is_herd_list=True)], of=None)

    def refuse_417(work: Work) -> None:
        for one in work.batch.put_on:
            if one.number == "417":
                work.refuse("Not this one.", animal_id=one.animal_id)

    with monkeypatch.context() as broken:
        broken.setattr("herd.registry.services.writer.STEPS", (refuse_417, *STEPS))
        assert apply(day).lines == 1
    assert Animal.objects.of(kettle_bench).count() == 1
    assert apply(day).lines == 2
    assert Animal.objects.of(kettle_bench).exclude(dam=None).count() == 1


def test_a_crash_after_writing_leaves_nothing(kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    before = record(kettle_bench)
    with monkeypatch.context() as broken:
        broken.setattr("herd.intake.steps.apply._mark", _crash)
        with pytest.raises(OSError, match="the disk is full"):
            apply(day)
    assert record(kettle_bench) == before
    apply(day)
    assert states(day) == ["applied", "applied"]


def _crash(*args: object) -> None:
    raise OSError("the disk is full")


def test_other_outfits_with_the_same_numbers_are_left_alone(kettle_bench: Outfit, far_rim: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    herd(far_rim, [417, 530])
    before = record(far_rim)
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    assert kinds(day) == []
    apply(day)
    assert record(far_rim) == before
