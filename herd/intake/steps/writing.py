"""Writes as many of a day's lines as the registry takes, and tells which it refused and why."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress

from herd.intake.models import MergedLine, ProcessingDay
from herd.intake.steps.proposals import make_batch, name_by_row
from herd.ledger.entry import Entry
from herd.ledger.models import Changeset
from herd.registry.services.batch import Batch
from herd.registry.services.refused import Refused
from herd.registry.services.writer import STEPS, write


@dataclass(frozen=True, slots=True)
class Written:
    """The changeset, the lines that are in it, and why others are not."""

    changeset: Changeset
    lines: Sequence[MergedLine]
    refused: Sequence[str]


def write_lines(entry: Entry, day: ProcessingDay, lines: Sequence[MergedLine]) -> Written:
    """Write the lines, without those about animals of which the registry refuses something.

    Raises Refused where that is true of all of them, or where the reason names none of their animals. A refusal
    tells what one step of the writer found, so there may be one for each step.
    """
    refused: list[str] = []
    for _ in STEPS:
        try:
            return Written(write(entry, _batch(day, lines)), lines, refused)
        except Refused as problem:
            taken = _without(lines, problem)
            if len(taken) in {0, len(lines)}:
                raise
            lines = taken
            refused += [one.reason for one in problem.refusals]
    return Written(write(entry, _batch(day, lines)), lines, refused)


def _batch(day: ProcessingDay, lines: Sequence[MergedLine]) -> Batch:
    batch = make_batch(day, lines)
    if day.device_id:
        name_by_row(batch)
    return batch


def _without(lines: Sequence[MergedLine], problem: Refused) -> list[MergedLine]:
    """The lines about other animals, but those that name a new animal which now does not come in."""
    about = {one.animal_id for one in problem.refusals if one.animal_id}
    out = [line for line in lines if line.animal_id in about]
    taken = [line for line in lines if line.animal_id not in about]
    while out:
        gone = [line.key for line in out if line.key.startswith("new:")]
        names_one = [any(key in str(line.proposals) for key in gone) for line in taken]
        out = list(compress(taken, names_one))
        taken = [line for line, names in zip(taken, names_one, strict=True) if not names]
    return taken
