"""Animals: registered on a device, and facts changed on it, merged field by field."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from django.db import transaction

from herd.intake.matching.numbers import Row
from herd.registry.models import Animal, Group, TagKind, TagWearing
from herd.registry.queries.tags import wearings_of
from herd.registry.services import animals
from herd.registry.services.batch import EDITABLE_FACTS
from herd.registry.services.refused import Refused
from herd.sync.judging import judge_rows, refused_by_record
from herd.sync.models import OperationStatus
from herd.sync.performing.events import WAITS
from herd.sync.performing.run import READING_KEYS, Run
from herd.sync.protocol import Answer, Sent, refused
from herd.values.problems import Unreadable
from herd.values.tagnumbers import read_tag_number
from herd.values.threeway import Merge, merge_field

COLUMNS = {one.attname: one for one in Animal._meta.concrete_fields}
# Fields that mean something only together are taken together or not at all.
TOGETHER = (("born_on", "born_precision"),)
DAYS = frozenset({"born_on", "entered_on"})
IDS = frozenset({"dam_id", "sire_id"})
# The facts that a person can be asked about in review, by what the reading of a line calls them.
ASKED = {"breed": "breed", "coat": "coat", "origin": "origin"}


def edit(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Change facts, each field merged by what its author saw."""
    return {sent.op_id: _edit(run, sent) for sent in sents}


def _edit(run: Run, sent: Sent) -> Answer:
    subject = run.subject(sent)
    # Locked, so that what is compared now still stands when it is written.
    rows = Animal.objects.of(run.outfit).select_for_update(of=("self",))
    animal = rows.filter(pk=subject).first() if subject else None
    if animal is None:
        return Answer(OperationStatus.HELD, [{"pointer": "/subject/animal", "detail": WAITS}])
    wanted = sent.body.get("set")
    try:
        fields = _fields(wanted)
    except ValueError as problem:
        return refused(str(problem), "/set")
    taken, conflicts = _merged(animal, fields)
    if taken:
        try:
            with transaction.atomic():
                facts = {name: fields[name][1] for name in taken}
                entry = run.entry("Corrected facts")
                animals.correct(entry=entry, animal=animal, facts=facts, reason="changed on the device")
        except Refused as problem:
            return refused_by_record(problem)
    if conflicts:
        return _ask(run, sent, animal, fields, conflicts)
    whole = len(taken) == len(fields)
    return Answer(OperationStatus.APPLIED if whole else OperationStatus.MERGED, animal=animal.pk)


def _fields(wanted: Any) -> dict[str, tuple[Any, Any]]:
    """Each field with what was seen and what is wanted, on canonical values; raises ValueError with a sentence."""
    if not isinstance(wanted, dict) or not wanted:
        raise ValueError("An edit sets at least one field.")
    found = {}
    for name, change in wanted.items():
        column = {"dam": "dam_id", "sire": "sire_id"}.get(name, name)
        if column not in EDITABLE_FACTS:
            raise ValueError(f"An animal has no fact called {name[:40]}.")
        if not isinstance(change, dict) or not {"from", "to"} <= set(change):
            raise ValueError(f"{name} needs what it was before, as `from`, and what it shall be, as `to`.")
        found[column] = (canonical(column, change["from"]), canonical(column, change["to"]))
    return found


def canonical(column: str, value: Any) -> Any:
    """A fact's value as the record holds it; raises ValueError."""
    if column in DAYS:
        return date.fromisoformat(str(value)) if value else None
    if column in IDS:
        return UUID(str(value)) if value else None
    text, about = " ".join(str(value or "").split()), COLUMNS[column]
    if about.max_length is not None and len(text) > about.max_length:
        raise ValueError(f"{text[:20]!r}... has more than {about.max_length} characters.")
    if text and about.choices and text not in dict(about.flatchoices):
        raise ValueError(f"{text[:20]!r} is nothing that {about.verbose_name} can be.")
    return text


def _merged(animal: Animal, fields: Mapping[str, tuple[Any, Any]]) -> tuple[set[str], set[str]]:
    """The fields to be taken, and those that another has changed meanwhile."""
    states = {name: merge_field(seen, to, getattr(animal, name)) for name, (seen, to) in fields.items()}
    for group in TOGETHER:
        if any(states.get(name) is Merge.CONFLICT for name in group):
            states.update({name: Merge.CONFLICT for name in group if name in states})
    return (
        {name for name, state in states.items() if state is Merge.TAKE},
        {name for name, state in states.items() if state is Merge.CONFLICT},
    )


def _ask(
    run: Run, sent: Sent, animal: Animal, fields: Mapping[str, tuple[Any, Any]], conflicts: set[str]
) -> Answer:
    """Put to a person what another has changed meanwhile, with what each side has."""
    kept = {
        name: {"from": _plain(fields[name][0]), "to": _plain(fields[name][1]), "now": _plain(getattr(animal, name))}
        for name in sorted(conflicts)
    }
    readings: dict[str, Any] = {"seen": {name: _plain(fields[name][0]) for name in conflicts}}
    for name in conflicts:
        readings |= _reading(run, name, fields)
    row = run.row(sent, **readings)
    row.readings.pop("day", None)
    answer = judge_rows(run, [(sent, row)], "Corrected facts")[sent.op_id]
    answer.kept = kept
    return answer


