"""Rulings: a person's answers to findings, one or all alike, taken back, or kept for the future."""

from collections import Counter
from uuid import UUID, uuid4

from django.db import transaction
from django.utils import timezone

from herd.accounts.models import Person
from herd.intake.deciding.doubts import cell_key, order_key
from herd.intake.models import Finding, FindingKind, ProcessingDay, Ruling, StagedRow, StandingRule
from herd.intake.steps.clean import clean_file, clean_row, column_name
from herd.intake.steps.settle import note_rulings, settle_day
from herd.ledger.models import Changeset, ChangesetKind
from herd.ledger.rows import in_steps
from herd.registry.models import Event
from herd.registry.queries.find import find_animals
from herd.registry.services.refused import Refusal, Refused
from herd.values.problems import Unreadable
from herd.values.tubes import read_tube
from herd.values.weights import read_weight

# Up to this many rows a day is decided again at once after a ruling; larger days are when they are applied.
SETTLE_AT_ONCE = 1_500
LONGEST_TYPED = 80


def queue(day: ProcessingDay) -> list[tuple[FindingKind, int]]:
    """Open findings by kind, in the order in which they are worth deciding."""
    counts = Counter(Finding.objects.filter(day=day, is_open=True).values_list("kind", flat=True))
    return [(kind, counts[kind]) for kind in FindingKind if counts[kind]]


def alike_of(finding: Finding, choice: str) -> list[Finding]:
    """The open findings that the same answer fits, this one among them."""
    alike = Finding.objects.filter(day=finding.day_id, is_open=True, alike=finding.alike).order_by("id")
    fitting = [one for one in alike if one.pk == finding.pk or _choice_of(one, choice)]
    side = _side_of(choice)
    if side is None:
        return fitting
    # "The second is right" means the same only where the second comes from the same file.
    files = _files_of_side([finding, *fitting], side)
    return [one for one in fitting if files[one.pk] == files[finding.pk]]


def rule(  # noqa: PLR0913 (keyword-only, one for each thing a person can say)
    *,
    day: ProcessingDay,
    finding: Finding,
    choice: str,
    typed: str = "",
    person: Person | None = None,
    all_alike: bool = False,
    keep: bool = False,
) -> int:
    """Answer a finding, or all alike, and return how many were answered; raises Refused."""
    if not finding.is_open:
        raise Refused([Refusal("This was ruled on already.", "choice")])
    if choice not in {one["choice"] for one in finding.choices}:
        raise Refused([Refusal("That is not one of the choices.", "choice")])
    verb = choice.partition(":")[0]
    if verb == "type":
        choice = _check_typed(day, finding, typed)
    else:
        typed = ""
    with transaction.atomic():
        ProcessingDay.objects.select_for_update().get(pk=day.pk)
        together = uuid4()
        findings = alike_of(finding, choice) if all_alike and verb != "type" else [finding]
        for one in findings:
            mine = choice if one.pk == finding.pk else _choice_of(one, choice)
            _write(day, one, mine, typed, person, together)
        if verb == "type" and finding.key.startswith("cell:"):
            _check_cell(day, finding)
        if keep and verb != "type":
            _keep_rule(day, finding, choice, person)
        _follow(day, findings, verb)
    return len(findings)


def take_back(*, day: ProcessingDay, person: Person | None) -> str | None:
    """Take back the last ruling with all that were ruled together; return its title, None where none is left."""
    with transaction.atomic():
        ProcessingDay.objects.select_for_update().get(pk=day.pk)
        last = Ruling.objects.filter(day=day, by_rule=False).order_by("-ruled_at", "-id").first()
        if last is None or _was_applied_since(day, last):
            return None
        together = list(Ruling.objects.filter(day=day, together=last.together))
        findings = list(Finding.objects.filter(day=day, key__in=[one.finding_key for one in together]))
        Ruling.objects.filter(pk__in=[one.pk for one in together]).delete()
        _drop_rules(day, findings, last)
        Finding.objects.filter(pk__in=[one.pk for one in findings]).update(is_open=True)
        _follow(day, findings, last.choice.partition(":")[0])
    return last.title


