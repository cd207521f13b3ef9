"""Keeps records in step with other installations, as the worker is asked to again and again."""

import logging
from datetime import datetime, timedelta

from celery import shared_task
from django.utils import timezone

from herd.client.faults import ClientError
from herd.client.wire import Wire
from herd.sync.models import Upstream
from herd.sync.upstream.rounds import sync_once

logger = logging.getLogger(__name__)

# Without an answer the wait grows with the time since the last one; where we were refused a person has to act first.
LONGEST_WAIT = timedelta(minutes=5)
WAIT_REFUSED = timedelta(minutes=10)


@shared_task(name="sync.keep_in_step")
def keep_in_step() -> None:
    """Do a round for each outfit that follows another installation, where it is time for one."""
    for upstream in Upstream.objects.select_related("outfit"):
        if upstream.token and is_due(upstream, timezone.now()):
            _round(upstream)


def is_due(upstream: Upstream, now: datetime) -> bool:
    """Whether it is time to try, after tries that did not succeed."""
    if not upstream.problem or upstream.tried_at is None or now < upstream.tried_at:
        return True
    if upstream.is_refused:
        return now - upstream.tried_at >= WAIT_REFUSED
    failing = upstream.tried_at - (upstream.synced_at or upstream.tried_at)
    return now - upstream.tried_at >= min(LONGEST_WAIT, failing / 2)


def _round(upstream: Upstream) -> None:
    try:
        wire = Wire(upstream.url, lambda: upstream.token)
    except ClientError as problem:
        logger.error("%s: %s", upstream, problem)
        return
    try:
        sync_once(upstream, wire)
    except ClientError as problem:
        # It stands on the page; whoever looks at the log sees it there as well.
        logger.warning("%s: %s", upstream, problem)
    finally:
        wire.close()
