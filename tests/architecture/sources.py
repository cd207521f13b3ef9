"""The project's own source files as the rules see them."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True, slots=True)
class Source:
    """One module: its path from the project's folder, its text, and its syntax tree."""

    path: str
    text: str
    tree: ast.Module


@cache
def modules(*folders: str) -> list[Source]:
    """Return the modules below the folders, migrations left out."""
    return [
        read(file)
        for folder in folders
        for file in sorted((ROOT / folder).rglob("*.py"))
        if "migrations" not in file.parts
    ]


def read(file: Path) -> Source:
    """Read one file of the project."""
    text = file.read_text(encoding="utf-8")
    return Source(file.relative_to(ROOT).as_posix(), text, ast.parse(text))


def functions(tree: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Yield every function and method, nested ones too."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