def _was_applied_since(day: ProcessingDay, ruling: Ruling) -> bool:
    """Whether the record has what came of the ruling; then the day must be undone first."""
    return Changeset.objects.filter(
        outfit=day.outfit_id, day_id=day.pk, kind=ChangesetKind.INTAKE, is_undone=False, recorded_at__gt=ruling.ruled_at
    ).exists()


def _drop_rules(day: ProcessingDay, findings: list[Finding], ruling: Ruling) -> None:
    """Drop the standing rule that was made with a ruling, and what it has answered on this day."""
    likenesses = {one.alike for one in findings}
    made = StandingRule.objects.filter(outfit=day.outfit_id, alike__in=likenesses, made_at__gte=ruling.ruled_at)
    if made.delete()[0]:
        keys = Finding.objects.filter(day=day, alike__in=likenesses).values("key")
        Ruling.objects.filter(day=day, by_rule=True, finding_key__in=keys).delete()


def _choice_of(finding: Finding, choice: str) -> str:
    """The choice of a finding that an answer to another comes to; empty where it has none.

    The same choice, or for one that names an animal the first with its verb. The number of a side is no name.
    """
    names = [one["choice"] for one in finding.choices]
    if choice in names or _side_of(choice) is not None:
        return choice if choice in names else ""
    verb = choice.partition(":")[0]
    return next((one for one in names if one.partition(":")[0] == verb), "")


def _side_of(choice: str) -> int | None:
    """The side that a choice is about, where it is about one."""
    verb, _, about = choice.partition(":")
    side = about.partition(":")[0]
    return int(side) if verb in {"take", "other"} and side.isdigit() and len(side) < 3 else None


def _files_of_side(findings: list[Finding], side: int) -> dict[UUID, set[UUID]]:
    """The files whose rows are on a side, for each finding."""
    rows = {one.pk: set(one.sides[side]["rows"]) if side < len(one.sides) else set() for one in findings}
    files: dict[str, UUID] = {}
    for some in in_steps(set().union(*rows.values())):
        found = StagedRow.objects.filter(pk__in=some).values_list("id", "file_id")
        files.update((str(row), file) for row, file in found)
    return {key: {files[row] for row in some if row in files} for key, some in rows.items()}


def _write(
    day: ProcessingDay, finding: Finding, choice: str, typed: str, person: Person | None, together: UUID
) -> None:
    wanted = "type" if typed else choice
    label = next(one["label"] for one in finding.choices if one["choice"] == wanted)
    # An answer that settled nothing, such as a tube given to two animals, is asked again and replaced.
    Ruling.objects.filter(day=day, finding_key=finding.key).delete()
    Ruling.objects.create(
        day=day,
        finding_key=finding.key,
        title=finding.title,
        choice=choice,
        typed=typed.strip()[:80],
        rows=_rows_of_side(finding, choice),
        label=f"{label}: {typed.strip()}"[:200] if typed else label[:200],
        together=together,
        person=person,
    )
    Finding.objects.filter(pk=finding.pk).update(is_open=False)


def _rows_of_side(finding: Finding, choice: str) -> list[str]:
    side = _side_of(choice)
    return list(finding.sides[side]["rows"]) if side is not None and side < len(finding.sides) else []


def _keep_rule(day: ProcessingDay, finding: Finding, choice: str, person: Person | None) -> None:
    verb, _, about = choice.partition(":")
    if about:
        raise Refused([Refusal("An answer about one animal can't stand for the future.", "keep")])
    label = next(one["label"] for one in finding.choices if one["choice"] == choice)
    StandingRule.objects.update_or_create(
        outfit=day.outfit,
        alike=finding.alike,
        defaults={"choice": verb, "label": label[:200], "person": person, "made_at": timezone.now()},
    )


