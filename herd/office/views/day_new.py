"""Opening a processing day with its first files, and changing its name, day or group."""

from collections.abc import Iterable
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from herd.accounts.models import Role
from herd.intake.days import change_day, open_day
from herd.intake.tasks import start_work
from herd.office.access import OfficeRequest, needs
from herd.office.forms.days import DayForm, NewDayForm
from herd.office.views.days import CHANGEABLE, day_of, sent_back
from herd.registry.services.refused import Refused


@needs(Role.CREW)
def new_day(request: OfficeRequest) -> HttpResponse:
    """The form of a new day; posted, it opens the day and has its files read."""
    today = timezone.localdate(timezone=request.outfit.zone)
    if request.method != "POST":
        first = {"worked_on": today, "is_herd_list": request.GET.get("herd_list") == "1"}
        return _form(request, NewDayForm(outfit=request.outfit, initial=first))
    form = NewDayForm(request.POST, request.FILES, outfit=request.outfit)
    if not form.is_valid():
        return _form(request, form)
    said = form.cleaned_data
    try:
        day = open_day(
            outfit=request.outfit,
            person=request.user,
            name=said["name"],
            worked_on=said["worked_on"],
            group=said["group"],
            files=said["given"],
        )
    except Refused as refused:
        form.add_error(None, str(refused))
        return _form(request, form)
    start_work(day)
    say_refusals(request, said["refusals"])
    return redirect("office:day", day.pk)


def _form(request: OfficeRequest, form: NewDayForm) -> HttpResponse:
    return render(request, "office/days/new.html", {"here": "days", "form": form})


def say_refusals(request: OfficeRequest, refusals: Iterable[str]) -> None:
    """Tell on the next page which files were not taken."""
    for sentence in refusals:
        messages.warning(request, sentence)


@require_POST
@needs(Role.CREW)
def change(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """Give a day another name, date or group, and decide it again."""
    day = day_of(request, day_id)
    away = sent_back(request, day, CHANGEABLE)
    if away:
        return away
    form = DayForm(request.POST, outfit=request.outfit)
    if not form.is_valid():
        for name, sentences in form.errors.items():
            messages.error(request, f"{form.fields[name].label}: {' '.join(map(str, sentences))}")
        return redirect("office:day", day.pk)
    said = form.cleaned_data
    try:
        change_day(day=day, name=said["name"], worked_on=said["worked_on"], group=said["group"])
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("office:day", day.pk)
    start_work(day)
    return redirect("office:day", day.pk)
