"""Makes this installation the place where the record is decided, where the one that it followed is gone."""

from uuid import uuid4

from django.db import transaction

from herd.intake.models import ProcessingDay
from herd.ledger.models import FeedCounter
from herd.sync.models import Operation, Receipt, Upstream


@transaction.atomic
def decide_here(upstream: Upstream) -> None:
    """Follow no longer: what is here is the record, with all that had not been sent; copied days are at home here.

    The feed has a new epoch, so that devices and other installations ask what is known, and send again what is not.
    """
    outfit = upstream.outfit
    FeedCounter.objects.filter(outfit=outfit).update(epoch=uuid4())
    ProcessingDay.objects.filter(outfit=outfit).exclude(home="").update(home="", copied={})
    Operation.objects.filter(outfit=outfit, awaits=True).update(awaits=False)
    Receipt.objects.filter(outfit=outfit).delete()
    upstream.delete()