def _check_typed(day: ProcessingDay, finding: Finding, typed: str) -> str:
    """Return the choice that the typed value comes to; raises Refused unless it can be read as what is asked."""
    if not typed.strip():
        raise Refused([Refusal("Type the value first.", "typed")])
    if len(typed.strip()) > LONGEST_TYPED:
        raise Refused([Refusal(f"That is longer than {LONGEST_TYPED} characters.", "typed")])
    if finding.key.startswith("who:"):
        return _named_animal(day, finding, typed)
    if finding.kind == FindingKind.DOUBTFUL:
        try:
            read_weight(typed, day.outfit.unit)
        except Unreadable as problem:
            raise Refused([Refusal(problem.reason, "typed")]) from problem
    if finding.kind == FindingKind.TUBE_TWICE:
        _check_tube(day, finding, typed)
    return "type"


def _check_tube(day: ProcessingDay, finding: Finding, typed: str) -> None:
    """Raise Refused unless the typed code is a tube's that neither the record nor this day has used."""
    try:
        tube = read_tube(typed)
    except Unreadable as problem:
        raise Refused([Refusal(problem.reason, "typed")]) from problem
    taken = Ruling.objects.filter(day=day, choice="type", typed=tube, finding_key__contains="|tube ")
    if (
        Event.objects.of(day.outfit).filter(kind="sample", tube=tube).exists()
        or StagedRow.objects.filter(day=day, readings__tube=tube).exists()
        or taken.exclude(finding_key=finding.key).exists()
    ):
        raise Refused([Refusal(f"Tube {tube} is used for another sample already.", "typed")])


def _check_cell(day: ProcessingDay, finding: Finding) -> None:
    """Read the cell as it was typed; raises Refused where that can't be read either."""
    row = StagedRow.objects.select_related("file").get(pk=finding.rows[0])
    clean_row(row, day)
    wrong = next((one for one in row.problems if cell_key(row.pk, one["column"]) == finding.key), None)
    if wrong is not None:
        raise Refused([Refusal(wrong["reason"], "typed")])


def _named_animal(day: ProcessingDay, finding: Finding, typed: str) -> str:
    """The animal that wears the typed number, as a choice: a new tag on it where the tag was unknown."""
    worn = [hit for hit in find_animals(day.outfit, typed) if hit.how == "worn" and hit.animal.is_on_hand]
    if len(worn) != 1:
        how_many = "No animal on hand wears" if not worn else f"{len(worn)} animals on hand wear"
        raise Refused([Refusal(f"{how_many} {typed.strip()}.", "typed")])
    is_tag = finding.kind == FindingKind.UNKNOWN_TAG and not finding.key.startswith("who:tube ")
    verb = "retag" if is_tag else "is"
    return f"{verb}:{worn[0].animal.pk}"


def _follow(day: ProcessingDay, findings: list[Finding], verb: str) -> None:
    """Do what rulings change in the reading, then decide the day again where that is quick."""
    for finding in findings:
        if finding.key.startswith("order:"):
            _set_order(day, finding)
        elif verb == "type" and finding.key.startswith("cell:"):
            clean_row(StagedRow.objects.select_related("file").get(pk=finding.rows[0]), day)
    if day.home:
        # It is decided again where it is at home, once the ruling has come there.
        return
    if StagedRow.objects.filter(day=day).count() <= SETTLE_AT_ONCE:
        settle_day(day)
    else:
        note_rulings(day)


def _set_order(day: ProcessingDay, finding: Finding) -> None:
    """Read a date column anew in the order ruled, or in none where the ruling was taken back."""
    file = day.files.get(pk=finding.key.split(":")[1])
    ruling = Ruling.objects.filter(day=day, finding_key=finding.key).first()
    order = ruling.choice.partition(":")[2] if ruling else None
    for one in file.columns:
        if order_key(file.pk, column_name(one)) == finding.key:
            one["kind"] = "unused" if order == "none" else finding.field
            one["settings"]["order"] = None if order == "none" else order
            one["settings"]["mixed"] = False if order else one["settings"].get("mixed", False)
    file.save(update_fields=["columns"])
    clean_file(file, day)
