"""Files that a laboratory sends back: what headings mean there that mean something else at the chute."""

from collections.abc import Sequence

from herd.intake.columns.headings import Heading, words_of

# Words of days that come before the result; the day of the result is the one that is recorded.
_EARLIER_WORDS = "sample sampled sampling collection collected drawn taken received submitted submission arrival"
_EARLIER = frozenset(_EARLIER_WORDS.split())
_NAMED = 0.9
_LESS = 0.6
# Kinds that a heading of the animal's stay in the herd has; a laboratory tells of the sample's stay with it.
_OF_THE_STAY = ("entered", "status", "origin", "location")


def is_result_file(headings: Sequence[Heading]) -> bool:
    """Whether the rows are results of samples: a tube in each, and a result or a measured value."""
    return _has(headings, ("tube",)) and _has(headings, ("result", "result_value", "test"))


def _has(headings: Sequence[Heading], kinds: Sequence[str]) -> bool:
    return any(heading.kinds.get(kind, 0) >= _NAMED for heading in headings for kind in kinds)


def results_kinds(heading: Heading) -> dict[str, float]:
    """The kinds a heading names in a file of results."""
    kinds = {kind: score for kind, score in heading.kinds.items() if kind not in _OF_THE_STAY}
    words = words_of(heading.text)
    if "price" in kinds and "value" in words:
        kinds["result_value"] = max(kinds.pop("price"), kinds.get("result_value", 0.0))
    if "weight_unit" in kinds:
        kinds["value_unit"] = max(kinds.pop("weight_unit"), kinds.get("value_unit", 0.0))
    for when in ("date", "date_time"):
        if when in kinds and _EARLIER & set(words):
            kinds[when] *= _LESS
    return kinds
