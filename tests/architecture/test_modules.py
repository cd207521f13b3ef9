"""Each module says what it holds, and is named for it."""

import ast
from pathlib import PurePosixPath

from tests.architecture.sources import ROOT, modules, read

EMPTY_NAMES = {"utils", "util", "helpers", "helper", "common", "core", "misc", "lib"}
VAGUE_ENDINGS = ("Manager", "Helper", "Handler", "Processor", "Util", "Utils")


def test_each_module_begins_with_a_sentence_on_what_it_holds():
    sources = [*modules("herd", "api", "tests"), read(ROOT / "manage.py")]
    unsaid = [
        source.path
        for source in sources
        if source.text.strip()
        and not (ast.get_docstring(source.tree) or "").strip().split("\n")[0].endswith(".")
    ]
    assert unsaid == []


def test_no_module_or_folder_has_a_name_that_says_nothing():
    paths = [PurePosixPath(source.path).with_suffix("") for source in modules("herd", "api", "tests")]
    assert [str(path) for path in paths if EMPTY_NAMES & set(path.parts)] == []


def test_no_class_has_a_name_that_says_nothing():
    vague = [
        f"{source.path}: {node.name}"
        for source in modules("herd", "api")
        for node in ast.walk(source.tree)
        if isinstance(node, ast.ClassDef) and node.name.endswith(VAGUE_ENDINGS)
    ]
    assert vague == []


def test_manage_py_can_be_read_by_python_3_6():
    text = (ROOT / "manage.py").read_text(encoding="utf-8")
    assert ast.parse(text, feature_version=(3, 6)).body
