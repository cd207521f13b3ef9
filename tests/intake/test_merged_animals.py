"""Days that were staged or applied before two of their animals turned out to be one."""

from uuid import UUID

from herd.accounts.models import Outfit
from herd.intake.days import undo_day
from herd.intake.models import FindingKind, ProcessingDay, StagedRow
from herd.intake.steps.settle import settle_day
from herd.ledger.models import Change
from herd.registry.queries.merged import original_parts
from herd.registry.services import merging
from herd.registry.services.merge_rows import MergeChoices
from herd.registry.undo import undo
from tests.cast import entry
from tests.intake.field import (
    WORKED_ON,
    answer,
    apply,
    cow,
    csv_file,
    eid,
    finding,
    kinds,
    record,
    states,
    weights,
    work,
)

LINES = ["EID,Weight (lb)", f"{eid(77)},1180"]


def merge(outfit: Outfit, kept: UUID, other: UUID) -> None:
    merging.merge(
        entry=entry(outfit, title="Merged"),
        kept_id=kept,
        other_id=other,
        choices=MergeChoices(on=WORKED_ON, eid="other", ended="lost", group="kept"),
        reason="one cow",
    )


def twice(outfit: Outfit) -> tuple[UUID, UUID]:
    """One cow recorded by her visual tag and by her EID."""
    return cow(outfit, "417"), cow(outfit, "", eid(77))


def test_a_day_staged_before_the_merge_is_applied_to_the_record_kept(kettle_bench: Outfit) -> None:
    kept, other = twice(kettle_bench)
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    merge(kettle_bench, kept, other)
    assert apply(day).went_back == 0
    assert weights(kettle_bench, kept) == ["1180 lb"]
    assert states(day) == ["applied"]


def test_a_ruling_that_named_the_merged_record_follows_to_the_one_kept(kettle_bench: Outfit) -> None:
    kept, other = twice(kettle_bench)
    near = eid(77)[:-2] + "87"
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{near},1180"])])
    asked = finding(day, FindingKind.UNKNOWN_TAG)
    answer(day, asked, f"is:{other}")
    merge(kettle_bench, kept, other)
    settle_day(ProcessingDay.objects.get(pk=day.pk))
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, kept) == ["1180 lb"]


def test_a_day_applied_before_the_merge_stays_settled_through_merge_and_undo(kettle_bench: Outfit) -> None:
    kept, other = twice(kettle_bench)
    before = record(kettle_bench)
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    apply(day)
    merge(kettle_bench, kept, other)
    done = Change.objects.order_by("-position")[0].changeset
    settle_day(ProcessingDay.objects.get(pk=day.pk))
    assert (kinds(day), states(day)) == ([], ["applied"])
    assert "Merged" in undo_day(day=ProcessingDay.objects.get(pk=day.pk), person=None).reasons[0]
    assert undo(entry(kettle_bench), done).is_possible
    settle_day(ProcessingDay.objects.get(pk=day.pk))
    assert StagedRow.objects.get(day=day).animal_id == other
    assert undo_day(day=ProcessingDay.objects.get(pk=day.pk), person=None).is_possible
    assert record(kettle_bench) == before


def test_what_was_written_since_the_merge_stays_where_it_is_when_they_are_split(kettle_bench: Outfit) -> None:
    kept, other = twice(kettle_bench)
    day = work(kettle_bench, [csv_file("scale.csv", LINES)])
    merge(kettle_bench, kept, other)
    apply(day)
    parts = original_parts(kettle_bench, kept, other)
    merging.split(entry=entry(kettle_bench), animal_id=kept, parts=parts, reason="two", merged_id=other)
    settle_day(ProcessingDay.objects.get(pk=day.pk))
    # The weight was written after the merge and stays with the record kept, where a person may move it.
    assert weights(kettle_bench, kept) == ["1180 lb"]
