"""The whole outfit as one file to take along, and what became of the installation's backups."""

from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.http import FileResponse, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from herd.accounts.models import OutfitPerson, Role
from herd.archive.backups import backups_in, lend_archive
from herd.archive.refused import ArchiveRefused
from herd.intake.models import FieldFile
from herd.ledger.models import FeedCounter
from herd.office.access import OfficeRequest, needs
from herd.office.today import today_of
from herd.registry.models import Animal

OLD = timedelta(days=7)


@require_safe
@needs(Role.OWNER)
def archive(request: OfficeRequest) -> HttpResponse:
    """What the archive holds, when the last backup was made, and how either comes back."""
    return _page(request)


@require_POST
@needs(Role.OWNER)
def file(request: OfficeRequest) -> HttpResponse | FileResponse:
    """Hand the archive out, made and verified at this moment."""
    try:
        lent = lend_archive(request.outfit, Path(settings.VAR_DIR))
    except ArchiveRefused as refused:
        return _page(request, problem=str(refused), status=507)
    name = f"{slugify(request.outfit.code)}-{today_of(request.outfit):%Y-%m-%d}.zip"
    answer = FileResponse(lent, as_attachment=True, filename=name, content_type="application/zip")
    # It holds the whole outfit: no copy of it stays in between.
    answer["Cache-Control"] = "no-store"
    return answer


def _page(request: OfficeRequest, *, problem: str = "", status: int = 200) -> HttpResponse:
    outfit = request.outfit
    newest = next(iter(backups_in(Path(settings.BACKUP_DIR))), None)
    counter = FeedCounter.objects.filter(outfit=outfit).first()
    context = {
        "here": "archive",
        "problem": problem,
        "head": Animal.objects.of(outfit).count(),
        "changes": counter.position if counter else 0,
        "files": FieldFile.objects.filter(day__outfit=outfit).count(),
        "people": OutfitPerson.objects.filter(outfit=outfit).count(),
        "backup": newest,
        "kept": settings.BACKUPS_KEPT,
        "is_old": newest is not None and timezone.now() - newest.made_at > OLD,
    }
    return render(request, "office/archive/archive.html", context, status=status)
