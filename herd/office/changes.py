"""Changes of the ledger in words: what was written, line by line, and whether it still stands."""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Action, Change
from herd.office.listwords import say_row
from herd.office.naming import names_of
from herd.office.saying import group_digits, say_day
from herd.office.wording import animals_spoken_of, as_uuid, say_event
from herd.registry.models import (
    Animal,
    Breed,
    Event,
    Group,
    GroupMembership,
    HeadCheck,
    HerdList,
    Location,
    MissingTag,
    PolicyValue,
    Product,
    TagBox,
    TagKind,
    TagWearing,
    WearingBegan,
    WearingEnded,
)

FACT_LABELS = {
    "entry_class": "class when it came in",
    "entered_on": "came in on",
    "born_on": "born",
    "born_precision": "birth known to the",
    "breed": "breed",
    "coat": "coat",
    "origin": "origin",
    "dam_id": "dam",
    "sire_id": "sire",
}
# Columns that name another animal.
NAMING = ("dam_id", "sire_id", "animal_id", "same_as_id")
WORDY_KINDS = {"tag": "tag number", "tag_box": "box of tags", "missing_tag": "missing tag"}
ROWS = (
    Event,
    TagWearing,
    GroupMembership,
    Group,
    Location,
    Breed,
    Product,
    TagBox,
    MissingTag,
    HerdList,
    HeadCheck,
    PolicyValue,
)
RELATED = {TagWearing: ("tag",), GroupMembership: ("group",), HeadCheck: ("group",)}


@dataclass(frozen=True, slots=True)
class ChangeWords:
    """One change in words. `stands` is False once it has been taken back."""

    change: Change
    words: str
    stands: bool

    @property
    def is_whole_only(self) -> bool:
        """Whether it belongs to a merge or a split, which is taken back whole or not at all."""
        moved = {"same_as_id", "animal_id"} & set(self.change.after or {})
        return bool(moved) and self.change.action != Action.CREATED


@dataclass(frozen=True, slots=True)
class Glossary:
    """The rows and names that the changes speak of."""

    outfit: Outfit
    rows: Mapping[UUID, Any]
    names: Mapping[str, str]


def say_changes(outfit: Outfit, changes: Sequence[Change], standing: set[UUID] | None = None) -> list[ChangeWords]:
    """Say each change, in at most one query a table, however many there are."""
    glossary = _glossary(outfit, changes)
    return [
        ChangeWords(change, _say(change, glossary), standing is None or change.pk in standing) for change in changes
    ]


def _glossary(outfit: Outfit, changes: Sequence[Change]) -> Glossary:
    wanted: dict[str, set[UUID]] = defaultdict(set)
    animals: set[UUID] = set()
    for change in changes:
        wanted[change.subject_kind].add(change.subject_id)
        both = {**(change.before or {}), **(change.after or {})}
        said = [change.before or {}, change.after or {}]
        animals.update(named for key in NAMING for one in said if (named := as_uuid(one.get(key))))
        if location := as_uuid(both.get("location_id")):
            wanted[Location.SUBJECT].add(location)
    rows: dict[UUID, Any] = {}
    for model in ROWS:
        if ids := wanted[model.SUBJECT]:
            found = model.objects.filter(outfit=outfit).select_related(*RELATED.get(model, ()))
            rows.update(found.in_bulk(list(ids)))
    animals |= animals_spoken_of(row for row in rows.values() if isinstance(row, Event))
    return Glossary(outfit, rows, names_of(outfit, animals))


def _say(change: Change, glossary: Glossary) -> str:
    say = SAYINGS.get(change.subject_kind, _say_other)
    return say(change, glossary)


def _day(value: object) -> str:
    try:
        return say_day(date.fromisoformat(str(value)))
    except ValueError:
        return "no day"


def _say_animal(change: Change, glossary: Glossary) -> str:
    before, after = change.before or {}, change.after or {}
    if change.action == Action.CREATED:
        facts = [
            f"{label} {_fact(key, after[key], glossary)}"
            for key, label in FACT_LABELS.items()
            if key in after and _shown(key, after)
        ]
        return f"Registered: {', '.join(facts)}." if facts else "Registered."
    if "same_as_id" in {**before, **after}:
        return _say_same(change, glossary)
    if change.action == Action.VOIDED:
        return "Taken out of the record."
    if change.action == Action.REVIVED:
        return "Brought back into the record."
    parts = [
        f"{FACT_LABELS.get(key, key)} from {_fact(key, before.get(key), glossary)}"
        f" to {_fact(key, after[key], glossary)}"
        for key in [*(key for key in FACT_LABELS if key in after), *sorted(after.keys() - FACT_LABELS.keys())]
    ]
    return f"{'Set back' if change.undoes else 'Corrected'}: {'; '.join(parts)}."