def _reading(run: Run, name: str, fields: Mapping[str, tuple[Any, Any]]) -> dict[str, Any]:
    """A fact as a line of a file would say it."""
    to = fields[name][1]
    if name in ASKED:
        return {ASKED[name]: to}
    if name == "born_on" and to:
        precision = fields.get("born_precision", ("", "day"))[1]
        return {"born": {"on": to.isoformat(), "precision": precision or "day"}}
    if name == "entry_class":
        return {"animal_class": {"class": to}}
    if name == "entered_on" and to:
        return {"entered": to.isoformat()}
    if name in IDS and to:
        worn = TagWearing.objects.of(run.outfit).filter(animal=to, ended="").select_related("tag").order_by("kind")
        first = worn.first()
        return {name.removesuffix("_id"): {"kind": first.kind, "number": first.tag.number}} if first else {}
    return {}


def _plain(value: Any) -> Any:
    return value if value is None or isinstance(value, str) else str(value)


def register(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Register animals that a device has made."""
    return {sent.op_id: _register(run, sent) for sent in sents}


def _register(run: Run, sent: Sent) -> Answer:
    """Register an animal under the device's id, unless a number of it is on another: that is judged as a line is."""
    if sent.animal is None:
        return refused("An animal that is registered needs an id of the device's making.", "/subject/animal")
    if run.subject(sent) is not None:
        return Answer(OperationStatus.APPLIED, animal=run.subject(sent))
    if Animal.objects.filter(pk=sent.animal).exists():
        return refused("That id belongs to another animal.", "/subject/animal")
    try:
        facts, tags = _facts(sent.data), _tags(sent.data)
    except ValueError as problem:
        return refused(str(problem), "/data")
    if any(_is_worn(run, tag) for tag in tags):
        return judge_rows(run, [(sent, _as_line(run, sent, facts, tags))], "Registered on a device")[sent.op_id]
    group = sent.data.get("group")
    try:
        with transaction.atomic():
            animals.register(
                entry=run.entry(f"Registered {tags[0]['number'] if tags else 'an animal without a tag'}"),
                facts=facts,
                tags=tags,
                group_id=_group(run, group),
                on=run.day(sent),
                animal_id=sent.animal,
            )
    except Refused as problem:
        return refused_by_record(problem)
    return Answer(OperationStatus.APPLIED, animal=sent.animal)


def _as_line(run: Run, sent: Sent, facts: dict[str, Any], tags: list[dict[str, Any]]) -> Row:
    """A registration as a line of a herd list would say it."""
    readings: dict[str, Any] = {
        READING_KEYS[tag["kind"]]: tag["number"] for tag in tags if tag["kind"] in READING_KEYS
    }
    fields = {name: (None, value) for name, value in facts.items() if value}
    for name in fields:
        readings |= _reading(run, name, fields)
    group = _group(run, sent.data.get("group"))
    place = Group.objects.of(run.outfit).filter(pk=group).first() if group else None
    return run.row(sent, **readings, **({"group": place.name} if place else {}))


def _facts(data: Mapping[str, Any]) -> dict[str, Any]:
    given = data.get("facts", {})
    if not isinstance(given, dict):
        raise ValueError("The facts of an animal are an object.")
    found = {}
    for name, value in given.items():
        column = {"dam": "dam_id", "sire": "sire_id"}.get(name, name)
        if column not in EDITABLE_FACTS:
            raise ValueError(f"An animal has no fact called {name[:40]}.")
        found[column] = canonical(column, value)
    return found


def _tags(data: Mapping[str, Any]) -> list[dict[str, Any]]:
    found, given = [], data.get("tags", [])
    if not isinstance(given, list):
        raise ValueError("The tags of an animal are a list.")
    for tag in given:
        if not isinstance(tag, dict) or tag.get("kind") not in TagKind.values:
            raise ValueError("A tag needs its kind and its number.")
        try:
            read = read_tag_number(tag["kind"], str(tag.get("number", "")))
        except Unreadable as problem:
            raise ValueError(problem.reason) from problem
        colour = str(tag.get("colour") or read.colour)[:12] if tag["kind"] == TagKind.VID else ""
        found.append({"kind": tag["kind"], "number": read.number, "colour": colour})
    return found


def _is_worn(run: Run, tag: Mapping[str, Any]) -> bool:
    return wearings_of(run.outfit, tag["kind"], tag["number"]).filter(tag__colour=tag["colour"]).exists()


def _group(run: Run, value: Any) -> UUID | None:
    """The group that the device put it in, if it still is one."""
    try:
        key = UUID(str(value))
    except ValueError:
        return None
    return key if Group.objects.of(run.outfit).filter(pk=key).exists() else None
