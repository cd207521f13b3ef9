"""Filters of the pages about events: what holds an animal and until when, the doses and their days."""

from django import template

from herd.office.holds import say_cause, say_end
from herd.values.withdrawal import Withdrawal

register = template.Library()


@register.filter
def hold_end(hold: Withdrawal) -> str:
    """When a hold ends, in words."""
    return say_end(hold)


@register.filter
def hold_cause(hold: Withdrawal) -> str:
    """What was given, when, and for how long it holds."""
    return say_cause(hold)


@register.filter
def free_day(hold: Withdrawal) -> str:
    """The day, and the hour where it is known, from which the animal is free."""
    return say_end(hold).removeprefix("free from ")
