"""Bytes become the same lines however they arrive."""

from hypothesis import given
from hypothesis import strategies as st

from herd.bridge.lines import LONGEST, Cutter, Line

STREAM = b"\x02840270000000123\x03\r\n\r\nST,+ 1180 lb\r\n\xff\xfe12\n" + b"9" * 400 + b"\nhalf"


@given(st.lists(st.integers(0, len(STREAM)), max_size=30))
def test_lines_are_the_same_however_the_bytes_are_broken_up(places):
    cutter, found, last = Cutter(), [], 0
    for place in [*sorted(places), len(STREAM)]:
        found += cutter.feed(STREAM[last:place])
        last = place
    assert found == [
        Line("840270000000123"),
        Line("ST,+ 1180 lb"),
        Line("��12", "holds bytes that are not ASCII"),
        Line("9" * LONGEST, f"longer than {LONGEST} bytes"),
    ]
    assert cutter.break_off() == [Line("half", "cut off in the middle")]


@given(st.binary(max_size=2000))
def test_no_bytes_make_a_line_that_is_too_long_or_holds_control_characters(noise):
    cutter = Cutter()
    for line in [*cutter.feed(noise), *cutter.break_off()]:
        assert len(line.text) <= LONGEST
        assert line.text.isprintable() or "�" in line.text


def test_what_was_cut_off_is_not_glued_to_what_comes_after():
    cutter = Cutter()
    assert cutter.feed(b"84027000") == []
    assert cutter.break_off() == [Line("84027000", "cut off in the middle")]
    assert cutter.feed(b"840270000000123\r") == [Line("840270000000123")]
    assert cutter.break_off() == []
