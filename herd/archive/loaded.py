"""What must be true of an archive once its rows are in the tables, before they are kept."""

from typing import Any

from django.db import IntegrityError, connection, models
from django.db.models import F

from herd.accounts.models import Outfit
from herd.archive.manifest import Manifest
from herd.archive.refused import ArchiveRefused
from herd.archive.tables import TABLES, ArchiveTable


def check_loaded(contents: Manifest) -> None:
    """Compare the tables with the list of contents; raises ArchiveRefused, and then the transaction is to fall."""
    outfits = list(Outfit.objects.filter(pk__in=[one.id for one in contents.outfits]))
    if len(outfits) != len(contents.outfits):
        raise ArchiveRefused("The list of contents names an outfit that is not in the archive.")
    rows = {part.name: part.rows for part in contents.tables}
    for table in TABLES:
        # People may be others' too; who is theirs follows from the tables that name them.
        if table.outfit:
            _check_owner(table, outfits, rows.get(table.entry, 0))
    try:
        connection.check_constraints()
    except IntegrityError as problem:
        raise ArchiveRefused(f"The archive is not whole: {problem}") from problem


def _check_owner(table: ArchiveTable, outfits: list[Outfit], expected: int) -> None:
    """Refuse rows that went to an outfit which is not the archive's, or that name a row of another outfit."""
    loaded = table.model._default_manager.filter(**{f"{table.outfit}__in": [outfit.pk for outfit in outfits]})
    count = loaded.count()
    if count != expected:
        raise ArchiveRefused(f"{table.entry} has {expected - count} rows that belong to no outfit of the archive.")
    if table.outfit != "outfit":
        return
    for field in table.model._meta.concrete_fields:
        if _names_outfits_rows(field):
            same = {f"{field.name}__isnull": False}
            strays = loaded.filter(**same).exclude(**{f"{field.name}__outfit": F("outfit")})
            if strays.exists():
                raise ArchiveRefused(f"{table.entry} has a row whose {field.name} is another outfit's.")


def _names_outfits_rows(field: Any) -> bool:
    """Whether a column points at rows that belong to one outfit."""
    if not field.is_relation or field.related_model is Outfit:
        return False
    owner = next((one for one in field.related_model._meta.concrete_fields if one.name == "outfit"), None)
    return isinstance(owner, models.ForeignKey | models.OneToOneField)
