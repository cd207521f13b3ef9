"""How well a column fits each kind, from the words of its heading and the evidence of its cells."""

from dataclasses import dataclass, field

from herd.intake.columns.bareness import numeric_scores
from herd.intake.columns.calfbooks import names_calf, names_cow
from herd.intake.columns.evidence import CellEvidence
from herd.intake.columns.headings import Heading
from herd.intake.columns.resultfiles import results_kinds

THRESHOLD = 0.4
"""Below this score a column is not taken for a kind."""

# Which evidence speaks for a kind whose heading is there.
_FIT = {
    "eid": "eid",
    "vid": "vid",
    "vid_colour": "vid_colour",
    "metal": "metal",
    "tube": "tube",
    "new_eid": "eid",
    "new_vid": "vid",
    "dam": "number_like",
    "sire": "number_like",
    "calf": "number_like",
    "date": "any_date",
    "date_time": "date_time",
    "time": "time",
    "born": "any_date",
    "entered": "any_date",
    "animal_class": "animal_class",
    "status": "status",
    "weight": "weight",
    "weight_unit": "weight_unit",
    "pregnancy": "pregnancy",
    "days_bred": "days",
    "body_condition": "body_condition",
    "hip_height": "hip_height",
    "scrotal": "scrotal",
    "castration": "answer",
    "weaning": "answer",
    "withdrawal_days": "days",
}
# A heading of these alone does not make the kind: the word has other meanings, so the cells must agree.
_CELLS_MUST_AGREE = frozenset(
    {
        "animal_class", "status", "days_bred", "weight_unit", "time", "vid_colour", "body_condition",
        "hip_height", "scrotal",
        "castration", "weaning", "new_vid", "new_eid", "calf", "date_time",
    }
)  # fmt: skip
_FLOOR, _LOW_FLOOR = 0.45, 0.3
_NUMBERS = frozenset({"eid", "vid", "metal", "tube"})
_RELATIVES = frozenset({"dam", "sire", "calf"})
_NUMBER_BASE = {"tag": 0.8, "animal": 0.72, "count": 0.6}
# What cells alone prove without any heading, and under a heading whose words are not known.
_BARE = {"metal": 0.8, "date_time": 0.78, "date": 0.75, "time": 0.7, "named_weight": 0.75, "weight_unit": 0.6}
_UNDER_UNKNOWN = {"metal": 0.7, "date_time": 0.55, "date": 0.5, "named_weight": 0.5}
_FEW_DAYS = 3


@dataclass(slots=True)
class Candidate:
    """A kind a column may be, with its score (0 to 1) and the share of cells that agree, None if untested."""

    kind: str
    score: float
    by_header: bool
    evidence: str = ""


@dataclass(slots=True)
class Scores:
    """The best candidate of each kind for one column."""

    found: dict[str, Candidate] = field(default_factory=dict)

    def offer(self, kind: str, score: float, *, by_header: bool, evidence: str = "") -> None:
        """Keep a candidate when it beats the one of its kind."""
        held = self.found.get(kind)
        if score >= THRESHOLD and (held is None or score > held.score):
            self.found[kind] = Candidate(kind, min(score, 0.99), by_header, evidence)


@dataclass(frozen=True, slots=True)
class FileContext:
    """What the other columns of the file tell about a column.

    `has_products`: one names a product or vaccine, so "lot" is a lot of it. `is_calf_book`: the rows are
    about calves, with the number of the cow beside. `has_results`: they are results of samples by their tubes.
    """

    has_products: bool = False
    is_calf_book: bool = False
    has_results: bool = False


def score_column(heading: Heading, cells: CellEvidence, file: FileContext) -> dict[str, Candidate]:
    """The candidates of a column by kind."""
    scores = Scores()
    if not cells.filled or _tells_of_a_relative(heading, file):
        return scores.found
    _by_heading(scores, _in_context(heading, cells, file), cells)
    if heading.number:
        _by_number_word(scores, heading.number, cells)
    _crossed_numbers(scores, heading, cells)
    if heading.is_blank:
        _by_cells_alone(scores, cells)
    elif not heading.is_known:
        _under_unknown_heading(scores, cells)
    if "pregnancy" in scores.found and cells.shares["any_date"] > 0.5:
        del scores.found["pregnancy"]
    return scores.found


def _tells_of_a_relative(heading: Heading, file: FileContext) -> bool:
    """Whether the heading names a fact of another animal than the row's, such as "dam breed"."""
    if any(heading.kinds.get(kind, 0) >= 0.95 for kind in _RELATIVES):
        return False
    facts = [score for kind, score in heading.kinds.items() if kind not in _RELATIVES | _NUMBERS]
    if not facts or max(facts) < 0.6:
        return False
    if file.is_calf_book and (names_calf(heading) or names_cow(heading)):
        return not names_calf(heading)
    return bool(heading.relative) and max(facts) < 1.0


def _in_context(heading: Heading, cells: CellEvidence, file: FileContext) -> dict[str, float]:
    kinds = results_kinds(heading) if file.has_results else dict(heading.kinds)
    if heading.relative or (file.is_calf_book and names_calf(heading)):
        _weigh_relatives(kinds, file)
    if "lot" in kinds and not file.has_products:
        kinds["group"] = max(kinds.pop("lot") * 0.8, kinds.get("group", 0))
    if "condition" in kinds and not file.has_products and cells.shares["body_condition"] > 0.9:
        kinds["body_condition"] = kinds.pop("condition") * 0.8
    if "coat" in kinds and cells.has_tag_colours and cells.shares["vid_colour"] >= 0.9:
        kinds["vid_colour"] = max(kinds.get("vid_colour", 0), kinds["coat"] * 0.85)
        kinds["coat"] *= 0.7
    for when in ("date", "time"):
        if when in kinds and cells.shares["date_time"] >= 0.5:
            kinds["date_time"] = max(kinds.get("date_time", 0), kinds[when])
    if {"new_eid", "new_vid"} & set(kinds):
        score = max(kinds.pop("new_eid", 0), kinds.pop("new_vid", 0))
        kinds["new_eid" if cells.shares["eid"] >= 0.5 else "new_vid"] = score
    return kinds


