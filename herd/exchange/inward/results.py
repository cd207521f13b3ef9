"""What came of a batch, resource by resource, in the standard's words for it."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from herd.exchange.moments import say_moment
from herd.intake.models import ProcessingDay, RowState, StagedRow

# The standard's severity and the status of HTTP that go with a row's state; one without is taken as it is.
SAID = {
    RowState.UNUSABLE: ("Error", 422, "It can't be used."),
    RowState.KNOWN: ("Information", 200, "It is known already."),
    RowState.WAITING: ("Information", 202, "It is staged."),
}


def results_of(day: ProcessingDay, sent: Sequence[Any]) -> list[dict[str, Any]]:
    """One result for each resource that was sent, in their order, with what is to be said of its rows."""
    messages: dict[int, list[dict[str, Any]]] = defaultdict(list)
    rows = StagedRow.objects.filter(day=day).order_by("number")
    for line, state, reason, problems in rows.values_list("line", "state", "reason", "problems").iterator():
        messages[line].append(_message(RowState(state), reason, problems))
    return [_result(day, place, one, messages[place + 1]) for place, one in enumerate(sent)]


def _message(state: RowState, reason: str, problems: list[dict[str, Any]]) -> dict[str, Any]:
    severity, status, title = SAID.get(state, ("Information", 202, "It is staged."))
    if state == RowState.WAITING and not reason.startswith("Ready"):
        severity, title = "Warning", "A person must decide."
    found: dict[str, Any] = {"severity": severity, "status": status, "title": title, "detail": reason or title}
    return {**found, "instance": str(problems[0]["column"])} if problems else found


def _result(day: ProcessingDay, place: int, sent: Any, messages: list[dict[str, Any]]) -> dict[str, Any]:
    members = sent if isinstance(sent, dict) else {}
    given: Any = members.get("meta")
    given = given if isinstance(given, dict) else {}
    found: dict[str, Any] = {"id": str(members.get("id") or f"{day.pk}:{place}")[:200], "messages": messages}
    source, modified = given.get("source"), given.get("modified")
    if isinstance(source, str) and source:
        meta = {"source": source, "modified": modified if isinstance(modified, str) else say_moment(day.made_at)}
        own = given.get("sourceId")
        found["meta"] = {**meta, "sourceId": own} if isinstance(own, str) else meta
    return found
