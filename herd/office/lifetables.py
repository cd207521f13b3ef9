"""One animal's life as tables to take along: what happened to it, and every change to its record."""

from collections.abc import Iterable, Sequence

from herd.accounts.models import Outfit
from herd.office.changes import ChangeWords
from herd.office.saying import say_moment
from herd.office.tables import Table
from herd.office.wording import Carrying, say_event
from herd.registry.models import Event


def events_table(
    name: str, events: Sequence[Event], outfit: Outfit, names: dict[str, str], carrying: Carrying
) -> Table:
    """Events, newest first, in words."""
    said = ((event, say_event(event, outfit.unit, names, carrying)) for event in events)
    rows = ((event.happened_on, event.get_kind_display(), words) for event, words in said)
    return Table(f"Events of {name}", ("Day", "Kind", "What"), rows)


def changes_table(title: str, changes: Iterable[ChangeWords], outfit: Outfit) -> Table:
    """Changes in words: when, by whom, on what occasion, from which file and line, and whether each stands."""
    rows = (
        (
            say_moment(one.change.changeset.recorded_at, outfit.zone),
            one.words,
            one.change.changeset.person_name,
            one.change.changeset.title,
            one.change.source_file,
            one.change.source_line,
            one.change.reason,
            "" if one.stands else "taken back",
        )
        for one in changes
    )
    columns = ("When", "What", "Who", "Occasion", "File", "Line", "Reason", "Stands")
    return Table(title, columns, rows)
