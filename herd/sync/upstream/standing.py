"""How an outfit stands with the installation that it follows: what is on its way, and what came back."""

from dataclasses import dataclass

from herd.accounts.models import Outfit
from herd.ledger.models import Change, Changeset
from herd.sync.models import Device, DeviceKind, Operation, OperationStatus, Receipt, Upstream

WAITS = (OperationStatus.REVIEW, OperationStatus.HELD)
MOST_SHOWN = 100


@dataclass(frozen=True, slots=True)
class CameBack:
    """Something of ours that is not in the record as it was written, and why."""

    title: str
    status: str
    reasons: list[str]


@dataclass(frozen=True, slots=True)
class Standing:
    """With whom, and how many changesets and operations of devices are unsent; what came back, latest first."""

    upstream: Upstream
    changesets: int
    operations: int
    came_back: list[CameBack]


def standing_of(outfit: Outfit) -> Standing | None:
    """How the outfit stands; None where its record is decided here."""
    upstream = Upstream.objects.filter(outfit=outfit).first()
    if upstream is None:
        return None
    own = Change.objects.filter(outfit=outfit, position__gt=upstream.settled_to)
    answered = Receipt.objects.filter(outfit=outfit).exclude(status="").values("op_id")
    rows = Changeset.objects.filter(pk__in=own.values("changeset"), is_performed=False).exclude(pk__in=answered)
    packed = Receipt.objects.filter(outfit=outfit, status="").exclude(op_id__in=rows.values("pk"))
    operations = Operation.objects.filter(outfit=outfit, awaits=True)
    return Standing(upstream, rows.count() + packed.count(), operations.count(), _came_back(outfit))


def siblings_of(outfit: Outfit) -> list[Device]:
    """Other installations that follow this one."""
    return list(Device.objects.filter(outfit=outfit, kind=DeviceKind.SIBLING))


def _came_back(outfit: Outfit) -> list[CameBack]:
    rows = Receipt.objects.filter(outfit=outfit).order_by("-written_at", "-pk")
    found = [one for one in rows.exclude(status__in=["", OperationStatus.APPLIED])[: MOST_SHOWN * 4] if _is_told(one)]
    titles = _titles(found[:MOST_SHOWN])
    return [
        CameBack(
            titles.get(str(one.op_id), "Something written here"),
            dict(OperationStatus.choices).get(OperationStatus(one.status), one.status),
            [str(reason.get("detail", "")) for reason in one.answer.get("reasons", [])],
        )
        for one in found[:MOST_SHOWN]
    ]


def _is_told(one: Receipt) -> bool:
    """Whether more is to be said of it than that others wrote as well."""
    return one.status != OperationStatus.MERGED or bool(one.answer.get("reasons"))


def _titles(receipts: list[Receipt]) -> dict[str, str]:
    ids = [one.op_id for one in receipts]
    found = {str(one.pk): one.title for one in Changeset.objects.filter(pk__in=ids)}
    for one in receipts:
        if isinstance(one.body, dict) and one.body.get("title"):
            found[str(one.op_id)] = str(one.body["title"])
    for sent in Operation.objects.filter(op_id__in=ids).select_related("device"):
        found[str(sent.op_id)] = f"{sent.kind.replace('.', ' ')} sent by {sent.device}"
    return found
