"""What a careful person reads in a file, kept beside it.

Beside `NAME` lies `NAME.truth.json`, an object of these keys. Only `rows` is needed; what is not told is not judged,
and other keys are passed over:

- `rows`: the data rows, a list of lists of text; `header`: the names of the columns, `[]` where the file has none.
- `also`: further `{"header", "rows"}` that are as right, where careful people differ.
- `encoding` (any name: judged is whether every letter comes out) and `delimiter`.
- `kind`: a word for the fault, by which results are gathered.
- `unreadable`: true where there is nothing to read; then a refusal or a table without rows is right.
"""

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field, fields
from pathlib import Path
from typing import Any

ENDING = ".truth.json"
Rows = list[list[str]]


@dataclass(slots=True)
class Truth:
    rows: Rows = field(default_factory=list)
    header: list[str] | None = None
    also: list[dict[str, Any]] = field(default_factory=list)
    encoding: str | None = None
    delimiter: str | None = None
    kind: str = ""
    unreadable: bool = False


KEYS = frozenset(field.name for field in fields(Truth))


@dataclass(slots=True)
class HardFile:
    name: str
    content: bytes
    truth: Truth


def write_folder(files: list[HardFile], folder: Path) -> None:
    """Write each file with its truth beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    for file in files:
        (folder / file.name).write_bytes(file.content)
        told = {key: value for key, value in asdict(file.truth).items() if value not in (None, [], False, "")}
        told |= {"rows": file.truth.rows} | ({"header": file.truth.header} if file.truth.header is not None else {})
        (folder / (file.name + ENDING)).write_text(json.dumps(told, ensure_ascii=False, indent=1) + "\n", "utf-8")


def folder_files(folder: Path) -> Iterator[HardFile]:
    """Every file of the folder that has a truth, in the order of names."""
    for path in sorted(folder.rglob("*" + ENDING)):
        file = path.with_name(path.name.removesuffix(ENDING))
        told = json.loads(path.read_text("utf-8"))
        yield HardFile(
            str(file.relative_to(folder)),
            file.read_bytes(),
            Truth(**{key: value for key, value in told.items() if key in KEYS}),
        )
