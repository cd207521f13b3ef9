"""Tags and filters of the office templates: weights, numbers, days and ages in words."""

from datetime import date, datetime
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from herd.accounts.models import Outfit
from herd.office.saying import group_digits, say_age, say_class, say_day, say_moment, say_weight
from herd.office.wording import as_uuid
from herd.registry.models import Animal

register = template.Library()


@register.filter
def eid(number: str) -> SafeString:
    """An EID grouped for reading that is copied whole; any other number as it is."""
    grouped = group_digits(str(number))
    return format_html('<span class="number nowrap" data-whole="{}">{}</span>', number, grouped)


@register.filter
def day(value: date | None, precision: str = "day") -> str:
    """A day in words, no finer than known."""
    return say_day(value, precision)


@register.filter
def moment(value: datetime | None, outfit: Outfit) -> str:
    """A moment in the outfit's own time."""
    return say_moment(value, outfit.zone) if value else ""


@register.filter
def weight(nanograms: int | None, outfit: Outfit) -> str:
    """A stored weight in the outfit's unit; empty where there is none."""
    return say_weight(nanograms, outfit.unit) if nanograms else ""


@register.filter
def age(animal: Animal, today: date) -> str:
    """An animal's age in words."""
    return say_age(animal.born_on, animal.born_precision, today)


@register.filter
def class_word(animal: Animal, today: date) -> str:
    """An animal's class, with "calf" beside it under a year."""
    return say_class(animal, today)


@register.filter
def undo_target(tags: str | None) -> str:
    """The changeset that a message offers to undo, or nothing."""
    found = as_uuid(tags) if tags else None
    return str(found) if found else ""


@register.filter
def told(value: Any) -> str:
    """A cell of a table: a day in words, nothing where there is none."""
    return say_day(value) if isinstance(value, date) else "" if value is None else str(value)


@register.filter
def item(mapping: Any, key: Any) -> Any:
    """What a mapping has under a key; empty where it has nothing."""
    return mapping.get(key, "")


@register.filter
def head_word(name: str) -> str:
    """A class of the head count in the plural."""
    return {"calf": "calves", "unknown": "class not known"}.get(name, f"{name}s")


@register.filter
def status_mark(status: str) -> str:
    """The class of the mark for an animal's status."""
    return {"on_hand": "mark-good", "dead": "mark-bad", "missing": "mark-warn"}.get(status, "")


@register.simple_tag(takes_context=True)
def way_out(context: dict[str, Any], way: str) -> str:
    """This page's question asked for as CSV, XLSX, PDF or a page to print, from its first line on."""
    question = context["request"].GET.copy()
    question.pop("after", None)
    question.pop("before", None)
    question["as"] = way
    return f"?{question.urlencode()}"
