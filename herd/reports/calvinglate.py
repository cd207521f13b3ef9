"""Females on hand by what is known of the calf they carry: open, still expected, past due, or no word at all."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus, Event
from herd.registry.queries.breeds import breed_namer
from herd.registry.queries.policies import policies_of
from herd.reports.calving import KNOWN, Noted, Season
from herd.values.gestation import Due, due_from_check, due_from_service
from herd.values.policy import Policy
from herd.values.policyhistory import PolicyHistory
from herd.values.pregnancy import LONGEST_DAYS

OPEN, PAST_DUE, EXPECTED, NO_WORD = "open", "past-due", "expected", "no-word"
GROUPS = (OPEN, PAST_DUE, EXPECTED, NO_WORD)
KINDS = ("pregnancy_check", "service", "calving")


@dataclass(slots=True)
class _Word:
    """The last word on one female: served, found pregnant with or without the days, or found open."""

    served_on: date | None = None
    pregnant_on: date | None = None
    days: int | None = None
    open_on: date | None = None

    def take(self, kind: str, on: date, data: Mapping[str, Any]) -> "_Word":
        """The word after the next event; a calving ends it."""
        result, days = data.get("result"), data.get("days")
        if kind == "calving":
            return _Word()
        if kind == "service":
            return _Word(served_on=on)
        if result == "open":
            return _Word(open_on=on)
        if result != "pregnant":
            return self
        is_sound = isinstance(days, int) and 0 < days <= LONGEST_DAYS
        return _Word(self.served_on, on, days if is_sound else None)

    def due(self, breed: str, policy: Policy) -> Due | None:
        """When her calf is due: by the service where its day is known, since days bred are an estimate."""
        if self.served_on:
            return due_from_service(self.served_on, breed=breed, policy=policy)
        if not self.pregnant_on or not self.days:
            return None
        return due_from_check(self.pregnant_on, self.days, breed=breed, policy=policy)


def females_by_word(
    outfit: Outfit, season: Season, policies: PolicyHistory | None = None
) -> dict[str, list[Noted]]:
    """The females on hand now, by the last word on each up to the season's last day; three queries.

    NO_WORD has the cows alone: without a calf in the season, and neither served nor checked since their last.
    """
    policy = (policies or policies_of(outfit)).on(season.last).policy
    words, named = _words(outfit, season), breed_namer(outfit)
    found: dict[str, list[Noted]] = {name: [] for name in GROUPS}
    here = Q(entered_on=None) | Q(entered_on__lte=season.last)
    females = Animal.objects.of(outfit).filter(here, status=AnimalStatus.ON_HAND, animal_class__in=("cow", "heifer"))
    for key, name, breed in females.order_by("pk").values_list("pk", "animal_class", "breed"):
        group, day, said = _judge(words.get(key, _Word()), named(breed), season.last, policy)
        if group != NO_WORD or (name == "cow" and key not in season.dams):
            found[group].append(Noted(key, day, said))
    return found


def _judge(word: _Word, breed: str, on: date, policy: Policy) -> tuple[str, date | None, str]:
    if word.open_on:
        return OPEN, word.open_on, "Checked open, and not served since."
    due = word.due(breed, policy)
    if due is None:
        if word.pregnant_on is None:
            return NO_WORD, None, "No calf in the season, and no service or check since her last."
        # Nobody is pregnant for longer than LONGEST_DAYS, whenever she was bred.
        is_past = word.pregnant_on + timedelta(days=LONGEST_DAYS) < on
        return PAST_DUE if is_past else EXPECTED, word.pregnant_on, "Checked pregnant without the days bred."
    how = "Checked pregnant" if word.pregnant_on else "Served, not checked"
    group = PAST_DUE if due.latest < on else EXPECTED
    return group, due.expected, f"{how}. {due.formula.capitalize()}; {due.source}."


def _words(outfit: Outfit, season: Season) -> dict[UUID, _Word]:
    since = season.first - timedelta(days=2 * LONGEST_DAYS)
    rows = Event.objects.of(outfit).filter(
        kind__in=KINDS, happened_on__range=(since, season.last), precision__in=KNOWN,
        animal__status=AnimalStatus.ON_HAND, animal__is_void=False,
    )  # fmt: skip
    words: dict[UUID, _Word] = {}
    columns = ("animal_id", "kind", "happened_on", "data")
    for key, kind, on, data in rows.order_by("happened_on", "id").values_list(*columns).iterator():
        words[key] = words.get(key, _Word()).take(kind, on, data)
    return words
