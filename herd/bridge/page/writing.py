"""Writes the page: everything from outside goes through `escape`."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from herd.bridge import pairs
from herd.bridge.folder import uploads
from herd.bridge.keeping import Keeping, PairState, State
from herd.bridge.live import Shown
from herd.bridge.reading import Reading, ReadingKind

STATE_WORDS = {
    PairState.OPEN: "stored, still on the scale",
    PairState.READY: "stored, to be delivered",
    PairState.GIVEN: "handed on",
}
FILE_WORDS = {"found": "waits", "sent": "uploaded", "refused": "refused"}


@dataclass(frozen=True, slots=True)
class Look:
    """What a page is written from: the present state, the file, the token that its forms carry."""

    shown: Shown
    keeping: Keeping
    form: str


def whole_page(look: Look, problem: str = "") -> str:
    """The page."""
    said = f'<p class="problem" role="alert">{escape(problem)}</p>' if problem else ""
    return f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Scale PC bridge</title>
<link rel="stylesheet" href="/page.css">
<script src="/page.js" defer></script>
</head>
<body>
<main>
<h1>Scale PC bridge</h1>
{said}
<div data-part="/now">{what_goes_on(look)}</div>
{_to_look_at(look)}
{_aside(look)}
{_last_pairs(look)}
{_files(look)}
<h2>Lines, the latest first</h2>
<div data-part="/lines">{lines_as_they_come(look)}</div>
</main>
</body>
</html>
"""


def what_goes_on(look: Look) -> str:
    """How things stand; the page renews it by itself."""
    shown, counts = look.shown, look.keeping.counts()
    kept = counts.get("reading kept", 0)
    facts = [
        ("On the scale", shown.scale),
        ("Number read last", shown.number or "none yet"),
        ("Stored last", shown.last or "nothing yet"),
        *((f"Port {name}", state) for name, state in shown.ports.items()),
        ("Delivery", shown.delivery),
        ("To look at", f"{kept} reading{'' if kept == 1 else 's'}"),
        *([("Field files", shown.folder)] if shown.folder else []),
        *([("Last trouble", shown.trouble)] if shown.trouble else []),
    ]
    told = "".join(f"<div><dt>{escape(name)}</dt><dd>{escape(said)}</dd></div>" for name, said in facts)
    return f'<dl class="facts">{told}</dl>'


def lines_as_they_come(look: Look) -> str:
    """The latest lines of all ports; the page renews them by itself."""
    return _table(("Port", "Line as it came", "Understood as"), look.shown.lines)


def _to_look_at(look: Look) -> str:
    kept = look.keeping.readings(State.KEPT)
    numbers = [one for one in kept if one.kind is ReadingKind.NUMBER]
    weights = [one for one in kept if one.kind is ReadingKind.WEIGHT]
    if not kept:
        return "<h2>To look at</h2><p>Every weight has its number and every number its weight.</p>"
    items = "".join(_weight(look, one, numbers) for one in weights) + "".join(_number(look, one) for one in numbers)
    return f"""<h2>To look at</h2>
<p>Join only what you know to belong together. A weight goes to the record as the scale showed it; the office can take
a wrong one back.</p>
<ul class="kept">{items}</ul>"""


def _weight(look: Look, one: Reading, numbers: Sequence[Reading]) -> str:
    options = "".join(
        f'<option value="{escape(number.id)}">{escape(number.value)} at {_time(number.at)}</option>'
        for number in numbers
    )
    choice = (
        f'<label>Number that was read <select name="number"><option value="">none</option>{options}</select></label>'
        if numbers
        else ""
    )
    return f"""<li><p><strong>{escape(one.in_words())}</strong> at {_time(one.at)}. {escape(one.reason)}</p>
<form method="post" action="/join">{_hidden(look, "weight", one)}{choice}
<label>Number typed <input name="typed" autocomplete="off" maxlength="40"></label>
<button>Join</button></form>
{_button(look, "/aside", one, "Set aside")}</li>"""


def _number(look: Look, one: Reading) -> str:
    return f"""<li><p><strong>{escape(one.value)}</strong> at {_time(one.at)}. {escape(one.reason)}</p>
{_button(look, "/aside", one, "Set aside")}</li>"""


def _button(look: Look, action: str, one: Reading, word: str) -> str:
    return (
        f'<form method="post" action="{action}">{_hidden(look, "reading", one)}'
        f'<button class="quiet" aria-label="{word}: {escape(one.in_words())} at {_time(one.at)}">{word}</button></form>'
    )


def _hidden(look: Look, name: str, one: Reading) -> str:
    return (
        f'<input type="hidden" name="form" value="{escape(look.form)}">'
        f'<input type="hidden" name="{name}" value="{escape(one.id)}">'
    )


def _last_pairs(look: Look) -> str:
    latest = reversed(pairs.pairs(look.keeping, tuple(STATE_WORDS), 20))
    rows = [(_time(one.weight.at), one.number, one.weight.in_words(), _where(one)) for one in latest]
    return "<h2>Stored last</h2>" + _table(("Time", "Number", "Weight", "Where it is"), rows)


def _where(one: pairs.Pair) -> str:
    return STATE_WORDS[one.state] + (f", joined by a {one.by}" if one.by else "")


def _files(look: Look) -> str:
    rows = [
        (name, _time(at), ". ".join(filter(None, [FILE_WORDS[state], reason])))
        for name, at, state, reason in uploads(look.keeping)
    ]
    return "<h2>Field files</h2>" + _table(("Name", "Found", "Where it is"), rows) if rows else ""


def _aside(look: Look) -> str:
    items = "".join(
        f"<li><p>{escape(one.in_words())} at {_time(one.at)}</p>{_button(look, '/back', one, 'Put back')}</li>"
        for one in look.keeping.readings(State.ASIDE, 20)
    )
    return f'<h2>Set aside</h2><ul class="kept">{items}</ul>' if items else ""


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    body = "".join(
        "<tr>"
        + "".join(f'<td data-head="{escape(head)}">{escape(cell)}</td>' for head, cell in zip(heads, row, strict=True))
        + "</tr>"
        for row in rows
    )
    if not body:
        return "<p>Nothing yet.</p>"
    top = "".join(f'<th scope="col">{escape(head)}</th>' for head in heads)
    return f"<table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _time(at: str) -> str:
    """The time of day of a moment, as the machine's clock showed it."""
    return escape(at[11:19])
