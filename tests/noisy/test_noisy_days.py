"""Noisy days with known truth: no wrong fact, nearly all true matches made, no line lost, all undone."""

import json

import pytest

from herd.accounts.models import Outfit, Person
from herd.intake.days import GivenFile, open_day, undo_day
from herd.intake.models import ProcessingDay, StagedRow
from herd.intake.pipeline import apply_day, run
from herd.registry.models import Group
from herd.registry.queries.export import export_outfit
from herd.registry.services.writer import write
from tests.cast import entry
from tests.noisy.days import NoisyDay, make_day
from tests.noisy.judge import STATES, Export, RowOutcome, judge

SEEDS = range(10)


def stage(outfit: Outfit, person: Person, noisy: NoisyDay) -> ProcessingDay:
    """Register the herd and stage the day's files."""
    write(entry(outfit, title="Herd"), noisy.batch)
    day = open_day(
        outfit=outfit,
        person=person,
        name=f"Noisy day {noisy.seed}",
        worked_on=noisy.worked_on,
        group=Group.objects.of(outfit).get(name=noisy.group),
        files=[GivenFile(file.name, file.content) for file in noisy.files],
    )
    run(day)
    return ProcessingDay.objects.get(pk=day.pk)


def record_of(outfit: Outfit) -> Export:
    return list(export_outfit(outfit))


def outcomes(day: ProcessingDay) -> list[RowOutcome]:
    rows = StagedRow.objects.filter(day=day).select_related("file")
    return [RowOutcome(row.file.name, row.line, row.animal_id, row.state) for row in rows]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_noisy_day_writes_no_wrong_fact_and_is_undone_byte_for_byte(
    kettle_bench: Outfit, ada: Person, seed: int
) -> None:
    noisy = make_day(seed)
    day = stage(kettle_bench, ada, noisy)
    before = record_of(kettle_bench)
    apply_day(day, ada)
    judged = judge(noisy, before, record_of(kettle_bench), outcomes(day))
    assert judged.wrong == ()
    assert judged.lost_lines == ()
    assert judged.share >= 0.97, "\n".join(judged.missed)
    check_counts(day, judged.states)
    undo_day(day=ProcessingDay.objects.get(pk=day.pk), person=ada)
    assert json.dumps(record_of(kettle_bench)) == json.dumps(before)


def check_counts(day: ProcessingDay, states: dict[str, dict[str, int]]) -> None:
    for file in day.files.all():
        assert set(states[file.name]) <= STATES
        assert sum(states[file.name].values()) == file.row_count


@pytest.mark.parametrize("seed", range(3))
def test_a_day_without_faults_needs_no_person(kettle_bench: Outfit, ada: Person, seed: int) -> None:
    noisy = make_day(seed, head=80, faults=0.0)
    day = stage(kettle_bench, ada, noisy)
    before = record_of(kettle_bench)
    apply_day(day, ada)
    judged = judge(noisy, before, record_of(kettle_bench), outcomes(day))
    assert judged.wrong == ()
    assert judged.missed == ()
