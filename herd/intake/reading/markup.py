"""What an XLSX sheet's markup tells beyond its values: hidden rows, errors, formulas without value."""

import io
import re
import zipfile
from dataclasses import dataclass, field
from xml.etree import ElementTree
from xml.parsers import expat

_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_CELL = re.compile(r"([A-Z]+)(\d+)")


@dataclass(slots=True)
class SheetMarks:
    """Hidden rows (from 1); error texts by (row, column from 0); formulas that have no stored value."""

    hidden_rows: list[int] = field(default_factory=list)
    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    unvalued: list[tuple[int, int]] = field(default_factory=list)


def sheet_marks(content: bytes, sheet: str) -> SheetMarks:
    """Marks of the named sheet (ECMA-376 part 1, section 18.3); to be checked for entities before."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        path = _sheet_path(archive, sheet)
        markup = archive.read(path) if path else b""
    reader = _MarkReader()
    if any(sign in markup for sign in (b'hidden="', b't="e"', b"<f>", b"<f ", b"<f/")):
        reader.read(markup)
    return reader.marks


def _sheet_path(archive: zipfile.ZipFile, sheet: str) -> str | None:
    names = set(archive.namelist())
    book = ElementTree.fromstring(archive.read("xl/workbook.xml"))
    relation = next(
        (node.get(_RELATION) for node in book.iter() if node.get("name") == sheet and node.get(_RELATION)),
        None,
    )
    if relation is None or "xl/_rels/workbook.xml.rels" not in names:
        return None
    for node in ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels")):
        if node.get("Id") == relation:
            target = node.get("Target", "")
            path = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            return path if path in names else None
    return None


class _MarkReader:
    def __init__(self) -> None:
        self.marks = SheetMarks()
        self._row = 0
        self._place = (0, 0)
        self._kind = ""
        self._formula = False
        self._value: list[str] | None = None
        self._text = ""

    def read(self, markup: bytes) -> None:
        parser = expat.ParserCreate()
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        parser.Parse(markup, True)  # noqa: FBT003 (expat takes no keywords)

    def _start(self, tag: str, marks: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "row":
            self._row = int(marks.get("r", self._row + 1))
            self._place = (self._row, -1)
            if marks.get("hidden") in ("1", "true"):
                self.marks.hidden_rows.append(self._row)
        elif name == "c":
            self._place = _place_of(marks.get("r", ""), self._place)
            self._kind, self._formula, self._text = marks.get("t", ""), False, ""
        elif name == "f":
            self._formula = True
        elif name in ("v", "t"):
            self._value = []

    def _characters(self, text: str) -> None:
        if self._value is not None:
            self._value.append(text)

    def _end(self, tag: str) -> None:
        name = tag.rpartition(":")[2]
        if name in ("v", "t") and self._value is not None:
            self._text = "".join(self._value)
            self._value = None
        elif name == "c":
            if self._kind == "e" and self._text:
                self.marks.errors[self._place] = self._text
            elif self._formula and not self._text and self._kind != "str":
                self.marks.unvalued.append(self._place)


def _place_of(reference: str, before: tuple[int, int]) -> tuple[int, int]:
    found = _CELL.fullmatch(reference)
    if not found:
        return before[0], before[1] + 1
    column = 0
    for letter in found[1]:
        column = column * 26 + ord(letter) - 64
    return int(found[2]), column - 1
