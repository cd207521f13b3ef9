"""Tables of the way in: processing days, field files, staged rows, merged lines, findings, rulings."""

from herd.intake.models.day import DayState, ProcessingDay
from herd.intake.models.fieldfile import FieldFile, Recipe
from herd.intake.models.finding import Finding, FindingKind, Ruling, StandingRule
from herd.intake.models.row import LineState, MergedLine, RowState, StagedRow

__all__ = [
    "DayState",
    "FieldFile",
    "Finding",
    "FindingKind",
    "LineState",
    "MergedLine",
    "ProcessingDay",
    "Recipe",
    "RowState",
    "Ruling",
    "StagedRow",
    "StandingRule",
]
