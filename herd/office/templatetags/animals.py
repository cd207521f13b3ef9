"""Filters of the pages about animals: what an animal is called, by its id."""

from collections.abc import Mapping
from typing import Any

from django import template

register = template.Library()


@register.filter
def named(names: Mapping[str, str], key: Any) -> str:
    """What people call the animal with this id; empty where no id is given."""
    return names.get(str(key), "an animal") if key else ""
