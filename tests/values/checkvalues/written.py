"""The document of all check values, and where it lies."""

from pathlib import Path

from tests.values.checkvalues import husbandry, identification
from tests.values.checkvalues.table import document

PATH = Path(__file__).resolve().parents[3] / "docs" / "checkvalues.md"
CHECKS = [*husbandry.CHECKS, *identification.CHECKS]


def whole() -> str:
    """The document as it has to stand."""
    return document(
        [
            ("Husbandry", husbandry.CHECKS, husbandry.LEFT_OUT),
            ("Identification", identification.CHECKS, identification.LEFT_OUT),
        ]
    )
