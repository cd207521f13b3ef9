"""Answers kept for writes that programs ask for under a key of their own."""

from datetime import datetime, timedelta

from herd.accounts.models import KeptAnswer, Outfit

# A program that was offline for longer than this looks at the record before it tries again.
KEPT = timedelta(days=30)


def claim(*, outfit: Outfit, caller: str, key: str, digest: str, now: datetime) -> tuple[KeptAnswer, bool]:
    """Take a key for a write, and say whether it is new; inside the write's own transaction.

    Of two at once the second waits for the first, and then finds its answer.
    """
    KeptAnswer.objects.filter(outfit=outfit, made_at__lt=now - KEPT).delete()
    named = {"outfit": outfit, "caller": caller, "key": key}
    found, is_new = KeptAnswer.objects.get_or_create(**named, defaults={"digest": digest, "made_at": now})
    return found, is_new


def keep(answer: KeptAnswer, *, status: int, body: object, place: str) -> None:
    """Keep the answer beside its key."""
    answer.status, answer.body, answer.place = status, body, place
    answer.save(update_fields=["status", "body", "place"])
