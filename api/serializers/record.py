"""Changesets with their changes, as they go out."""

from typing import ClassVar

from rest_framework import serializers

from herd.ledger.models import Change, Changeset


class ChangesetOut(serializers.ModelSerializer[Changeset]):
    """What was written together: by whom, when, on what occasion."""

    class Meta:
        model = Changeset
        fields: ClassVar = [
            "id",
            "kind",
            "title",
            "person_name",
            "day_id",
            "recorded_at",
            "change_count",
            "undoes",
            "is_undone",
        ]


class ChangeOut(serializers.ModelSerializer[Change]):
    """One subject's fields before and after, with the file and line they came from."""

    position = serializers.CharField()
    before = serializers.DictField(allow_null=True)
    after = serializers.DictField(allow_null=True)

    class Meta:
        model = Change
        fields: ClassVar = [
            "id",
            "changeset",
            "position",
            "subject_kind",
            "subject_id",
            "animal_id",
            "action",
            "before",
            "after",
            "reason",
            "source_file",
            "source_line",
            "undoes",
        ]
