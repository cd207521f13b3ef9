"""Recorded byte streams of ours, fed with their times: what is stored is what happened."""

import re

from herd.bridge import pairs
from herd.bridge.flow import Flow
from herd.bridge.joining import NO_NUMBER, NO_WEIGHT, TWO_NUMBERS
from herd.bridge.keeping import Keeping, PairState, State
from herd.bridge.live import Live
from herd.bridge.patterns import Words
from herd.bridge.settings import Port, Serial
from herd.client.clocks import clocks_of_machine
from tests.bridge.saying import FIRST, SECOND, settings

ANYTHING = tuple(PairState)


class Chute:
    """A flow over a file, with a clock of its own; beeps are counted with what was stored when they rang."""

    def __init__(self, tmp_path, **more):
        self.settings = settings(tmp_path, **more)
        self.keeping = Keeping(self.settings.keep)
        self.live = Live()
        self.at = 0.0
        self.beeps = []
        self.begin()

    def begin(self):
        self.flow = Flow(self.settings, self.keeping, self.live, clocks_of_machine(), self.beep)

    def beep(self):
        with_own_eyes = Keeping(self.settings.keep)
        self.beeps.append(len(pairs.pairs(with_own_eyes, (PairState.OPEN, PairState.READY))))
        with_own_eyes.close()

    def scale(self, *figures, unit="kg", step=0.25):
        for one in figures:
            self.at += step
            text = one if isinstance(one, str) else f" {one} {unit}"
            self.flow.feed("scale", text.encode() + b"\r\n", self.at)

    def reader(self, text):
        self.flow.feed("reader", text if isinstance(text, bytes) else text.encode() + b"\r\n", self.at)

    def weigh(self, figure=450, number=""):
        self.scale(0, 0, 0, 200, *[figure] * 4)
        if number:
            self.reader(number)
        self.scale(*[figure] * 3, 200, 0, 0, 0, 0)

    def pairs(self, *states):
        return [(one.number, one.weight.in_words()) for one in pairs.pairs(self.keeping, states or ANYTHING)]

    def kept(self):
        return [(one.value, one.reason) for one in self.keeping.readings(State.KEPT)]


def test_a_number_and_a_weight_are_stored_before_the_beep(tmp_path):
    chute = Chute(tmp_path)
    chute.weigh(450, FIRST)
    assert chute.pairs(PairState.READY) == [(FIRST, "450 kg")]
    assert chute.beeps == [1]
    assert chute.kept() == []
    (pair,) = pairs.pairs(chute.keeping, ANYTHING)
    assert set(pair.weight.clock) == {"at", "mono_ms", "boot"}
    assert pair.weight.line == "450 kg"


def test_nothing_is_delivered_while_the_animal_is_on_the_scale(tmp_path):
    chute = Chute(tmp_path)
    chute.reader(FIRST)
    chute.scale(0, 200, *[450] * 6)
    assert chute.pairs(PairState.READY) == []
    assert chute.pairs(PairState.OPEN) == [(FIRST, "450 kg")]
    chute.reader(SECOND)
    assert chute.kept() == [(FIRST, TWO_NUMBERS), ("450", TWO_NUMBERS), (SECOND, TWO_NUMBERS)]
    assert chute.pairs(PairState.APART) == [(FIRST, "450 kg")]


def test_broken_lines_noise_and_bad_checks_make_no_reading(tmp_path):
    chute = Chute(tmp_path)
    for piece in (b"8402700", b"00000123\r", b"\n\xff\x00\x81840270000000456\n", b"84027000000045\n", b"8402"):
        chute.reader(piece)
    chute.flow.lose("reader", chute.at)
    chute.reader(b"70000000456\r\n")
    chute.weigh(450)
    assert chute.pairs() == [(FIRST, "450 kg")]
    lines = [(line, understood) for _, port, line, understood in chute.keeping.lines(100) if port == "reader"]
    assert ("8402", "cut off in the middle") in lines
    assert ("�840270000000456", "holds bytes that are not ASCII") in lines
    assert ("70000000456", "no pattern fits") in lines


def test_units_switched_in_mid_turn_are_kept_as_they_were_shown(tmp_path):
    chute = Chute(tmp_path)
    chute.reader(FIRST)
    chute.scale(0, 450, 450)
    chute.scale(*[992] * 6, unit="lb")
    chute.scale(0, 0, 0, 0)
    assert chute.pairs() == [(FIRST, "992 lb")]


def test_negative_and_overload_readings_are_no_weights(tmp_path):
    chute = Chute(tmp_path)
    chute.reader(FIRST)
    chute.scale("- 12 kg", "- 12 kg", 300, "OL", "OL", "OL", "OL", "OL", "OL", "- 12 kg", "- 12 kg", "- 12 kg")
    assert chute.pairs() == []
    assert chute.kept() == [(FIRST, NO_WEIGHT)]


def test_a_tare_is_said_beside_the_weight(tmp_path):
    chute = Chute(tmp_path)
    chute.reader(FIRST)
    chute.scale(*["N 440 kg"] * 6, 0, 0, 0, 0)
    assert chute.pairs() == [(FIRST, "440 kg (net weight, a tare was set on the scale)")]


def test_a_scale_unplugged_under_an_animal_leaves_its_weight_and_the_next_number_apart(tmp_path):
    chute = Chute(tmp_path)
    chute.scale(0, 200, *[450] * 6)
    chute.flow.lose("scale", chute.at)
    chute.reader(SECOND)
    chute.weigh(430)
    assert chute.kept() == [("450", NO_NUMBER)]
    assert chute.pairs() == [(SECOND, "430 kg")]


def test_a_scale_that_falls_silent_is_taken_for_left(tmp_path):
    chute = Chute(tmp_path)
    chute.scale(0, 200, *[450] * 6)
    chute.at += 6
    chute.flow.tick(chute.at)
    assert chute.kept() == [("450", NO_NUMBER)]
    assert chute.live.now().scale == "silent"


def test_after_an_end_in_mid_turn_what_was_beeped_goes_and_the_rest_is_kept(tmp_path):
    chute = Chute(tmp_path)
    chute.reader(FIRST)
    chute.scale(0, 200, *[450] * 6)
    chute.begin()
    assert chute.pairs(PairState.READY) == [(FIRST, "450 kg")]
    chute.scale(0, 200, *[430] * 6)
    chute.begin()
    assert [value for value, _ in chute.kept()] == ["430"]
    chute.reader(SECOND)
    chute.begin()
    assert [value for value, _ in chute.kept()] == ["430", SECOND]


def test_one_line_may_hold_both(tmp_path):
    words = Words([re.compile(r"(?P<number>\d{15}),(?P<weight>\d+)(?P<unit>kg)")])
    chute = Chute(tmp_path, ports=(Port("scale", Serial("none"), words),))
    chute.scale(*[f"{FIRST},450kg"] * 20)
    assert chute.pairs() == [(FIRST, "450 kg")]
    assert chute.keeping.counts() == {"reading paired": 2, "pair open": 1}


def test_raw_lines_are_bounded_and_latest_first(tmp_path):
    chute = Chute(tmp_path, raw_lines=100)
    chute.scale(*range(20, 500), step=0.25)
    chute.flow.close(chute.at)
    lines = chute.keeping.lines(1000)
    assert len(lines) == 100
    assert lines[0][1:] == ("scale", "499 kg", "499 kg")
