"""Two records of one animal made one, and a record that holds two animals made two."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.models import Animal
from herd.registry.queries.merged import Parts
from herd.registry.queries.twofold import Twofold, compare, side_of
from herd.registry.services.batch import Batch, Merged, NewAnimal, SplitOff
from herd.registry.services.merge_rows import (
    STANDS,
    MergeChoices,
    close_when_gone,
    facts_taken,
    moved_calves,
    moved_events,
    moved_stays,
    moved_wearings,
    pointing_events,
)
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.split_rows import parts_moved, put_back, split_calves
from herd.registry.services.writer import write

LONGEST_REASON = 200

def merge(*, entry: Entry, kept_id: UUID, other_id: UUID, choices: MergeChoices, reason: str) -> None:
    """Make two records one: all that stands on the other moves to the one kept, and the other points at it.

    One changeset, undone whole. Raises Refused where they can't be one animal, or a choice is missing.
    """
    both = compare(entry.outfit, kept_id, other_id)
    if both is None:
        raise Refused([Refusal("Choose two different animals of this outfit’s record.", "other")])
    refusals = [Refusal(sentence, "other") for sentence in both.obstacles] + list(_missing(both, choices))
    if refusals:
        raise Refused(refusals)
    rows = [*moved_wearings(both, choices), *moved_stays(both, choices), *moved_events(both, choices)]
    rows = close_when_gone(both, pointing_events(entry.outfit, both, rows))
    reason = reason[:LONGEST_REASON]
    batch = Batch(
        merged=[Merged(other_id, kept_id, reason)],
        edits=[*facts_taken(entry.outfit, both, choices, reason), *moved_calves(both, reason)],
        row_edits=[row.edit(reason) for row in rows],
    )
    write(entry, batch)


def _missing(both: Twofold, choices: MergeChoices) -> list[Refusal]:
    found = []
    if both.has_two_eids and choices.eid not in STANDS:
        found.append(Refusal("Both wear an EID now; say which one stays on, or why there are two.", "eid"))
    if both.has_two_eids and choices.eid == "both" and not choices.second_reason.strip():
        found.append(Refusal("Say why the animal wears a second EID.", "second_reason"))
    if both.has_two_groups and choices.group not in STANDS[:2]:
        found.append(Refusal("They are in two groups now; say in which one the animal is.", "group"))
    return found


def split(
    *,
    entry: Entry,
    animal_id: UUID,
    parts: Parts,
    reason: str,
    merged_id: UUID | None = None,
    facts: Mapping[str, Any] | None = None,
) -> UUID:
    """Make two animals of a record, and return the second one's id; raises Refused.

    `merged_id` is a record merged into it that comes back to life with its own facts; without it the second animal
    is new, with `facts`. `parts` are the tags, memberships, events and calves that belong to the second; what the
    merge changed besides is set back, as far as nothing was written over it since.
    """
    animal = Animal.objects.of(entry.outfit).filter(pk=animal_id).first()
    if animal is None:
        raise Refused([Refusal("That animal is not in this outfit’s record.")])
    kept = side_of(entry.outfit, animal)
    if merged_id is None and not parts:
        raise Refused([Refusal("Choose what belongs to the second animal, at least one tag or event.", "parts")])
    newcomer, reason = NewAnimal(facts or {}), reason[:LONGEST_REASON]
    second_id = merged_id or newcomer.id
    edits, rows = put_back(entry.outfit, kept, merged_id, parts_moved(kept, second_id, parts))
    batch = Batch(
        animals=[] if merged_id else [newcomer],
        split_off=[SplitOff(second_id, animal_id, reason, is_new=merged_id is None)],
        edits=[*edits, *split_calves(kept, second_id, parts, reason)],
        row_edits=[row.edit(reason) for row in rows],
    )
    write(entry, batch)
    return second_id
