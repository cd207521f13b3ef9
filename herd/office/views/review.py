"""The review of a processing day: one finding at a time, ruled by a person, alone or with all alike."""

import hashlib
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.intake.models import Finding, FindingKind, ProcessingDay, Ruling
from herd.intake.review import alike_of, queue, rule, take_back
from herd.office.access import OfficeRequest, needs
from herd.office.findingcard import TYPED, card_of, choices_of, fitting
from herd.office.views.days import REVIEWED, day_of, sent_back
from herd.office.views.review_order import Place, first_of, follow, place_of
from herd.registry.services.refused import Refused

ALIKE_LISTED = 500


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person sent in: the finding, the choice, and whether for all alike and from now on."""

    finding: Finding
    choice: str
    typed: str
    is_for_all: bool
    is_kept: bool
    seen: str

    @property
    def label(self) -> str:
        """The choice in words; empty where the finding has no such choice."""
        return next((one.label for one in choices_of(self.finding) if one.key == self.choice), "")


@dataclass(frozen=True, slots=True)
class Again:
    """The answer just given, ready for the findings alike that are left: the first of them, and how many."""

    finding: Finding
    choice: str
    count: int


@dataclass(frozen=True, slots=True)
class Said:
    """What a page tells besides its finding: what was done or wrong, and what can be done again alike."""

    done: str = ""
    wrong: str = ""
    typed: str = ""
    again: Again | None = None


@require_safe
@needs(Role.READER)
def review(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """The queue and one finding: the named one, the one before or after it, or the first of a kind."""
    day = day_of(request, day_id)
    asked = {name: request.GET.get(name, "") for name in ("finding", "after", "before", "kind")}
    if day.is_busy:
        return redirect("office:day", day.pk)
    counts = queue(day)
    return _page(request, day, follow(day, asked, counts), Said(), counts)


@needs(Role.READER, to_post=Role.CREW)
def rule_one(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """Rule a finding, or show all alike first and then rule them; the next finding comes back at once."""
    day = day_of(request, day_id)
    away = sent_back(request, day, REVIEWED)
    if away or request.method != "POST":
        return away or redirect("office:review", day.pk)
    answer = _answer(request, day)
    if answer is None:
        return _page(request, day, first_of(day, queue(day)), Said(wrong="That finding is decided already."))
    finding = answer.finding
    wrong = _wrong_with(answer)
    if wrong:
        return _page(request, day, finding, Said(wrong=wrong, typed=answer.typed))
    if answer.is_for_all:
        alike = alike_of(finding, answer.choice)
        if answer.seen != digest(alike):
            return _confirm(request, day, answer, alike)
    place = place_of(finding)
    try:
        count = rule(
            day=day,
            finding=finding,
            choice=answer.choice,
            typed=answer.typed if answer.choice == TYPED else "",
            person=request.user,
            all_alike=answer.is_for_all,
            keep=answer.is_kept,
        )
    except Refused as refused:
        return _page(request, day, finding, Said(wrong=str(refused), typed=answer.typed))
    return _after_ruling(request, day, answer, place, count)


def _wrong_with(answer: Answer) -> str:
    """Say in a sentence why an answer can't be taken; nothing where it can."""
    if not answer.label:
        return "Choose one of the answers."
    if answer.choice == TYPED and (answer.is_for_all or answer.is_kept):
        return "A typed value counts for this finding alone; take the tick away or choose another answer."
    return ""


def _after_ruling(request: OfficeRequest, day: ProcessingDay, answer: Answer, place: Place, count: int) -> HttpResponse:
    counts = queue(day)
    done = f"Ruled: {answer.label.rstrip('.')}." if count == 1 else f"{count} findings ruled."
    said = Said(done=done, again=_again(answer))
    return _page(request, day, follow(day, {"place": place}, counts), said, counts)


def _again(answer: Answer) -> Again | None:
    """Offer the same answer for the rest alike, where one alone was ruled and others are left."""
    if answer.is_for_all or answer.choice == TYPED:
        return None
    left = alike_of(answer.finding, answer.choice)
    return Again(left[0], fitting(left[0], answer.choice)["choice"], len(left)) if left else None


