"""What travels between two installations that keep one outfit's record in step."""

from typing import Any

from rest_framework import serializers

from api.serializers.fields import Strict
from api.serializers.sync import Anything

MOST_ASKED = 1_000


class RelayIn(serializers.Serializer[Any]):
    """Operations exactly as devices sent them, and the devices that they are of."""

    devices = serializers.ListField(child=Anything(allow_null=True), max_length=500)
    ops = serializers.ListField(child=Anything(allow_null=True), allow_empty=True)


class PullIn(serializers.Serializer[Any]):
    """From which position the ledger is asked for, none for no ledger, and which rows besides, by kind."""

    after = serializers.IntegerField(required=False, allow_null=True, default=None, min_value=0)
    subjects = serializers.DictField(
        child=serializers.ListField(child=serializers.UUIDField(), max_length=MOST_ASKED), required=False, default=dict
    )


class RowOut(serializers.Serializer[Any]):
    """A row as it is here, all columns that do not follow from others."""

    kind = serializers.CharField()
    id = serializers.UUIDField()
    is_void = serializers.BooleanField()
    columns = serializers.DictField()


class AbsentOut(serializers.Serializer[Any]):
    """An id that was asked for and is not here."""

    kind = serializers.CharField()
    id = serializers.UUIDField()


class PullOut(serializers.Serializer[Any]):
    """A page of the ledger in the order of the feed, with the rows that it is about."""

    epoch = serializers.UUIDField()
    reached = serializers.IntegerField()
    more = serializers.BooleanField()
    changesets = serializers.DictField()
    changes = serializers.ListField(child=serializers.DictField())
    rows = RowOut(many=True)
    absent = AbsentOut(many=True)


class DaysOut(serializers.Serializer[Any]):
    """The days that are at home here, each with the mark of its present state."""

    epoch = serializers.UUIDField()
    days = serializers.DictField(child=serializers.CharField())


class DayAsked(serializers.Serializer[Any]):
    """The mark of the state in which a day is sent."""

    mark = serializers.CharField(max_length=40)


class KeptOut(serializers.Serializer[Any]):
    """Whether a day was taken; one on which a ruling is under way is taken the next time."""

    epoch = serializers.UUIDField()
    is_kept = serializers.BooleanField()


class RulingHome(serializers.Serializer[Any]):
    """A ruling that was given here on a day of the sibling."""

    op_id = serializers.UUIDField()
    day = serializers.UUIDField()
    key = serializers.CharField()
    choice = serializers.CharField()
    typed = serializers.CharField(allow_blank=True)


class RulingsOut(serializers.Serializer[Any]):
    """Rulings on their way home."""

    epoch = serializers.UUIDField()
    rulings = RulingHome(many=True)


class TakenIn(Strict):
    """Rulings that have come home."""

    taken = serializers.ListField(child=serializers.UUIDField(), max_length=10_000)


class EpochOut(serializers.Serializer[Any]):
    """The epoch of the feed."""

    epoch = serializers.UUIDField()


class RuleKept(serializers.Serializer[Any]):
    """A standing rule: the findings that it answers, and how."""

    alike = serializers.CharField(max_length=80)
    choice = serializers.CharField(max_length=80, allow_null=True)
    label = serializers.CharField(max_length=200, allow_null=True)  # type: ignore[assignment]


class RecipeKept(serializers.Serializer[Any]):
    """What the columns of a file layout are; the layout is named by a digest."""

    layout = serializers.RegexField("^[0-9a-f]{64}$")
    name = serializers.CharField(max_length=200, allow_null=True)
    columns = serializers.ListField(child=serializers.DictField(), max_length=1_000, allow_null=True)


class Changing(Strict):
    """What was seen of it, as a digest, empty for nothing; and whether it is dropped."""

    seen = serializers.RegexField("^([0-9a-f]{20})?$", allow_blank=True)
    is_dropped = serializers.BooleanField()


class RuleChange(RuleKept, Changing):
    """A standing rule that was changed or dropped."""


class RecipeChange(RecipeKept, Changing):
    """A recipe that was changed or dropped."""


class KeptIn(Strict):
    """What was changed at a sibling since both were the same."""

    rules = RuleChange(many=True)
    recipes = RecipeChange(many=True)


class KeptHere(EpochOut):
    """All that is kept here for the next field file."""

    rules = RuleKept(many=True)
    recipes = RecipeKept(many=True)
