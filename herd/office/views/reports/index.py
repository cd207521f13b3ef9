"""All reports, each with the question it answers."""

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs

REPORTS = (
    ("This week", "What comes due, what waits, and what nobody looked at for long?", "office:report-week"),
    ("Statement of head", "How many head were there, what came and went, and does it balance?", "office:report-head"),
    (
        "Moving and selling",
        "Which animals can go where, what is still in the way, and what goes with them on paper?",
        "office:report-moving",
    ),
    ("Gain between two days", "What did a group gain a day, with the dead in and out?", "office:report-gain"),
    ("Weights by group", "How heavy is each group, and how far apart are its head?", "office:report-weights"),
    (
        "Weaning and yearling weights",
        "What did each calf weigh at 205 and 365 days of age, beside those that were kept alike?",
        "office:report-calves",
    ),
    (
        "Frame scores and scrotal circumferences",
        "How large is each young bull and heifer for its age, beside those that were kept alike?",
        "office:report-sizes",
    ),
    ("Due to calve", "Which cows calve in the next days, and which are overdue?", "office:report-due"),
    ("Calving of a season", "When did the calves come, how far apart, and who has none?", "office:report-calving"),
    (
        "Rates of a breeding season",
        "Of the females exposed, how many were bred, calved and weaned, and how much weight?",
        "office:report-breeding",
    ),
    (
        "Replacements",
        "Which cows went, who took their place, and which heifers are bred?",
        "office:report-replacements",
    ),
    ("Before bulls go out", "Which bull is too close kin to which female?", "office:report-breeding-kin"),
    ("Treatment log", "Who was given what, how much, by whom, and how long does it hold?", "office:report-treatments"),
    ("Vaccines of a group", "Who had which vaccine, when last, and who had none?", "office:report-vaccines"),
    ("Samples for the laboratory", "Which tube holds whose sample, and which have no result?", "office:report-samples"),
    ("Withdrawal", "Who is held by what, and when is each free?", "office:withdrawal"),
    ("Tag log", "Which tags went on, came off or took another's place?", "office:tag-log"),
)


@require_safe
@needs(Role.READER)
def reports(request: OfficeRequest) -> HttpResponse:
    """The list of reports."""
    listed = [(name, question, reverse(address)) for name, question, address in REPORTS]
    return render(request, "office/reports/reports.html", {"here": "reports", "reports": listed})
