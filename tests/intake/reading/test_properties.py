"""Whatever the bytes: what was written comes back, nothing but UnreadableFile is raised, no line is lost."""

import csv
import io

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from herd.intake.reading import FieldSource, UnreadableFile, open_field_file

HEADER = ["EID", "Weight kg", "Birth date", "Notes"]
# Controls are left out: zero bytes are removed on purpose, other line ends are told apart elsewhere.
LETTERS = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp"))
NOTES = st.text(LETTERS, max_size=30).filter(lambda text: text == text.strip())
ROWS = st.lists(
    st.tuples(
        st.integers(840270000000000, 840270999999999).map(str),
        st.integers(100, 900).map(str),
        st.dates().map(str),
        NOTES,
    ).map(list),
    min_size=2,
    max_size=20,
)
NASTY = st.text(alphabet="a1,;\t|\"'\\\n\r é=-_#: .840“”\x00", max_size=300)
CONTENTS = st.one_of(
    st.binary(max_size=300),
    NASTY.map(str.encode),
    st.text(alphabet="840270 ,\n", max_size=200).map(str.encode),
    st.binary(max_size=200).map(lambda content: b"PK\x03\x04" + content),
    st.binary(max_size=200).map(lambda content: b"\xff\xfe" + content),
)
CHECKS = [HealthCheck.too_slow, HealthCheck.data_too_large]


def walked(content: bytes) -> tuple[FieldSource | None, set[int], UnreadableFile | None]:
    """The source walked to its end and the lines of its rows, or the refusal."""
    try:
        source = open_field_file(content)
        return source, {line for line, _ in source.rows()}, None
    except UnreadableFile as refusal:
        return None, set(), refusal


@settings(max_examples=150, deadline=None, suppress_health_check=CHECKS)
@given(
    rows=ROWS,
    delimiter=st.sampled_from(",;\t|"),
    end=st.sampled_from(["\r\n", "\n"]),
    quoting=st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_what_the_csv_module_writes_is_read_back(rows, delimiter, end, quoting, encoding):
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=delimiter, lineterminator=end, quoting=quoting).writerows([HEADER, *rows])
    source = open_field_file(out.getvalue().encode(encoding))
    found = [cells for _, cells in source.rows()]
    assert source.header == HEADER
    assert found == rows


@settings(max_examples=400, deadline=None, suppress_health_check=CHECKS)
@given(content=CONTENTS)
@example(content=b"-==")
@example(content=b'"')
@example(content=b"\xef\xbb\xbf\x00")
def test_any_bytes_are_read_or_refused_and_every_line_is_accounted_for(content):
    source, lines, refusal = walked(content)
    if source is None:
        assert content.startswith(b"PK") or refusal.code != "damaged" or refusal.__cause__ is None
        return
    found = source.dialect
    kinds = (found.header_lines, found.preamble_lines, found.footer_lines, found.passed_lines)
    assert len(lines) + sum(map(len, kinds)) + found.blank_lines + found.continued_lines == found.total_lines
