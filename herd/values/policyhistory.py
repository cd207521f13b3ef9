"""An outfit's own values through time, and the policy that was in force on any day."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from herd.values.policy import PUBLISHED, Policy
from herd.values.policyvalues import policy_with, read_value
from herd.values.problems import Unreadable


@dataclass(frozen=True, slots=True)
class PolicyChange:
    """A value from a day on, as it was typed; without a text the published one from that day on."""

    name: str
    in_force_from: date
    text: str | None


@dataclass(frozen=True, slots=True)
class InForce:
    """The policy of a day, since when each own value counts, and the own ones that don't go with the others."""

    policy: Policy = PUBLISHED
    since: Mapping[str, date] = field(default_factory=dict)
    passed_over: tuple[str, ...] = ()

    def own(self, names: Iterable[str]) -> dict[str, Any]:
        """Of these values the outfit's own ones."""
        return {name: getattr(self.policy, name) for name in names if name in self.since}


class PolicyHistory:
    """All changes of an outfit; the latest up to a day is the one in force."""

    def __init__(self, changes: Iterable[PolicyChange] = ()) -> None:
        self.changes = sorted(changes, key=lambda one: (one.in_force_from, one.name))
        self._known: dict[date, InForce] = {}

    def on(self, day: date) -> InForce:
        """The policy in force on a day; the published one where the outfit has set nothing."""
        start = max((one.in_force_from for one in self.changes if one.in_force_from <= day), default=date.min)
        if start not in self._known:
            self._known[start] = self._from(start)
        return self._known[start]

    def used(self) -> list[InForce]:
        """The policies that were asked for so far, the earliest first."""
        return [self._known[start] for start in sorted(self._known)]

    def days(self) -> list[date]:
        """The days on which something changes, the earliest first."""
        return sorted({one.in_force_from for one in self.changes})

    def _from(self, start: date) -> InForce:
        texts: dict[str, tuple[date, str]] = {}
        for one in self.changes:
            if one.in_force_from > start:
                break
            texts.pop(one.name, None)
            if one.text is not None:
                texts[one.name] = (one.in_force_from, one.text)
        return _put_together(texts, start)


def _put_together(texts: Mapping[str, tuple[date, str]], start: date) -> InForce:
    """The values that can stand together, taken in the order in which they came into force.

    A value taken back later can leave another that no longer goes with the rest: a report must still open.
    """
    own: dict[str, Any] = {}
    passed_over = []
    for name, (_, text) in texts.items():
        try:
            value = read_value(name, text)
            policy_with({**own, name: value})
        except (Unreadable, KeyError, ValueError):
            passed_over.append(name)
        else:
            own[name] = value
    policy = replace(policy_with(own), in_force_from=start) if own else PUBLISHED
    return InForce(policy, {name: texts[name][0] for name in own}, tuple(passed_over))
