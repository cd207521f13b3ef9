"""The daily backup, which the worker makes where the settings ask for it."""

import logging
from datetime import timedelta
from pathlib import Path

from celery import shared_task
from django.conf import settings
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.archive.backups import back_up, backups_in
from herd.archive.refused import ArchiveRefused

logger = logging.getLogger(__name__)

DAY = timedelta(hours=24)


@shared_task(name="archive.back_up_daily")
def back_up_daily() -> None:
    """Make a backup, unless one was made within a day, none are to be kept, or there is nothing to keep yet."""
    folder, keep = Path(settings.BACKUP_DIR), settings.BACKUPS_KEPT
    now = timezone.now()
    # Either way, so that a clock that was wrong for a while neither stops backups nor makes one each hour.
    is_done = any(abs(now - one.made_at) < DAY for one in backups_in(folder))
    if not keep or is_done or not Outfit.objects.exists():
        return
    try:
        back_up(folder, keep=keep)
    except ArchiveRefused as refused:
        logger.error("The daily backup was not made. %s", refused)
