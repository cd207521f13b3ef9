"""The filters of the herd list as a form, read from the address and turned into a question."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django import forms
from django.http import QueryDict
from django.utils.http import urlencode

from herd.accounts.models import Outfit
from herd.office.forms.fields import choice_field, day_field, text_field
from herd.office.herdcolumns import COLUMNS, STANDARD
from herd.registry.models import AnimalStatus, Group, Location, TagKind
from herd.registry.queries.herdlist import CLASS_WORDS, NO_CHECK, NO_TAG, SORTS, Question
from herd.values.eventkinds import EVENT_KINDS
from herd.values.mass import NANOGRAMS

NOWHERE = "none"
ANY, LEFT = "any", "left"
LONGEST_QUESTION = 2_000
MOST_MONTHS = 600
MOST_WEIGHT = 5_000

AWAY = tuple(status.value for status in AnimalStatus if status != AnimalStatus.ON_HAND)
STATUSES = [
    ("", "on hand"),
    *((status.value, status.label) for status in AnimalStatus if status != AnimalStatus.ON_HAND),
    (LEFT, "left the herd, whichever way"),
    (ANY, "all, on hand or not"),
]
CLASSES = [(word, "class not known" if word == "unknown" else word) for word in CLASS_WORDS]
TAGS = [("", "any"), *TagKind.choices]
CHECKS = [
    ("", "any"),
    ("pregnant", "pregnant"),
    ("open", "open"),
    ("recheck", "to be checked again"),
    (NO_CHECK, "never checked"),
]
EVENTS = [("", "any"), *((kind.key, kind.label) for kind in EVENT_KINDS.values())]
UNKNOWN = "There is no such choice; this was left out of the question."

NO_FIGURE = "Give a figure, such as 18; this was left out of the question."


class HerdForm(forms.Form):
    """The herd list's question; a field that can't be read is left out of it, with a sentence beside it."""

    number = text_field("Number begins or ends with", longest=40, hint="Any tag it wears or wore.")
    group = choice_field("Group", [], is_required=False)
    location = choice_field("Location", [], is_required=False)
    status = choice_field("Status", STATUSES, is_required=False)
    classes = forms.MultipleChoiceField(
        label="Class", choices=CLASSES, required=False, widget=forms.CheckboxSelectMultiple
    )
    months_from = forms.IntegerField(label="Age from, months", required=False, min_value=0, max_value=MOST_MONTHS)
    months_to = forms.IntegerField(
        label="Age to, months",
        required=False,
        min_value=0,
        max_value=MOST_MONTHS,
        help_text="Animals whose birth is not known are left out.",
    )
    wears = choice_field("Wears", TAGS, is_required=False)
    lacks = choice_field("Wears none of", [*TAGS, (NO_TAG, "any kind: no tag at all")], is_required=False)
    event = choice_field("Event", EVENTS, is_required=False)
    had = choice_field("Whether", [("", "has had it"), ("no", "has not had it")], is_required=False)
    since = day_field("Since", is_required=False, hint="Left empty: ever.")
    check = choice_field("Last pregnancy check", CHECKS, is_required=False)
    weight_from = forms.DecimalField(label="Last weight from", required=False, min_value=0, max_value=MOST_WEIGHT)
    weight_to = forms.DecimalField(label="Last weight to", required=False, min_value=0, max_value=MOST_WEIGHT)
    sort = choice_field("Sorted by", [(key, sort.label) for key, sort in SORTS.items()], is_required=False)
    way = choice_field("Order", [("", "rising"), ("falling", "falling")], is_required=False)
    columns = forms.MultipleChoiceField(
        label="Columns",
        choices=[(key, column.label) for key, column in COLUMNS.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, data: QueryDict, *, outfit: Outfit, today: date) -> None:
        super().__init__(data)
        self.outfit, self.today = outfit, today
        groups, places = Group.objects.of(outfit), Location.objects.of(outfit)
        fields: dict[str, Any] = self.fields
        fields["group"].choices = _places(((one.pk, f"{one}{' (closed)' * one.is_closed}") for one in groups), "group")
        fields["location"].choices = _places(((one.pk, str(one)) for one in places), "location")
        for name in ("weight_from", "weight_to"):
            fields[name].label = f"{fields[name].label}, {outfit.unit.value}"
        for field in fields.values():
            for code in ("invalid_choice", "invalid_list"):
                field.error_messages[code] = UNKNOWN
            if isinstance(field, forms.IntegerField):
                field.error_messages["invalid"] = NO_FIGURE

    def clean(self) -> dict[str, Any]:
        """Say of spans that nothing lies in them; they are asked all the same."""
        data = super().clean() or self.cleaned_data
        for low, high, what in (("months_from", "months_to", "age"), ("weight_from", "weight_to", "weight")):
            least, most = data.get(low), data.get(high)
            if least is not None and most is not None and least > most:
                self.add_error(high, f"The highest {what} is below the lowest, so this was left out of the question.")
        if not data.get("event") and (data.get("had") or data.get("since")):
            self.add_error("event", "Say which event, or the day counts for nothing.")
        return data

    @property
    def said(self) -> dict[str, Any]:
        """What could be read."""
        self.is_valid()
        return self.cleaned_data

    @property
    def columns_shown(self) -> tuple[str, ...]:
        """The columns chosen, in their own order."""
        chosen = self.said.get("columns") or STANDARD
        return tuple(key for key in COLUMNS if key in chosen)

    def question(self) -> Question:
        """The question as the record takes it."""
        said = self.said
        return Question(
            today=self.today,
            number=said.get("number", ""),
            group_id=_id(said.get("group", "")),
            is_loose=said.get("group") == NOWHERE,
            location_id=_id(said.get("location", "")),
            is_nowhere=said.get("location") == NOWHERE,
            classes=tuple(said.get("classes", ())),
            months_from=said.get("months_from"),
            months_to=said.get("months_to"),
            statuses=_statuses(said.get("status", "")),
            wears=said.get("wears", ""),
            lacks=said.get("lacks", ""),
            event=said.get("event", ""),
            event_is_lacking=said.get("had") == "no",
            event_since=said.get("since"),
            last_check=said.get("check", ""),
            weight_from=self._nanograms("weight_from"),
            weight_to=self._nanograms("weight_to"),
            sort=said.get("sort") or "vid",
            is_falling=said.get("way") == "falling",
        )

    def _nanograms(self, name: str) -> int | None:
        figure: Decimal | None = self.said.get(name)
        return None if figure is None else int(figure * NANOGRAMS[self.outfit.unit])

    def as_query(self, **instead: str) -> str:
        """The question as an address holds it: what could be read, in one order, empty ones left out."""
        said = {**{name: self.said.get(name) for name in self.fields}, **instead}
        return urlencode({name: value for name, value in said.items() if value not in (None, "", [])}, doseq=True)

    @property
    def asks(self) -> Iterator[str]:
        """What is asked for beyond the herd on hand, for the sentence above the list."""
        for name in self.fields:
            value = self.said.get(name)
            if name not in {"sort", "way", "columns", "had", "since"} and value not in (None, "", []):
                yield f"{str(self.fields[name].label).lower()}: {self._in_words(name, value)}"

    def _in_words(self, name: str, value: Any) -> str:
        words = dict(getattr(self.fields[name], "choices", ()))
        said = ", ".join(words[one] for one in value) if isinstance(value, list) else words.get(value, str(value))
        if name != "event":
            return said
        since = f" since {self.said['since']:%Y-%m-%d}" if self.said.get("since") else ""
        return f"{'no ' if self.said.get('had') else ''}{said}{since}"


class KeepForm(forms.Form):
    """The name of a list that is kept."""

    name = text_field("Name", is_required=True, longest=80, hint="Everyone of the outfit sees it.")


def form_of(outfit: Outfit, today: date, query: str) -> HerdForm:
    """The form for a question kept or carried as a query string."""
    return HerdForm(QueryDict(query[:LONGEST_QUESTION]), outfit=outfit, today=today)


def _places(known: Iterator[tuple[UUID, str]], word: str) -> list[tuple[str, str]]:
    return [("", "any"), *((str(key), name) for key, name in known), (NOWHERE, f"in no {word}")]


def _id(text: str) -> UUID | None:
    return UUID(text) if text and text != NOWHERE else None


def _statuses(word: str) -> tuple[str, ...]:
    return {"": (AnimalStatus.ON_HAND.value,), LEFT: AWAY, ANY: ()}.get(word, (word,))
