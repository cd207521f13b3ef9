"""Loads an archive into this installation: all of it in one transaction, or nothing."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any
from uuid import UUID

from django.db import DatabaseError, IntegrityError, models, transaction
from django.db.models.functions import Lower

from herd.accounts.models import Outfit, Person
from herd.archive import manifest
from herd.archive.loaded import check_loaded
from herd.archive.manifest import Manifest, Part
from herd.archive.refused import ArchiveRefused
from herd.archive.rowtext import LineReader
from herd.archive.schema import is_older
from herd.archive.tables import TABLES, ArchiveTable, file_entry
from herd.archive.unpacking import Archive
from herd.intake.models import FieldFile
from herd.ledger.models import FeedCounter
from herd.ledger.rows import in_steps, insert_rows
from herd.values.identity import new_id

STEP = 2_000

Say = Callable[[str], object]


@dataclass(frozen=True, slots=True)
class Restored:
    """What came in; people who were here already kept their password and name."""

    contents: Manifest
    people_known: int
    without_password: tuple[str, ...]
    renamed: tuple[str, ...]


def restore(archive: Archive, *, rename_people: bool = False, say: Say = lambda _: None) -> Restored:
    """Verify an archive and load it; each outfit's feed begins a new epoch at the position it had.

    With `rename_people` someone whose user name is another person's here comes in as name.outfit. Raises
    ArchiveRefused, with nothing changed, for whatever is not as it was written, for outfits that are here already,
    and for a whole installation where there are outfits.
    """
    contents = archive.contents
    older = is_older(contents.schema)
    _check_tables(contents, is_older_archive=older)
    archive.verify()
    say("Verified: every file is as it was written.")
    with transaction.atomic():
        _check_room(contents)
        people = _People(beside_others=Outfit.objects.exists(), rename=rename_people, code=_code_of(contents))
        parts = {part.name: part for part in contents.parts}
        for table in TABLES:
            if table.entry in parts:
                rows = _rows(archive, table, parts[table.entry], is_older_archive=older)
                _load(table, _shaped(archive, table, rows, people, parts))
                say(f"{table.label}: {parts[table.entry].rows} rows")
        check_loaded(contents)
        say("Checked: every row that another names is there.")
    return Restored(contents, people.known, tuple(people.without_password), tuple(people.renamed))


def _check_tables(contents: Manifest, *, is_older_archive: bool) -> None:
    ours = {table.entry for table in TABLES}
    given = {part.name for part in contents.tables}
    if unknown := sorted(given - ours):
        raise ArchiveRefused(f"{unknown[0]} is no table that this program knows.")
    if not is_older_archive and (missing := sorted(ours - given)):
        raise ArchiveRefused(f"{missing[0]} is missing from the list of contents.")


def _check_room(contents: Manifest) -> None:
    """Refuse outfits that are here, by id or code, and a whole installation beside any."""
    here = list(Outfit.objects.annotate(plain=Lower("code")).values_list("pk", "plain", "name"))
    if contents.kind == manifest.INSTALLATION and here:
        raise ArchiveRefused(
            f"This is the backup of a whole installation, and there are outfits here ({here[0][2]}). It comes back "
            "only into an empty installation: start one in another folder (NOTCHBOOK_VAR) and restore there."
        )
    for given in contents.outfits:
        if any(str(pk) == given.id or code == given.code.lower() for pk, code, _ in here):
            raise ArchiveRefused(
                f"{given.name} ({given.code}) is here already and was left as it is. To look at the archive, "
                "restore it into an empty installation in another folder (NOTCHBOOK_VAR)."
            )


def _code_of(contents: Manifest) -> str:
    return contents.outfits[0].code if contents.outfits else ""


def _rows(archive: Archive, table: ArchiveTable, part: Part, *, is_older_archive: bool) -> Iterator[models.Model]:
    reader = LineReader(table, is_older=is_older_archive)
    return (reader.row(line) for line in archive.lines(part))


def _shaped(
    archive: Archive, table: ArchiveTable, rows: Iterator[Any], people: "_People", parts: dict[str, Part]
) -> Iterator[Any]:
    """Give rows what does not stand in their line: a file its bytes, a counter its epoch, people their place."""
    if table.model is Person:
        return people.admitted(rows)
    if table.model is FeedCounter:
        return _in_new_epoch(rows)
    if table.model is FieldFile:
        return _with_bytes(archive, rows, parts)
    return rows


def _in_new_epoch(rows: Iterator[FeedCounter]) -> Iterator[FeedCounter]:
    # Whoever followed the feed before may have seen positions that the archive does not hold.
    for counter in rows:
        counter.epoch = new_id()
        yield counter


def _with_bytes(archive: Archive, rows: Iterator[FieldFile], parts: dict[str, Part]) -> Iterator[FieldFile]:
    for file in rows:
        name = file_entry(file.day_id, file.pk)
        if name not in parts:
            raise ArchiveRefused(f"{name}, the bytes of the field file {file.name}, is missing from the archive.")
        file.content = archive.content(parts[name])
        yield file


def _load(table: ArchiveTable, rows: Iterator[models.Model]) -> None:
    # A field file's bytes are held one at a time.
    step = 1 if table.model is FieldFile else STEP
    try:
        while some := list(islice(rows, step)):
            insert_rows(some)
    except IntegrityError as problem:
        raise ArchiveRefused(f"{table.entry} has a row that is here already or breaks a rule: {problem}") from problem
    except DatabaseError as problem:
        raise ArchiveRefused(f"The database refused a row of {table.entry}: {problem}") from problem


class _People:
    """Decides who of the archive comes in, and under which user name."""

    def __init__(self, *, beside_others: bool, rename: bool, code: str) -> None:
        self._beside_others = beside_others
        self._rename = rename
        self._code = code
        self.known = 0
        self.without_password: list[str] = []
        self.renamed: list[str] = []

    def admitted(self, rows: Iterator[Person]) -> Iterator[Person]:
        """Yield those who are new here; someone known by id stays as they are."""
        for some in _in_lots(rows):
            ids = {one.pk for one in some}
            here: dict[UUID, str] = {}
            for names in in_steps({one.username for one in some}):
                here |= dict(Person.objects.filter(username__in=names).values_list("pk", "username"))
            known = set(Person.objects.filter(pk__in=ids).values_list("pk", flat=True))
            self.known += len(known)
            taken = set(here.values())
            for person in some:
                if person.pk not in known:
                    yield self._prepared(person, is_taken=person.username in taken)

    def _prepared(self, person: Person, *, is_taken: bool) -> Person:
        if is_taken:
            self._take_other_name(person)
        if self._beside_others:
            # An archive gives nobody a say over outfits that were here before it.
            person.is_superuser = person.is_staff = False
        if not person.has_usable_password():
            self.without_password.append(person.username)
        return person

    def _take_other_name(self, person: Person) -> None:
        if not self._rename:
            raise ArchiveRefused(
                f"Someone else signs in here as {person.username}. With --rename-people the one of the archive "
                f"comes in as {person.username}.{self._code}."
            )
        old, person.username = person.username, f"{person.username}.{self._code}"[:150]
        self.renamed.append(f"{old} signs in as {person.username}")


def _in_lots(rows: Iterator[Person]) -> Iterator[list[Person]]:
    while some := list(islice(rows, 500)):
        yield some
