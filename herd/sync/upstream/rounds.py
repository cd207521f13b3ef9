"""One round with the other installation: send all that was written here, then become what was decided there."""

from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from herd.client.faults import Blocked, ClientError, Refused
from herd.client.wire import Wire
from herd.ledger.copied import Moved
from herd.registry.services.following import follow
from herd.sync.cursors import head_of
from herd.sync.models import Upstream
from herd.sync.upstream.days import drop_provisional, send_days, take_days, take_rulings
from herd.sync.upstream.epochs import NewEpoch, ask_what_is_known
from herd.sync.upstream.fetching import fetch
from herd.sync.upstream.kept import exchange_kept
from herd.sync.upstream.outbox import has_unsent
from herd.sync.upstream.sending import send_all
from herd.sync.upstream.waiting import ask_again

# While people and devices go on working here, a round is tried so often; what is then left goes with the next.
TRIES = 8
# Where we are in the other's feed and in our own.
PLACE = ["epoch", "cursor", "settled_to", "takes_anew"]


@dataclass(slots=True)
class Round:
    """What a round came to."""

    sent: int = 0
    came: int = 0
    is_whole: bool = False


def sync_once(upstream: Upstream, wire: Wire) -> Round:
    """Do one round and note how it went; raises Offline, Refused, Blocked."""
    upstream.tried_at = timezone.now()
    try:
        done = _round(upstream, wire)
    except ClientError as problem:
        upstream.problem, upstream.is_refused = str(problem)[:300], isinstance(problem, Refused | Blocked)
        upstream.save(update_fields=["tried_at", "problem", "is_refused"])
        raise
    upstream.problem, upstream.is_refused = "", False
    if done.is_whole:
        upstream.synced_at = timezone.now()
    upstream.save(update_fields=["tried_at", "problem", "is_refused", "synced_at"])
    return done


def _round(upstream: Upstream, wire: Wire) -> Round:
    done = Round()
    for _ in range(TRIES):
        upstream.refresh_from_db(fields=PLACE)
        try:
            done.sent += send_all(upstream, wire)
            expected = head_of(upstream.outfit).position
            if has_unsent(upstream):
                continue
            done.came = _take(upstream, wire, expected)
            ask_again(upstream, wire)
            drop_provisional(upstream)
            take_days(upstream, wire)
            take_rulings(upstream, wire)
            send_days(upstream, wire)
            done.sent += exchange_kept(upstream, wire)
        except NewEpoch:
            ask_what_is_known(upstream, wire)
        except Moved:
            continue
        else:
            done.is_whole = True
            return done
    return done


def _take(upstream: Upstream, wire: Wire, expected: int) -> int:
    """Fetch, then write all of it and the new cursor in one transaction."""
    found = fetch(upstream, wire)
    with transaction.atomic():
        # Another process may have done a round meanwhile.
        held = Upstream.objects.select_for_update(of=("self",)).get(pk=upstream.pk)
        if any(getattr(held, name) != getattr(upstream, name) for name in PLACE):
            raise Moved
        settled = 0 if upstream.takes_anew else upstream.settled_to
        if found.news.changes or found.news.rows or found.news.absent or expected != settled:
            expected = follow(upstream.outfit, found.news, settled_to=settled, expected=expected)
        upstream.cursor, upstream.settled_to, upstream.takes_anew = found.cursor, expected, False
        upstream.save(update_fields=["cursor", "settled_to", "takes_anew"])
    return len(found.news.changes)