def _say_same(change: Change, glossary: Glossary) -> str:
    """A record merged into another, split off again, or one that a second animal came out of."""
    before, after = change.before or {}, change.after or {}
    kept = str(after.get("same_as_id") or before.get("same_as_id") or "")
    name = glossary.names.get(kept, "another record")
    if change.action == Action.VOIDED:
        return f"Merged into {name}: both are one animal."
    if change.action == Action.REVIVED:
        return f"A record of its own again, apart from {name}."
    if change.undoes:
        return "Joined again with what was split off."
    return "Split: a second animal came out of this record."


def _shown(key: str, facts: Mapping[str, Any]) -> bool:
    is_plain_precision = key == "born_precision" and (facts[key] in ("day", "unknown") or "born_on" not in facts)
    return key in FACT_LABELS and not is_plain_precision


def _fact(key: str, value: Any, glossary: Glossary) -> str:
    if value in (None, ""):
        return "nothing"
    if key.endswith("_on"):
        return _day(value)
    if key in ("dam_id", "sire_id"):
        return glossary.names.get(str(value), "an animal")
    return str(value)


def _came_over(change: Change, what: str, glossary: Glossary) -> str:
    """A row that moved from one animal's record to another's."""
    before, after = change.before or {}, change.after or {}
    left, joined = (glossary.names.get(str(one.get("animal_id")), "another record") for one in (before, after))
    return f"{what[0].upper()}{what[1:]} went from {left} to {joined}."


def _has_moved(change: Change) -> bool:
    return change.action == Action.CHANGED and "animal_id" in (change.after or {})


def _tag(row: TagWearing) -> str:
    kind = TagKind(row.kind).label
    return f"{kind[0].upper()}{kind[1:]} {group_digits(str(row.tag.number))} {row.tag.colour}".strip()


def _say_wearing(change: Change, glossary: Glossary) -> str:
    row = glossary.rows.get(change.subject_id)
    after = change.after or {}
    tag = _tag(row) if row else "A tag"
    if _has_moved(change):
        return f"{_came_over(change, tag, glossary)}{_ended_with_it(after)}"
    if change.action == Action.CREATED:
        began = WearingBegan(after.get("began", WearingBegan.TAGGED)).label
        on = f" {_day(after['worn_from'])}" if after.get("worn_from") else ""
        return f"{tag} put on{on} ({began})."
    if change.action == Action.VOIDED:
        return f"{tag} was not put on after all."
    if change.action == Action.REVIVED:
        return f"{tag} counts as put on again."
    if after.get("ended"):
        return f"{tag} came off on {_day(after.get('worn_to'))} ({WearingEnded(after['ended']).label})."
    return f"{tag} is on the animal again."


def _ended_with_it(after: Mapping[str, Any]) -> str:
    if after.get("ended"):
        return f" It came off on {_day(after.get('worn_to'))} ({WearingEnded(after['ended']).label})."
    return f" It is a second EID: {after['second_reason']}." if after.get("second_reason") else ""


def _say_stay(change: Change, glossary: Glossary) -> str:
    row, after = glossary.rows.get(change.subject_id), change.after or {}
    group = row.group.name if row else "a group"
    if _has_moved(change):
        left = f" It left on {_day(after['left_on'])}." if after.get("left_on") else ""
        return f"{_came_over(change, f'the time in {group}', glossary)}{left}"
    if change.action == Action.CREATED:
        return f"Joined {group} on {_day(after.get('joined_on'))}."
    if change.action == Action.VOIDED:
        return f"Did not join {group} after all."
    if change.action == Action.REVIVED:
        return f"Counts as in {group} again."
    return f"Left {group} on {_day(after['left_on'])}." if after.get("left_on") else f"Stays in {group}."


def _say_count(change: Change, glossary: Glossary) -> str:
    row = glossary.rows.get(change.subject_id)
    counted = f"{row.group.name} on {say_day(row.counted_on)}: {row.counted} head counted" if row else "A head count"
    return f"{counted}{'' if change.action in {Action.CREATED, Action.REVIVED} else ', taken back'}."


def _say_event_change(change: Change, glossary: Glossary) -> str:
    row = glossary.rows.get(change.subject_id)
    if row is None:
        return "An event."
    if _has_moved(change):
        return _came_over(change, f"{row.get_kind_display()} of {say_day(row.happened_on, row.precision)}", glossary)
    sentence = f"{say_day(row.happened_on, row.precision)}: {say_event(row, glossary.outfit.unit, glossary.names)}"
    return {
        Action.CREATED: sentence,
        Action.VOIDED: f"Voided: {sentence}",
        Action.REVIVED: f"Counts again: {sentence}",
    }.get(Action(change.action), f"Changed: {sentence}")


def _say_other(change: Change, glossary: Glossary) -> str:
    return say_row(change, glossary.rows)


SAYINGS: dict[str, Callable[[Change, Glossary], str]] = {
    Animal.SUBJECT: _say_animal,
    TagWearing.SUBJECT: _say_wearing,
    GroupMembership.SUBJECT: _say_stay,
    Event.SUBJECT: _say_event_change,
    HeadCheck.SUBJECT: _say_count,
}
