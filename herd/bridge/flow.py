"""From bytes to stored pairs: the one way that everything heard goes, in one thread."""

from collections.abc import Callable, Sequence
from typing import Protocol

from herd.bridge import pairs
from herd.bridge.joining import Joining, Kind, Outcome
from herd.bridge.keeping import Keeping, State, now
from herd.bridge.lines import Cutter, Line
from herd.bridge.live import Live
from herd.bridge.patterns import NOT_UNDERSTOOD, Flag, Heard, understand
from herd.bridge.reading import Reading, ReadingKind
from herd.bridge.settings import Port, Settings
from herd.bridge.steadiness import Happening, Moment, Steadiness
from herd.client.capture import timed
from herd.client.clocks import Clocks
from herd.values.identity import new_id

KEPT_LINES_SECONDS = 1.0


class Answer(Protocol):
    """Tells the person at the chute that a pair is stored."""

    def __call__(self) -> None: ...


class Flow:
    """Takes bytes of ports with their times (seconds of a steady clock), and keeps what comes of them."""

    def __init__(self, settings: Settings, keeping: Keeping, live: Live, clocks: Clocks, answer: Answer) -> None:
        self._settings, self._keeping, self._live = settings, keeping, live
        self._clocks, self._answer = clocks, answer
        self._ports = {port.name: port for port in settings.ports}
        self._cutters = {name: Cutter() for name in self._ports}
        self._scales = {name: Steadiness(settings.steady) for name in self._ports}
        self._joining = Joining(settings.joining)
        self._raw: list[tuple[str, str, str, str]] = []
        self._raw_since: float | None = None
        pairs.resume(keeping)

    def feed(self, port: str, chunk: bytes, at: float) -> None:
        """Bytes have come; raises NotKept."""
        self._hear_all(self._ports[port], self._cutters[port].feed(chunk), at)
        self.tick(at)

    def lose(self, port: str, at: float) -> None:
        """A port has gone away: its half line is never used, and its scale is taken for left; raises NotKept."""
        self._hear_all(self._ports[port], self._cutters[port].break_off(), at)
        self._follow(port, Heard(), self._scales[port].lose(), "", at)
        self.tick(at)

    def tick(self, at: float) -> None:
        """Time has gone by; raises NotKept."""
        for name, scale in self._scales.items():
            if scale.is_silent(at, self._settings.silence):
                self._live.say(scale="silent")
                self._follow(name, Heard(), scale.lose(), "", at)
        self._settle(self._joining.tick(at))
        if self._raw and (self._raw_since is None or at - self._raw_since >= KEPT_LINES_SECONDS):
            self._keep_lines(at)

    def close(self, at: float) -> None:
        """The end of the day: what waits is kept for a person; raises NotKept."""
        self._settle(self._joining.close(at))
        self._keep_lines(at)

    def _hear_all(self, port: Port, lines: Sequence[Line], at: float) -> None:
        for line in lines:
            heard = understand(line, port.words)
            understood = heard.in_words() or ("below zero" if Flag.NEGATIVE in heard.flags else "nothing of use")
            self._raw.append((now(), port.name, line.text, understood))
            self._live.line(port.name, line.text, understood)
            self._take(port, line, heard, at)

    def _take(self, port: Port, line: Line, heard: Heard, at: float) -> None:
        if heard.number:
            reading = self._reading(ReadingKind.NUMBER, Heard(heard.number), port.name, line.text)
            self._live.say(number=heard.number)
            self._settle(self._joining.number(reading.id, heard.number, at), reading)
        elif heard.fault and heard.fault != NOT_UNDERSTOOD:
            self._live.say(trouble=f"{port.name}: {heard.fault}")
        if heard.is_of_scale:
            happenings = self._scales[port.name].hear(heard, at)
            self._show_scale(heard)
            self._follow(port.name, heard, happenings, line.text, at)

    def _follow(self, port: str, heard: Heard, happenings: Sequence[Happening], line: str, at: float) -> None:
        for one in happenings:
            if one.moment is Moment.LOADED:
                self._settle(self._joining.loaded(at))
            elif one.moment is Moment.CLEARED:
                self._settle(self._joining.cleared(at))
            else:
                reading = self._reading(ReadingKind.WEIGHT, Heard(weight=one.weight, flags=one.flags), port, line)
                self._settle(self._joining.weighed(reading.id, at), reading)

    def _reading(self, kind: ReadingKind, heard: Heard, port: str, line: str) -> Reading:
        weight = heard.weight
        return Reading(
            id=str(new_id()),
            kind=kind,
            value=str(weight.entered) if weight else heard.number,
            unit=weight.unit.value if weight else "",
            flags=tuple(sorted(heard.flags)),
            clock=timed(self._clocks, None),
            port=port,
            line=line,
        )

    def _settle(self, outcomes: Sequence[Outcome], reading: Reading | None = None) -> None:
        """Store a new reading with what became of it and of others, as one; the answer is given only after that.

        A repeat stays among the lines as they came, and is no reading of its own.
        """
        is_repeat = reading is not None and any(one.kind is Kind.REPEAT for one in outcomes)
        outcomes = [one for one in outcomes if one.kind is not Kind.REPEAT]
        if not outcomes and (reading is None or is_repeat):
            return
        with self._keeping.writing():
            if reading is not None and not is_repeat:
                self._keeping.add(reading)
            for one in outcomes:
                self._store(one)
        for one in outcomes:
            if one.kind is Kind.JOINED:
                self._show_pair(one)
                self._answer()
            elif one.kind is Kind.APART:
                self._live.say(last="taken apart again", trouble=f"To look at: {one.reason}")
            elif one.kind is Kind.KEPT:
                self._live.say(trouble=f"To look at: {one.reason}")

    def _store(self, one: Outcome) -> None:
        steps: dict[Kind, Callable[[], object]] = {
            Kind.JOINED: lambda: pairs.join(self._keeping, one.key, one.number),
            Kind.SEALED: lambda: pairs.seal(self._keeping, one.key),
            Kind.APART: lambda: pairs.take_apart(self._keeping, one.key, one.number, one.reason),
            Kind.KEPT: lambda: self._keeping.mark(one.key, State.KEPT, one.reason),
        }
        steps[one.kind]()

    def _show_pair(self, one: Outcome) -> None:
        number, weight = self._keeping.reading(one.number), self._keeping.reading(one.key)
        if number and weight:
            self._live.say(last=f"{number.value}  {weight.in_words()}", trouble="")

    def _show_scale(self, heard: Heard) -> None:
        weight = f"{heard.weight.entered} {heard.weight.unit}" if heard.weight else ""
        said = ", ".join(filter(None, [weight, *sorted(heard.flags), heard.fault]))
        self._live.say(scale=said or "nothing of use")

    def _keep_lines(self, at: float) -> None:
        lines, self._raw, self._raw_since = self._raw, [], at
        if lines:
            self._keeping.note_lines(lines, self._settings.raw_lines)
