"""Many animals moved to another group, picked in a list or named by their numbers: first what it would do, then it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Outfit, Role
from herd.office.access import OfficeRequest, needs
from herd.office.forms.fields import show_refusals
from herd.office.forms.groups import MoveManyForm
from herd.office.naming import names_of
from herd.office.selection import Selection, selection_of
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.wording import as_uuid
from herd.registry.models import Group
from herd.registry.queries.headcount import members_on
from herd.registry.queries.stays import MoveVerdict, judge_move
from herd.registry.queries.whose import Told, whose
from herd.registry.services import groups as herd_groups
from herd.registry.services.refused import Refused

SHOWN = 200


@dataclass(frozen=True, slots=True)
class Named:
    """A line of a list: what a number or an animal is called, a reason, and animals that may have been meant."""

    name: str
    reason: str
    animal_id: UUID | None = None
    may_be: Sequence[tuple[UUID, str]] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """A move that was checked: whom it would move, and the lines that stay behind with their reasons."""

    group: Group
    on: date
    verdict: MoveVerdict
    untold: list[Told] = field(default_factory=list)

    @property
    def key(self) -> str:
        """What was shown; a move that has come to something else since is shown again first."""
        return f"{self.group.pk} {self.on} {len(self.verdict.movable)}"


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def animals_move(request: OfficeRequest) -> HttpResponse:
    """Show what a move of many would do; write it once that has been seen."""
    outfit = request.outfit
    picked = selection_of(request, outfit)
    given = request.POST if request.method == "POST" else request.GET
    whole = _whole_group(outfit, given.get("from_group", ""))
    asked = request.POST.get("do", "")
    form = MoveManyForm(
        request.POST if asked else None,
        request.FILES if asked else None,
        outfit=outfit,
        today=today_of(outfit),
        but=whole.pk if whole else None,
    )
    plan = _plan(outfit, form, picked, whole) if asked and form.is_valid() else None
    if plan and asked == "move" and plan.verdict.movable and request.POST.get("checked") == plan.key:
        answer = _move(request, form, plan)
        if answer is not None:
            return answer
    elif plan and asked == "move":
        messages.warning(request, "What would move has changed since it was shown. Look again, nothing is written yet.")
    return render(request, "office/groups/move.html", _page(outfit, form, picked, whole, plan))


def _whole_group(outfit: Outfit, text: str) -> Group | None:
    """The group all of whose animals move; Http404 for one of another outfit."""
    return get_object_or_404(Group.objects.of(outfit), pk=as_uuid(text)) if text else None


def _plan(outfit: Outfit, form: MoveManyForm, picked: Selection, whole: Group | None) -> Plan | None:
    data = form.cleaned_data
    group, on = get_object_or_404(Group.objects.of(outfit), pk=data["group"]), data["on"]
    told = whose(outfit, data["numbers"], on)
    ids = [*picked.ids, *(one.animal_id for one in told if one.animal_id)]
    ids += members_on(outfit, whole.pk, on) if whole else []
    if not ids and not told:
        form.add_error("typed", "Type or paste the numbers of the animals to move.")
        return None
    return Plan(group, on, judge_move(outfit, ids, group.pk, on), [one for one in told if not one.animal_id])


def _move(request: OfficeRequest, form: MoveManyForm, plan: Plan) -> HttpResponse | None:
    head = len(plan.verdict.movable)
    try:
        herd_groups.move(
            entry=entry_for(request, f"Moved {head} head to {plan.group.name}"),
            animal_ids=plan.verdict.movable,
            group_id=plan.group.pk,
            on=plan.on,
        )
    except Refused as refused:
        show_refusals(form, refused, {"day": "on"})
        return None
    left = len(plan.verdict.refused) + len(plan.untold)
    rest = f" {left} stayed behind, as shown before." if left else ""
    tell_written(request, f"{head} head moved to {plan.group.name}.{rest}", plan.verdict.movable[0])
    return redirect("office:group", plan.group.pk)


def _page(
    outfit: Outfit, form: MoveManyForm, picked: Selection, whole: Group | None, plan: Plan | None
) -> dict[str, object]:
    context: dict[str, object] = {"here": "groups", "form": form, "picked": picked, "whole": whole, "plan": plan}
    if plan is None:
        return context
    # A file can't be sent twice by a page, so what was read in it goes along as typed.
    context["numbers"] = "\n".join(form.cleaned_data["numbers"])
    refused, untold = list(plan.verdict.refused.items())[:SHOWN], plan.untold[:SHOWN]
    names = names_of(outfit, [*(key for key, _ in refused), *(key for one in untold for key in one.may_be)])
    context["refused"] = [Named(names[str(key)], reason, key) for key, reason in refused]
    context["untold"] = named_lines(untold, names)
    context["more"] = len(plan.verdict.refused) + len(plan.untold) - len(refused) - len(untold)
    return context


def named_lines(told: Sequence[Told], names: Mapping[str, str]) -> list[Named]:
    """Lines that name no animal, with the names of those that may have been meant."""
    return [
        Named(one.text, one.reason, may_be=[(key, names[str(key)]) for key in one.may_be]) for one in told
    ]
