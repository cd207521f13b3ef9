"""Loads the invented outfit, once."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from herd.accounts.models import Outfit, OutfitPerson, Person, Role
from herd.config.demo.files import make_files
from herd.config.demo.herd import Piece
from herd.config.demo.places import MILL_TRAP
from herd.config.demo.workday import Workday, plan_workday
from herd.config.demo.years import play_through
from herd.intake.days import GivenFile, open_day
from herd.intake.models import DayState, ProcessingDay
from herd.intake.pipeline import run
from herd.ledger.entry import Entry
from herd.ledger.models import ChangesetKind
from herd.registry.models import Group, TagWearing
from herd.registry.services.batch import Batch, PutOn, TakeOff
from herd.registry.services.writer import write

NAME, CODE = "Kettle Bench", "kettle-bench"
USERNAME, PASSWORD = "demo", "kettle-bench"
DAY_NAME = "Weaning and preg check, Mill Trap"


@dataclass(frozen=True, slots=True)
class SignIn:
    """What a person types to look around."""

    username: str
    password: str
    outfit_code: str


SIGN_IN = SignIn(USERNAME, PASSWORD, CODE)


def load(say: Callable[[str], None], *, today: date | None = None) -> SignIn:
    """Make the outfit with its herd, three years of work and a day that waits; a second call changes nothing.

    `today` is the outfit's own day unless given; the herd of one day is the same each time it is made.
    All or nothing: what was broken off leaves no trace, so that the next call starts afresh.
    """
    if not Outfit.objects.filter(code=CODE).exists():
        _make(say, today)
    for day in ProcessingDay.objects.filter(outfit__code=CODE, state=DayState.WORKING):
        run(day)
    return SIGN_IN


def _make(say: Callable[[str], None], today: date | None) -> None:
    with transaction.atomic():
        outfit, person = _make_outfit()
        play = play_through(today or datetime.now(outfit.zone).date())
        workday = plan_workday(play)
        say(f"Making {NAME}: {len(play.heads)} animals in three years.")
        for piece in play.pieces:
            _write(outfit, person, piece)
        say("Staging the files of a working day.")
        _open(outfit, person, workday)


def _make_outfit() -> tuple[Outfit, Person]:
    outfit = Outfit.objects.create(code=CODE, name=NAME, time_zone="America/Denver", weight_unit="lb")
    person = Person.objects.create_user(username=USERNAME, password=PASSWORD)
    OutfitPerson.objects.create(outfit=outfit, person=person, role=Role.OWNER)
    return outfit, person


def _write(outfit: Outfit, person: Person, piece: Piece) -> None:
    kind = ChangesetKind.SETUP if piece.title == "Herd list" else ChangesetKind.OFFICE
    write(Entry(outfit, person, kind, piece.title), piece.batch)
    if piece.retags:
        write(Entry(outfit, person, kind, f"Retags, {piece.title.lower()}"), _retags(outfit, piece))


def _retags(outfit: Outfit, piece: Piece) -> Batch:
    """Take lost EIDs off and put the new ones on, both numbers in one changeset."""
    animals = [one.id for one, *_ in piece.retags]
    worn = TagWearing.objects.of(outfit).filter(animal__in=animals, kind="eid", ended="")
    wearings = dict(worn.values_list("animal_id", "pk"))
    batch = Batch()
    for one, eid, on, ended in piece.retags:
        batch.take_off.append(TakeOff(wearings[one.id], on, ended))
        batch.put_on.append(PutOn(one.id, "eid", eid, worn_from=on, began="retagged"))
    return batch


def _open(outfit: Outfit, person: Person, workday: Workday) -> None:
    open_day(
        outfit=outfit,
        person=person,
        name=DAY_NAME,
        worked_on=workday.day,
        group=Group.objects.of(outfit).get(name=MILL_TRAP),
        files=[GivenFile(file.name, file.content) for file in make_files(workday)],
    )
