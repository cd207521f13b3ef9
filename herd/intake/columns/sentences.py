"""Sentences that say why a column was taken for what it is, or for nothing."""

from herd.intake.columns.evidence import CellEvidence
from herd.intake.columns.headings import Heading
from herd.intake.columns.kinds import COLUMN_KINDS
from herd.intake.columns.scoring import Candidate
from herd.values.problems import shown

_NOUNS = {
    "eid": "electronic numbers",
    "vid": "short tag numbers",
    "metal": "metal tag numbers",
    "tube": "possible tube codes",
    "tube_code": "codes of one length, as on tubes",
    "number_like": "numbers of animals",
    "any_date": "dates",
    "date": "dates",
    "date_time": "dates with a time",
    "time": "times of day",
    "animal_class": "words for class or sex",
    "status": "words for a status",
    "weight": "plausible weights",
    "named_weight": "weights with a unit",
    "weight_unit": "units of weight",
    "pregnancy": "pregnancy results",
    "called_pregnancy": "pregnancy results",
    "days": "counts of days",
    "body_condition": "scores from 1 to 9",
    "hip_height": "possible hip heights",
    "scrotal": "possible scrotal circumferences",
    "answer": "answers or dates",
    "vid_colour": "tag colours",
}


def reasons_for(taken: Candidate, heading: Heading, cells: CellEvidence) -> list[str]:
    """Why a column was taken for a kind: what its header says and how many cells agree."""
    reasons = []
    if taken.by_header:
        reasons.append(f"The header says {shown(heading.text)}.")
    elif not heading.is_blank:
        reasons.append(f"The cells decide against the header {shown(heading.text)}.")
    if taken.evidence in _NOUNS:
        agreeing = round(cells.shares[taken.evidence] * cells.filled)
        reasons.append(f"{agreeing} of {cells.filled} cells are {_NOUNS[taken.evidence]}.")
    if taken.kind == "row_number" and cells.is_running:
        reasons.append("The numbers count up one by one from the first row, so they are not tags.")
    if taken.kind == "vid" and cells.is_running:
        reasons.append("The numbers count up one by one; check that they are tags and not row numbers.")
    if taken.kind == "vid" and heading.is_blank:
        reasons.append(f"{cells.distinct} of {cells.filled} numbers differ, as tags do.")
    if taken.kind == "weight" and heading.is_blank and cells.uniqueness < 1:
        reasons.append("Some numbers repeat, as weights do.")
    return reasons


def why_unused(heading: Heading, cells: CellEvidence, holder: str, wanted: str) -> list[str]:
    """Why a column is not used; `holder` names the column that has the kind it was `wanted` for."""
    if not cells.filled:
        return ["All its cells are empty."]
    if holder and wanted:
        return [f"{holder} is taken as the {COLUMN_KINDS[wanted].label}, and there can be only one."]
    if heading.relative:
        return [f"The header {shown(heading.text)} tells of another animal, the {heading.relative}."]
    if heading.is_known:
        return [f"The header says {shown(heading.text)}, but the cells do not look like it."]
    if heading.is_blank:
        return ["It has no header, and its cells could be several things."]
    return [f"The header {shown(heading.text)} is not known, and the cells alone do not tell."]
