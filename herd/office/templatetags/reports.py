"""The tag of the report pages: a figure that opens what is behind it."""

from decimal import Decimal
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag(takes_context=True)
def opens(
    context: dict[str, Any], value: int | Decimal | None, question: str, words: str, key: Any = ""
) -> SafeString | str:
    """A figure that leads to the page `behind` with its question, which `key` ends; 0 leads nowhere.

    `words` say aloud what the figure is. Of picked animals it is a button of the form that has them, since they may
    be too many for an address.
    """
    if value is None:
        return ""
    figure = f"{value:,}"
    if not question or not value:
        return figure
    address, said = f"{context['behind']}?{question}{key}", f"{figure} {words}"
    if context.get("picked"):
        link = '<button class="link" type="submit" form="asked" formaction="{}" aria-label="{}">{}</button>'
        return format_html(link, address, said, figure)
    return format_html('<a href="{}" aria-label="{}">{}</a>', address, said, figure)
