"""Replacements of a time: cows at its start, cows gone, females that joined them, heifers kept and which are bred."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Event
from herd.registry.queries.policies import policies_of
from herd.reports.calving import KNOWN, Noted, Season
from herd.reports.calvinglate import EXPECTED, OPEN, PAST_DUE, females_by_word
from herd.reports.onhand import on_hand_on
from herd.values.eventkinds import EVENT_KINDS, LEAVING
from herd.values.policyhistory import PolicyHistory
from herd.values.reproduction import Cohort

COUNTS = {
    "opening": "Cows at the start", "gone": "Cows gone since", "joined": "Females that joined the cows",
    "closing": "Cows at the end", "kept": "Heifers kept, a year old or more", "bred": "Heifers kept that are bred",
    "open": "Heifers kept that were checked open", "no_word": "Heifers kept without a service or check",
    "exposed": "Females exposed",
}  # fmt: skip
LEAVING_KINDS = [key for key, kind in EVENT_KINDS.items() if kind.effect in LEAVING]
BRED = (EXPECTED, PAST_DUE)


@dataclass(slots=True)
class Replacements:
    """The animals behind each count of COUNTS, and the cohort of the year that they make."""

    behind: dict[str, list[Noted]] = field(default_factory=lambda: {name: [] for name in COUNTS})
    has_exposed: bool = False

    def many(self, name: str) -> int:
        """How many stand behind a count."""
        return len(self.behind[name])

    @property
    def cohort(self) -> Cohort:
        """What the rates of a year are taken of."""
        return Cohort(
            self.many("exposed") if self.has_exposed else 0,
            replacements=self.many("joined"),
            opening_cows=self.many("opening"),
            gone_cows=self.many("gone"),
        )


def replacements_of(
    outfit: Outfit, first: date, last: date, bulls_in: date | None = None, policies: PolicyHistory | None = None
) -> Replacements:
    """Who was a cow before the first day, who of these is gone on the last, and who takes their place.

    Exposed are cows and heifers of a year or more on hand on the day the bulls went in; without it nobody is.
    """
    found = Replacements(has_exposed=bulls_in is not None)
    opening, closing = (dict(on_hand_on(outfit, day)) for day in (first - timedelta(days=1), last))
    cows = {key for key, name in opening.items() if name == "cow"}
    now = {key for key, name in closing.items() if name == "cow"}
    left = _left(outfit, cows - set(closing), first, last)
    _note(found, "opening", cows, "A cow on hand before the first day.")
    _note(found, "closing", now, "A cow on hand on the last day.")
    for key in sorted(cows - set(closing)):
        found.behind["gone"].append(left.get(key, Noted(key, None, "Not on hand any more.")))
    for key in sorted(now - cows):
        words = "A heifer before, a cow now." if key in opening else "Came into the herd."
        found.behind["joined"].append(Noted(key, None, words))
    heifers = {key for key, name in closing.items() if name == "heifer"}
    _take_heifers(found, outfit, heifers, Season(first, last, {}), policies or policies_of(outfit))
    if bulls_in:
        exposed = {key for key, name in on_hand_on(outfit, bulls_in) if name in {"cow", "heifer"}}
        _note(found, "exposed", exposed, "On hand when the bulls went in.")
    return found


def _note(found: Replacements, name: str, keys: set[UUID], words: str) -> None:
    found.behind[name] += [Noted(key, None, words) for key in sorted(keys)]


def _take_heifers(
    found: Replacements, outfit: Outfit, heifers: set[UUID], season: Season, policies: PolicyHistory
) -> None:
    """Part the heifers kept by the last word on each: bred, open, or none."""
    _note(found, "kept", heifers, "A heifer of a year or more on hand on the last day.")
    words = females_by_word(outfit, season, policies)
    said = {name: [one for one in words[name] if one.animal_id in heifers] for name in (*BRED, OPEN)}
    found.behind["bred"] = [one for name in BRED for one in said[name]]
    found.behind["open"] = said[OPEN]
    known = {one.animal_id for some in said.values() for one in some}
    _note(found, "no_word", heifers - known, "Neither served nor checked.")


def _left(outfit: Outfit, keys: set[UUID], first: date, last: date) -> Mapping[UUID, Noted]:
    """The last leaving of each, in words."""
    rows = Event.objects.of(outfit).filter(
        kind__in=LEAVING_KINDS, happened_on__range=(first, last), precision__in=KNOWN, animal__is_void=False
    )
    found: dict[UUID, Noted] = {}
    columns: Any = rows.order_by("happened_on", "id").values_list("animal_id", "happened_on", "kind", "data")
    for key, on, kind, data in columns:
        if key in keys:
            why = str(data.get("cause") or data.get("note") or "")
            found[key] = Noted(key, on, f"{EVENT_KINDS[kind].label.capitalize()}{f': {why}' if why else ''}.")
    return found
