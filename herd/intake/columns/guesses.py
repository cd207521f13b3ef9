"""What a column of a field file was taken for, how surely, and why."""

from dataclasses import dataclass, field
from typing import Any


@dataclass(slots=True)
class ColumnGuess:
    """What one column is taken for.

    `index` counts from 0, `kind` is a key of COLUMN_KINDS, `confidence` lies between 0 and 1, `reasons` are
    plain sentences. `settings` holds for weights {"unit", "purpose", "decimal_mark"}, for columns of dates
    {"order", "mixed", "proved_by", "against"}. `dates` is what the cells say about the order of day and month
    whatever the column was taken for; it is not stored.
    """

    index: int
    header: str
    kind: str
    confidence: float
    reasons: list[str] = field(default_factory=list)
    settings: dict[str, Any] = field(default_factory=dict)
    dates: dict[str, Any] = field(default_factory=dict, repr=False, compare=False)

    def as_dict(self) -> dict[str, Any]:
        """The guess as plain JSON values."""
        return {
            "index": self.index,
            "header": self.header,
            "kind": self.kind,
            "confidence": self.confidence,
            "reasons": list(self.reasons),
            "settings": dict(self.settings),
        }