def _weigh_relatives(kinds: dict[str, float], file: FileContext) -> None:
    """A word for a relative makes a heading its number, or in a calf book a fact of the calf."""
    own = {kind: max(score, 0.9) for kind, score in kinds.items() if kind in _RELATIVES}
    facts = {kind: 0.9 for kind in kinds if kind not in _RELATIVES | _NUMBERS}
    if file.is_calf_book and facts and max(own.values(), default=0) < 0.95:
        kinds.clear()
        kinds.update(facts)
    elif own:
        kinds.clear()
        kinds.update(own)


def _by_heading(scores: Scores, kinds: dict[str, float], cells: CellEvidence) -> None:
    for kind, named in kinds.items():
        evidence = _FIT.get(kind, "")
        if not evidence:
            scores.offer(kind, named, by_header=True)
            continue
        share = cells.shares[evidence]
        floor = _LOW_FLOOR if kind in _CELLS_MUST_AGREE else _FLOOR
        if kind != "eid" and kind not in _RELATIVES and not kind.startswith("new") and cells.shares["eid"] > 0.5:
            floor = _LOW_FLOOR
        scores.offer(kind, named * (floor + (1 - floor) * share), by_header=True, evidence=evidence)


def _by_number_word(scores: Scores, word: str, cells: CellEvidence) -> None:
    base = _NUMBER_BASE[word]
    eid, vid = cells.shares["eid"], cells.shares["vid"]
    if word != "tag" and cells.is_running:
        # Scales number their weighings so; taken for tags, they would give animals the data of others.
        scores.offer("row_number", 0.85 if word == "count" else 0.6, by_header=True)
        return
    if eid >= 0.1 and vid >= 0.1:
        # Both stand in one column: the reader of visual tags hands whole electronic numbers over.
        scores.offer("vid", base * (eid + vid), by_header=True, evidence="vid")
    elif eid >= 0.5:
        scores.offer("eid", base * eid + 0.15, by_header=True, evidence="eid")
    if cells.shares["metal"] >= 0.5:
        scores.offer("metal", base * cells.shares["metal"], by_header=True, evidence="metal")
    if word == "animal" and cells.shares["animal_class"] >= 0.9:
        scores.offer("animal_class", 0.6, by_header=True, evidence="animal_class")
    repeated = word == "count" and cells.uniqueness < 0.5
    if not repeated:
        floor = 0.42 if word == "tag" and eid < 0.5 and cells.shares["metal"] < 0.5 else 0.0
        scores.offer("vid", max(base * vid, floor), by_header=True, evidence="vid")


def _crossed_numbers(scores: Scores, heading: Heading, cells: CellEvidence) -> None:
    """Numbers under each other's headings: the cells win over the words."""
    if heading.relative or any(kind.startswith("new") for kind in heading.kinds):
        return
    if cells.shares["eid"] >= 0.5:
        if heading.is_blank:
            base = 0.9
        elif _NUMBERS & set(heading.kinds):
            base = 0.7 if "eid" in heading.kinds else 0.8
        else:
            base = 0.7 if heading.is_known else 0.85
        scores.offer("eid", base * cells.shares["eid"], by_header=False, evidence="eid")
    if not _NUMBERS & set(heading.kinds):
        return
    for kind, evidence in (("vid", "vid"), ("metal", "metal"), ("tube", "tube_code")):
        if cells.shares[evidence] >= 0.8:
            scores.offer(kind, 0.42, by_header=False, evidence=evidence)


def _by_cells_alone(scores: Scores, cells: CellEvidence) -> None:
    for evidence, base in _BARE.items():
        if cells.shares[evidence] >= 0.6:
            kind = "weight" if evidence == "named_weight" else evidence
            scores.offer(kind, base * cells.shares[evidence], by_header=False, evidence=evidence)
    is_class, is_called = cells.shares["animal_class"] >= 0.9, cells.shares["called_pregnancy"] >= 0.8
    if is_class and not is_called:
        scores.offer("animal_class", 0.65, by_header=False, evidence="animal_class")
    if is_called and not is_class and not cells.says_little:
        scores.offer("pregnancy", 0.6, by_header=False, evidence="called_pregnancy")
    if cells.has_tag_colours and cells.shares["vid_colour"] >= 0.9 and cells.shares["word"] >= 0.9:
        scores.offer("vid_colour", 0.55, by_header=False, evidence="vid_colour")
    if cells.shares["tube_code"] >= 0.9 and cells.one_length and cells.uniqueness >= 0.95:
        scores.offer("tube", 0.55, by_header=False, evidence="tube_code")
    for kind, score in numeric_scores(cells).items():
        scores.offer(kind, score, by_header=False, evidence="" if kind == "row_number" else kind)


def _under_unknown_heading(scores: Scores, cells: CellEvidence) -> None:
    for evidence, base in _UNDER_UNKNOWN.items():
        if cells.shares[evidence] < 0.8 or (evidence.startswith("date") and cells.days > _FEW_DAYS):
            continue
        kind = "weight" if evidence == "named_weight" else evidence
        scores.offer(kind, base * cells.shares[evidence], by_header=False, evidence=evidence)
