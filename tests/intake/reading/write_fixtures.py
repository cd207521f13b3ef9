"""Writes the reading fixtures anew: `python -m tests.intake.reading.write_fixtures`."""

import json
from pathlib import Path

from tests.intake.reading.fixture_dressed import dressed
from tests.intake.reading.fixture_headers import headed, listed
from tests.intake.reading.fixture_surroundings import surrounded
from tests.intake.reading.fixture_texts import delimited
from tests.intake.reading.fixture_workbooks import workbook_cases

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "field_files"


def write_all() -> int:
    """One folder per case with the input and what is expected; the number of cases."""
    cases = [*delimited(), *headed(), *surrounded(), *listed(), *dressed(), *workbook_cases()]
    for name, ext, content, expected in cases:
        folder = FOLDER / name
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"input.{ext}").write_bytes(content)
        (folder / "expected.json").write_text(json.dumps(expected, ensure_ascii=False, indent=1) + "\n", "utf-8")
    return len(cases)


if __name__ == "__main__":
    write_all()
