"""When a weight is steady, and when the scale is loaded and empty; pure, on readings with their times."""

from collections import deque
from dataclasses import dataclass
from enum import StrEnum

from herd.bridge.patterns import Flag, Heard
from herd.values.mass import Weight

UNUSABLE = frozenset({Flag.MOTION, Flag.OVERLOAD, Flag.ERROR})


@dataclass(frozen=True, slots=True)
class Rule:
    """The stated rule; masses in nanograms, times in seconds.

    A weight is steady when for `seconds` or longer every reading was usable and above `empty_below`, the largest
    and the smallest are no more than `spread` apart, there were at least `least` of them, and no pause between two was
    longer than `gap`. It is the middle one of them (the lower middle of an even number), as the scale showed it. While
    the scale stays loaded a further steady weight counts only if it differs from the one before by more than
    `differs`. The scale is empty once all readings of `empty_for` were below `empty_below`. With `is_printed` each
    usable line is one weighing, for scales that send a line only when they are told to.
    """

    spread: int
    seconds: float
    least: int
    gap: float
    empty_below: int
    empty_for: float
    differs: int
    is_printed: bool = False


class Moment(StrEnum):
    """What the scale has just done."""

    LOADED = "loaded"
    STEADY = "steady"
    CLEARED = "cleared"


@dataclass(frozen=True, slots=True)
class Happening:
    """A moment of the scale, with the weight where it is a steady one."""

    moment: Moment
    weight: Weight | None = None
    flags: frozenset[Flag] = frozenset()


@dataclass(frozen=True, slots=True)
class _Reading:
    at: float
    weight: Weight
    flags: frozenset[Flag]


class Steadiness:
    """Follows one scale."""

    def __init__(self, rule: Rule) -> None:
        self._rule = rule
        self._window: deque[_Reading] = deque()
        self._given: int | None = None
        self._empty_since: float | None = None
        self._heard_at: float | None = None
        self.is_loaded = False

    def hear(self, heard: Heard, at: float) -> list[Happening]:
        """What a line of the scale brings about; times must not run backwards."""
        if self._rule.is_printed:
            return self._printed(heard)
        late = self._heard_at is not None and at - self._heard_at > self._rule.gap
        self._heard_at = at
        if late:
            self._window.clear()
            self._empty_since = None
        if self._is_empty(heard):
            return self._empty(at)
        self._empty_since = None
        if heard.weight is None or heard.flags & UNUSABLE:
            self._window.clear()
            return []
        return [*self._load(), *self._settle(_Reading(at, heard.weight, heard.flags))]

    def lose(self) -> list[Happening]:
        """The port went away or fell silent: nobody knows what stands there now."""
        self._window.clear()
        self._empty_since = None
        return self._clear()

    def is_silent(self, at: float, seconds: float) -> bool:
        """Whether a loaded scale has sent nothing for so long."""
        return self.is_loaded and self._heard_at is not None and at - self._heard_at > seconds

    def _printed(self, heard: Heard) -> list[Happening]:
        if heard.weight is None or heard.flags & UNUSABLE or heard.weight.nanograms < self._rule.empty_below:
            return []
        steady = Happening(Moment.STEADY, heard.weight, heard.flags)
        return [Happening(Moment.LOADED), steady, Happening(Moment.CLEARED)]

    def _is_empty(self, heard: Heard) -> bool:
        if heard.flags & {Flag.ZERO, Flag.NEGATIVE}:
            return True
        # A moving figure below the limit is an animal stepping off as well as one stepping on.
        return heard.weight is not None and heard.weight.nanograms < self._rule.empty_below

    def _empty(self, at: float) -> list[Happening]:
        self._window.clear()
        if self._empty_since is None:
            self._empty_since = at
        return self._clear() if at - self._empty_since >= self._rule.empty_for else []

    def _clear(self) -> list[Happening]:
        was_loaded, self.is_loaded, self._given = self.is_loaded, False, None
        return [Happening(Moment.CLEARED)] if was_loaded else []

    def _load(self) -> list[Happening]:
        was_loaded, self.is_loaded = self.is_loaded, True
        return [] if was_loaded else [Happening(Moment.LOADED)]

    def _settle(self, reading: _Reading) -> list[Happening]:
        window, rule = self._window, self._rule
        if window and window[-1].weight.unit is not reading.weight.unit:
            # The unit was switched: what was shown before is not compared with what is shown now.
            window.clear()
        window.append(reading)
        # One reading as old as the whole time stays, or a window could never be shown to cover it; so do the least
        # that are asked for, which a slow scale sends in a longer time.
        while len(window) > rule.least and reading.at - window[1].at >= rule.seconds:
            window.popleft()
        masses = sorted(one.weight.nanograms for one in window)
        covers = reading.at - window[0].at >= rule.seconds
        if not covers or len(window) < rule.least or masses[-1] - masses[0] > rule.spread:
            return []
        return self._give(masses[(len(masses) - 1) // 2])

    def _give(self, mass: int) -> list[Happening]:
        if self._given is not None and abs(mass - self._given) <= self._rule.differs:
            return []
        self._given = mass
        shown = next(one for one in self._window if one.weight.nanograms == mass)
        flags = frozenset().union(*(one.flags for one in self._window))
        return [Happening(Moment.STEADY, shown.weight, flags)]
