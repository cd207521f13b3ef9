"""A worked outfit, packed and then gone from the database, as on a machine that has never seen it."""

import io
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import pytest
from django.db import transaction

from herd.accounts.models import Outfit, Role
from herd.archive.manifest import Manifest
from herd.archive.packing import pack
from herd.archive.restoring import Restored, restore
from herd.archive.unpacking import open_archive
from herd.intake.models import FindingKind, ProcessingDay
from herd.intake.review import rule
from herd.ledger.models import Change, Changeset, FeedCounter
from herd.registry.models import Animal
from herd.registry.services import lists
from herd.registry.undo import undo
from tests.cast import entry, join_outfit
from tests.intake.field import apply, csv_file, eid, findings, herd, record, work

HERD = (417, 530, 688)
STRANGERS = (900_001, 911_113)


@dataclass(frozen=True, slots=True)
class Packed:
    """An archive in memory, its contents, and the record as it was printed before."""

    bytes: bytes
    contents: Manifest
    record: str


def work_a_while(outfit: Outfit) -> None:
    """A herd, an applied day, a day in review with one ruling and one open finding, a list row taken back."""
    ada = join_outfit(outfit, f"ada of {outfit.code}", Role.OWNER)
    animals = herd(outfit, HERD)
    apply(work(outfit, [csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"])]))
    lines = ["EID,Weight (lb)", *(f"{eid(one)},1100" for one in STRANGERS)]
    waiting = work(outfit, [csv_file("reader.csv", lines)], day=date(2025, 11, 3), name="Waits")
    first = findings(waiting, FindingKind.UNKNOWN_TAG)[0]
    rule(day=waiting, finding=first, choice=first.choices[0]["choice"], person=ada)
    ProcessingDay.objects.filter(pk=waiting.pk).update(made_by=ada, asked_by=ada)
    lists.add(entry=entry(outfit, ada), subject="breed", facts={"code": "AN", "name": "Angus \u2028 x"})
    undo(entry(outfit, ada), Changeset.objects.filter(outfit=outfit)[0])
    assert Animal.objects.of(outfit).filter(pk__in=animals.values()).count() == len(HERD)
    assert FeedCounter.objects.get(outfit=outfit).position == Change.objects.filter(outfit=outfit).count()


def pack_bytes(outfit: Outfit | None, *, with_passwords: bool = True) -> tuple[bytes, Manifest]:
    """Pack into memory."""
    into = io.BytesIO()
    contents = pack(into, outfit, with_passwords=with_passwords)
    return into.getvalue(), contents


def load(archive: bytes, *, rename_people: bool = False) -> Restored:
    """Restore from memory."""
    with open_archive(io.BytesIO(archive)) as opened:
        return restore(opened, rename_people=rename_people)


@pytest.fixture
def packed(db: None) -> Callable[..., Packed]:
    """Return a way to work an outfit, pack it, and have it gone."""

    def make(code: str = "kettle-bench", *, whole: bool = False, with_passwords: bool = True) -> Packed:
        with transaction.atomic():
            outfit = Outfit.objects.create(code=code, name=code.replace("-", " ").title())
            work_a_while(outfit)
            before = record(outfit)
            archive, contents = pack_bytes(None if whole else outfit, with_passwords=with_passwords)
            transaction.set_rollback(True)
        return Packed(archive, contents, before)

    return make
