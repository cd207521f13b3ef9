"""Processing days with their files, lines and findings as they go out, and rulings as they come in."""

from typing import Any, ClassVar

from rest_framework import serializers

from api.serializers.fields import DayField, Strict, such_as
from herd.intake.models import FieldFile, Finding, ProcessingDay, Ruling, StagedRow


class DayOut(serializers.ModelSerializer[ProcessingDay]):
    """A processing day, and how far the work on it is."""

    class Meta:
        model = ProcessingDay
        fields: ClassVar = [
            "id",
            "name",
            "worked_on",
            "group",
            "state",
            "step",
            "done_rows",
            "all_rows",
            "problem",
            "made_at",
        ]


class NewDay(Strict):
    """A day with its field files, sent as multipart/form-data."""

    is_text = True

    worked_on = DayField()
    name = serializers.CharField(max_length=120, required=False, allow_blank=True, default="")
    group = serializers.UUIDField(required=False)
    is_herd_list = serializers.BooleanField(default=False)
    files = serializers.ListField(child=serializers.FileField(allow_empty_file=True), min_length=1, max_length=20)


class MoreFiles(Strict):
    """Further field files of a day, sent as multipart/form-data."""

    is_text = True

    is_herd_list = serializers.BooleanField(default=False)
    files = serializers.ListField(child=serializers.FileField(allow_empty_file=True), min_length=1, max_length=20)


class FileOut(serializers.ModelSerializer[FieldFile]):
    """A field file: how it was read, or why it can't be."""

    class Meta:
        model = FieldFile
        fields: ClassVar = [
            "id",
            "position",
            "name",
            "sha256",
            "size",
            "is_herd_list",
            "header",
            "dialect",
            "warnings",
            "columns",
            "problem",
            "row_count",
            "is_read",
        ]


class LineOut(serializers.ModelSerializer[StagedRow]):
    """One line of a field file: as it was written, what was read in it, and how it ended."""

    class Meta:
        model = StagedRow
        fields: ClassVar = [
            "id",
            "file",
            "line",
            "cells",
            "readings",
            "problems",
            "state",
            "reason",
            "animal_id",
            "match",
            "was_applied",
        ]


class FindingOut(serializers.ModelSerializer[Finding]):
    """What a person must decide: what stands against what, why it is asked, what each answer would do."""

    class Meta:
        model = Finding
        fields: ClassVar = [
            "id",
            "kind",
            "field",
            "title",
            "animal_id",
            "rows",
            "sides",
            "reasons",
            "choices",
            "is_suggested",
            "is_open",
        ]


@such_as({"choice": "aside"})
class RulingIn(Strict):
    """An answer to a finding: one of its choices, with what was typed where it asks for that."""

    choice = serializers.CharField(max_length=80)
    typed = serializers.CharField(max_length=80, required=False, allow_blank=True, default="")
    all_alike = serializers.BooleanField(default=False)
    keep = serializers.BooleanField(default=False)


class RulingOut(serializers.ModelSerializer[Ruling]):
    """An answer that was given."""

    class Meta:
        model = Ruling
        fields: ClassVar = ["id", "title", "choice", "typed", "label", "by_rule", "ruled_at"]


class Ruled(serializers.Serializer[Any]):
    """How many findings the answer settled."""

    ruled = serializers.IntegerField()


class FileCountsOut(serializers.Serializer[Any]):
    """How the lines of a file ended; they add up."""

    file = serializers.UUIDField(source="file.pk", allow_null=True, default=None)
    lines = serializers.IntegerField()
    applied = serializers.IntegerField()
    known = serializers.IntegerField()
    set_aside = serializers.IntegerField()
    unusable = serializers.IntegerField()
    waiting = serializers.IntegerField()


class DayReportOut(serializers.Serializer[Any]):
    """What came of a day, by file and in all; what applying would write now, and what was written, in words."""

    files = FileCountsOut(many=True)
    totals = FileCountsOut()
    ready = serializers.DictField(child=serializers.IntegerField())
    done = serializers.DictField(child=serializers.IntegerField())
    open_findings = serializers.IntegerField()
