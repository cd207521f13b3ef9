"""The list of docs/security.md names files and tests that there are."""

import ast
import re

from tests.config.installation import ROOT

LIST = (ROOT / "docs" / "security.md").read_text()
NAMED = re.compile(r"(tests/[\w/]+\.py)::(test_\w+)")
PLACE = re.compile(r"^\| \d[^|]*\|[^|]*\| ([\w./-]+) \|", re.MULTILINE)


def names_in(path):
    return {node.name for node in ast.walk(ast.parse((ROOT / path).read_text())) if isinstance(node, ast.FunctionDef)}


def test_each_test_that_is_named_is_there():
    named = NAMED.findall(LIST)
    assert len(named) > 70
    assert [one for one in named if not (ROOT / one[0]).exists() or one[1] not in names_in(one[0])] == []


def test_each_point_names_the_file_where_it_is_met_and_a_test():
    rows = [line for line in LIST.splitlines() if line.startswith("| ") and not line.startswith("| point")]
    places = PLACE.findall(LIST)
    assert len(places) == len(rows)
    assert [place for place in places if not (ROOT / place).exists()] == []
    assert [row for row in rows if not NAMED.search(row)] == []
