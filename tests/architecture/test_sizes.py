"""Files and functions stay small enough to be read at one sitting."""

from tests.architecture.sources import functions, modules

FILE_LINES = 300
FUNCTION_LINES = 50


def test_no_file_is_longer_than_300_lines():
    lengths = {source.path: len(source.text.splitlines()) for source in modules("herd", "api")}
    assert len(lengths) > 20
    assert [f"{path}: {lines}" for path, lines in lengths.items() if lines > FILE_LINES] == []


def test_no_function_is_longer_than_50_lines():
    long = [
        f"{source.path}:{node.lineno} {node.name}: {node.end_lineno - node.lineno + 1}"
        for source in modules("herd", "api")
        for node in functions(source.tree)
        if node.end_lineno - node.lineno + 1 > FUNCTION_LINES
    ]
    assert long == []
