"""Which wearing a retag takes the place of, so that the old and the new number are kept together."""

from collections import defaultdict
from collections.abc import Sequence
from uuid import UUID

from herd.ledger.rows import in_steps
from herd.registry.models import TagKind, TagWearing, WearingBegan
from herd.registry.queries.retags import unreplaced
from herd.registry.services.batch import PutOn
from herd.registry.services.work import Work

# An electronic tag may follow a metal one, since new official tags must be electronic (9 CFR 86.4(a)).
OFFICIAL = frozenset({TagKind.EID, TagKind.METAL})


def replaced_by(work: Work, wanted: Sequence[PutOn]) -> list[UUID | None]:
    """For each tag put on, return the wearing it replaces: the one named, or for a retag the likeliest.

    That is one taken off in the same batch, of the same kind before another official kind, or else the last of
    its kind that came off before and that nothing has replaced.
    """
    found = [one.replaces for one in wanted]
    # A wearing that is told whole names what it replaced, if anything.
    asked = [at for at, one in enumerate(wanted) if one.replaces is None and one.past is None]
    retags = [at for at in asked if wanted[at].began == WearingBegan.RETAGGED]
    ended = _ended(work, {wanted[at].animal_id for at in retags})
    taken = set(found)
    for at in retags:
        rows = [row for row in ended[wanted[at].animal_id] if row.pk not in taken]
        found[at] = _likeliest(work, wanted[at], rows)
        taken.add(found[at])
    return found


def _ended(work: Work, animal_ids: set[UUID]) -> dict[UUID, list[TagWearing]]:
    """The wearings of these animals that ended and were not replaced, the last first."""
    found: dict[UUID, list[TagWearing]] = defaultdict(list)
    for ids in in_steps(animal_ids):
        for row in unreplaced(work.outfit, ids):
            found[row.animal_id].append(row)
    return found


def _likeliest(work: Work, one: PutOn, rows: list[TagWearing]) -> UUID | None:
    now = {off.wearing_id for off in work.batch.take_off}
    same = [row for row in rows if row.kind == one.kind]
    other = [row for row in rows if {row.kind, one.kind} <= OFFICIAL]
    before = [row for row in same if row.worn_to and (one.worn_from is None or row.worn_to <= one.worn_from)]
    for choice in (
        [row for row in same if row.pk in now],
        [row for row in other if row.pk in now],
        before,
    ):
        if choice:
            return choice[0].pk
    return None