@needs(Role.READER, to_post=Role.CREW)
def take_back_last(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """Take back the last ruling with all that were given together with it, and show its finding again."""
    day = day_of(request, day_id)
    away = sent_back(request, day, REVIEWED)
    if away or request.method != "POST":
        return away or redirect("office:review", day.pk)
    last = Ruling.objects.filter(day=day, by_rule=False).first()
    title = take_back(day=day, person=request.user)
    if title is None:
        said = Said(wrong="There is no ruling to take back.")
        return _page(request, day, first_of(day, queue(day)), said)
    finding = Finding.objects.filter(day=day, is_open=True, key=last.finding_key).first() if last else None
    counts = queue(day)
    return _page(request, day, finding or first_of(day, counts), Said(done=f"Taken back: {title}."), counts)


def _label_for(finding: Finding, answer: Answer) -> str:
    """What the answer comes to for one of the findings alike, in words."""
    return answer.label if finding.pk == answer.finding.pk else fitting(finding, answer.choice)["label"]


def digest(findings: list[Finding]) -> str:
    """A short mark of exactly these findings, so that what is ruled together is what was listed."""
    keys = "\n".join(sorted(str(finding.pk) for finding in findings))
    return hashlib.sha256(keys.encode()).hexdigest()[:16]


def _answer(request: OfficeRequest, day: ProcessingDay) -> Answer | None:
    sent = request.POST
    try:
        finding_id = UUID(sent.get("finding", ""))
    except ValueError:
        return None
    finding = Finding.objects.filter(day=day, pk=finding_id, is_open=True).first()
    if finding is None:
        return None
    typed = sent.get("typed", "").strip()[:80]
    # Enter in the field for a value presses no numbered button; the value itself says what is meant.
    choice = sent.get("choice", "") or (TYPED if typed else "")
    return Answer(finding, choice, typed, "all_alike" in sent, "keep" in sent, sent.get("seen", ""))


def _page(
    request: OfficeRequest,
    day: ProcessingDay,
    finding: Finding | None,
    said: Said,
    counts: list[tuple[FindingKind, int]] | None = None,
) -> HttpResponse:
    """The review page, or for a request by script only the part of it that changes."""
    counts = [(kind, count) for kind, count in (queue(day) if counts is None else counts) if count]
    context = {
        "here": "days",
        "day": day,
        "counts": counts,
        "left": sum(count for _, count in counts),
        "card": card_of(request.outfit, day, finding) if finding else None,
        "said": said,
        "today": timezone.localdate(timezone=request.outfit.zone),
        "may_take_back": day.state in REVIEWED and _may_take_back(day, said),
    }
    return _answered(request, day, finding, "office/days/_review.html", "office/days/review.html", context)


def _may_take_back(day: ProcessingDay, said: Said) -> bool:
    """Whether there is a ruling to take back; right after one was given nobody has to ask."""
    return said.again is not None or Ruling.objects.filter(day=day, by_rule=False).exists()


def _confirm(request: OfficeRequest, day: ProcessingDay, answer: Answer, alike: list[Finding]) -> HttpResponse:
    """List all findings alike, before any of them is ruled."""
    context = {
        "here": "days",
        "day": day,
        "answer": answer,
        "alike": [(one, _label_for(one, answer)) for one in alike[:ALIKE_LISTED]],
        "count": len(alike),
        "more": max(0, len(alike) - ALIKE_LISTED),
        "seen": digest(alike),
    }
    return _answered(request, day, answer.finding, "office/days/_confirm.html", "office/days/confirm.html", context)


def _answered(
    request: OfficeRequest, day: ProcessingDay, finding: Finding | None, part: str, whole: str, context: dict
) -> HttpResponse:
    is_part = bool(request.headers.get("HX-Request")) and not request.headers.get("HX-History-Restore-Request")
    response = render(request, part if is_part else whole, context)
    if is_part:
        address = reverse("office:review", args=[day.pk])
        response.headers["HX-Push-Url"] = f"{address}?finding={finding.pk}" if finding else address
    response.headers["Vary"] = "HX-Request"
    return response
