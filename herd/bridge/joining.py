"""Which number belongs to which weight; pure. What is not certain is joined by a person.

One turn is one animal's time on the scale, from loaded to empty. Where the reader stands decides whose a number is:

- `at` the scale: the animal's on it; with nobody on it, the next one's, if that one steps on within the time allowed.
- `ahead` of it: the next one's, within that time.
- `behind` it: the one's that stepped off last, within that time.

A turn with exactly one number and exactly one weight makes a pair. With two numbers, or with two weights that differ,
none of the turn is joined, and a pair that had been joined is taken apart again. The same number again while it waits,
or within the time for repeats after its pair, is a repeat of one reading. A pair is sealed when its turn is over.
"""

from dataclasses import dataclass, field
from enum import StrEnum

NO_WEIGHT = "No weight came for it."
NO_NUMBER = "No number was read for it."
NOBODY = "Nobody had just stepped off the scale."
TWO_NUMBERS = "Two numbers were read for one time on the scale."
TWO_WEIGHTS = "The scale settled on two weights without being empty in between."


class Where(StrEnum):
    """Where the reader stands."""

    AT = "at"
    AHEAD = "ahead"
    BEHIND = "behind"


@dataclass(frozen=True, slots=True)
class Rule:
    """Where the reader stands, how long a number waits, and how long one number is a repeat, in seconds."""

    where: Where = Where.AT
    seconds: float = 30.0
    repeat: float = 120.0


class Kind(StrEnum):
    """What becomes of readings."""

    JOINED = "joined"
    SEALED = "sealed"
    APART = "apart"
    KEPT = "kept"
    REPEAT = "repeat"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What becomes of the reading `key`; `number` is the key of the number that a weight is joined with."""

    kind: Kind
    key: str
    number: str = ""
    reason: str = ""


@dataclass(slots=True)
class _Number:
    key: str
    number: str
    at: float


@dataclass(slots=True)
class _Turn:
    numbers: list[_Number] = field(default_factory=list)
    weight: str = ""
    is_joined: bool = False
    spoilt: str = ""
    cleared_at: float = 0.0


class Joining:
    """Follows one reader and one scale; every method returns what has become certain. Times must not run backwards."""

    def __init__(self, rule: Rule) -> None:
        self._rule = rule
        self._waiting: list[_Number] = []
        self._turn: _Turn | None = None
        self._last: _Turn | None = None
        self._done: dict[str, float] = {}

    def number(self, key: str, number: str, at: float) -> list[Outcome]:
        """A number was read."""
        before = self.tick(at)
        if self._is_repeat(number, at):
            return [*before, Outcome(Kind.REPEAT, key, reason="It was read before.")]
        one = _Number(key, number, at)
        if self._rule.where is Where.BEHIND:
            after = self._add(self._last, one) if self._last else [Outcome(Kind.KEPT, key, reason=NOBODY)]
        elif self._rule.where is Where.AT and self._turn:
            after = self._add(self._turn, one)
        else:
            self._waiting.append(one)
            after = []
        return before + after

    def loaded(self, at: float) -> list[Outcome]:
        """An animal steps on."""
        outcomes = self.tick(at)
        if self._turn:
            outcomes += self.cleared(at)
        self._turn = _Turn()
        waited, self._waiting = self._waiting, []
        for one in waited:
            outcomes += self._add(self._turn, one)
        return outcomes

    def weighed(self, key: str, at: float) -> list[Outcome]:
        """The scale has settled on a weight."""
        outcomes = self.loaded(at) if self._turn is None else self.tick(at)
        turn = self._turn
        if turn is None:
            raise AssertionError("a turn is under way")
        if turn.weight and not turn.spoilt:
            outcomes += self._spoil(turn, TWO_WEIGHTS)
        if turn.spoilt:
            return [*outcomes, Outcome(Kind.KEPT, key, reason=turn.spoilt)]
        turn.weight = key
        return outcomes + self._join(turn, at)

    def cleared(self, at: float) -> list[Outcome]:
        """The scale is empty, or nothing is known of it any more."""
        outcomes = self.tick(at)
        turn, self._turn = self._turn, None
        if turn is None:
            return outcomes
        if self._rule.where is not Where.BEHIND:
            return outcomes + _finish(turn)
        outcomes += _finish(self._last) if self._last else []
        turn.cleared_at = at
        self._last = turn
        return outcomes

    def tick(self, at: float) -> list[Outcome]:
        """Time has gone by."""
        late = at - self._rule.seconds
        outcomes = [Outcome(Kind.KEPT, one.key, reason=NO_WEIGHT) for one in self._waiting if one.at < late]
        self._waiting = [one for one in self._waiting if one.at >= late]
        if self._last and self._last.cleared_at < late:
            last, self._last = self._last, None
            outcomes += _finish(last)
        self._done = {number: seen for number, seen in self._done.items() if at - seen <= self._rule.repeat}
        return outcomes

    def close(self, at: float) -> list[Outcome]:
        """The day is over: what waits is kept."""
        outcomes = self.cleared(at)
        outcomes += _finish(self._last) if self._last else []
        outcomes += [Outcome(Kind.KEPT, one.key, reason=NO_WEIGHT) for one in self._waiting]
        self._last, self._waiting = None, []
        return outcomes

    def _is_repeat(self, number: str, at: float) -> bool:
        if number in self._done:
            self._done[number] = at
            return True
        turns = [turn for turn in (self._turn, self._last) if turn]
        seen = [*self._waiting, *(one for turn in turns for one in turn.numbers)]
        again = [one for one in seen if one.number == number]
        for one in again:
            one.at = at
        return bool(again)

    def _add(self, turn: _Turn, one: _Number) -> list[Outcome]:
        spoilt = self._spoil(turn, TWO_NUMBERS) if turn.numbers and not turn.spoilt else []
        turn.numbers.append(one)
        if turn.spoilt:
            return [*spoilt, Outcome(Kind.KEPT, one.key, reason=turn.spoilt)]
        return self._join(turn, one.at)

    def _join(self, turn: _Turn, at: float) -> list[Outcome]:
        if not turn.weight or not turn.numbers:
            return []
        (one,) = turn.numbers
        turn.is_joined = True
        self._done[one.number] = at
        return [Outcome(Kind.JOINED, turn.weight, number=one.key)]

    def _spoil(self, turn: _Turn, reason: str) -> list[Outcome]:
        turn.spoilt = reason
        if turn.is_joined:
            for one in turn.numbers:
                self._done.pop(one.number, None)
            return [Outcome(Kind.APART, turn.weight, number=turn.numbers[0].key, reason=reason)]
        keys = [one.key for one in turn.numbers] + [turn.weight] * bool(turn.weight)
        return [Outcome(Kind.KEPT, key, reason=reason) for key in keys]


def _finish(turn: _Turn) -> list[Outcome]:
    if turn.spoilt:
        return []
    if turn.is_joined:
        return [Outcome(Kind.SEALED, turn.weight)]
    weight = [Outcome(Kind.KEPT, turn.weight, reason=NO_NUMBER)] if turn.weight else []
    return weight + [Outcome(Kind.KEPT, one.key, reason=NO_WEIGHT) for one in turn.numbers]
