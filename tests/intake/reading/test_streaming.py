"""Long files are streamed: findings from the beginning and the end, surprises on the way, again and again."""

import tracemalloc

import pytest

from herd.intake.reading import UnreadableFile, open_field_file, read_field_file

HEADER = "EID,VID,Weight,Date\n"
COUNT = 20_000


def lines_of(count: int) -> list[str]:
    return [
        f"{840270000000000 + place},K{place},{300 + place % 200},2024-03-{place % 28 + 1:02d}\n"
        for place in range(count)
    ]


@pytest.fixture(scope="module")
def body() -> list[str]:
    return lines_of(COUNT)


def test_a_long_file_gives_every_row_with_its_line(body):
    source = open_field_file((HEADER + "".join(body)).encode())
    rows = list(source.rows())
    assert [line for line, _ in rows] == list(range(2, COUNT + 2))
    assert rows[-1][1][0] == str(840270000000000 + COUNT - 1)


def test_a_source_can_be_walked_twice(body):
    source = open_field_file((HEADER + "".join(body)).encode())
    assert list(source.rows()) == list(source.rows())


def test_a_path_and_its_bytes_read_alike(tmp_path, body):
    path = tmp_path / "day.csv"
    path.write_text(HEADER + "".join(body[:50]), "utf-8")
    table = read_field_file(path, "morning.csv")
    assert table.name == "morning.csv"
    assert table.rows == [cells for _, cells in open_field_file(path.read_bytes()).rows()]


def test_footer_of_a_long_file_is_found_at_its_end(body):
    source = open_field_file((HEADER + "".join(body) + "\nTotal,,8000,\nEnd of report\n").encode())
    assert len(list(source.rows())) == COUNT
    assert source.dialect.footer_lines == (COUNT + 3, COUNT + 4)
    assert source.dialect.blank_lines == 1


def test_surprises_far_down_are_told_with_their_line(body):
    lines = list(body)
    lines[15_000] = lines[15_000].replace(",K", ',"K')
    lines[16_000] = "840270000099999,K9\n"
    source = open_field_file((HEADER + "".join(lines)).encode())
    rows = list(source.rows())
    assert len(rows) == COUNT
    assert rows[15_000][1][1] == '"K15000'
    assert rows[16_000][1] == ["840270000099999", "K9", "", ""]
    assert {(warning.line, warning.code) for warning in source.warnings} == {
        (15_002, "unclosed_quote"),
        (16_002, "short_row"),
    }


def test_repeated_headers_far_down_are_passed(body):
    text = HEADER + "".join(body[:15_000]) + HEADER + "".join(body[15_000:])
    source = open_field_file(text.encode())
    assert len(list(source.rows())) == COUNT
    assert source.dialect.passed_lines == ((15_002, "header repeated"),)


def test_a_table_with_its_columns_in_another_order_far_down_is_realigned(body):
    text = HEADER + "".join(body) + "\nVID,EID,Date,Weight\nK7,840270000099999,2024-04-01,555\n"
    source = open_field_file(text.encode())
    assert list(source.rows())[-1] == (COUNT + 4, ["840270000099999", "K7", "555", "2024-04-01"])


def test_a_letter_that_is_not_utf_8_far_down_decides_the_encoding(body):
    content = (HEADER + "".join(body)).encode() + "840270000099999,Größe,300,2024-03-01\n".encode("cp1252")
    source = open_field_file(content)
    assert source.dialect.encoding == "cp1252"
    assert list(source.rows())[-1][1][1] == "Größe"


def test_many_warnings_of_one_kind_are_counted(body):
    text = HEADER + "".join(line.strip() + ",x\n" if place > 19_800 else line for place, line in enumerate(body))
    source = open_field_file(text.encode())
    list(source.rows())
    assert len(source.warnings) == 51
    assert source.warnings[-1].line is None


def test_streaming_keeps_memory_flat(tmp_path):
    path = tmp_path / "long.csv"
    with path.open("w") as file:
        file.write(HEADER)
        for _ in range(5):
            file.writelines(lines_of(COUNT))
    tracemalloc.start()
    source = open_field_file(path)
    count = sum(1 for _ in source.rows())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert count == 5 * COUNT
    assert peak < 16 * 1024 * 1024


def test_a_missing_file_says_so(tmp_path):
    with pytest.raises(FileNotFoundError):
        open_field_file(tmp_path / "none.csv")


def test_refusals_are_value_errors_with_a_sentence():
    with pytest.raises(ValueError, match="empty") as refusal:
        open_field_file(b"")
    assert isinstance(refusal.value, UnreadableFile)
