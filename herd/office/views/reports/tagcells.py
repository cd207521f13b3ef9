"""Tags as cells of a table that leaves the site."""

from herd.registry.queries.tags import Worn


def visual_tag(worn: Worn) -> str:
    """The visual tag with its colour; empty where the animal wears none."""
    return " ".join(part for part in (worn.vid, worn.vid_colour) if part)
