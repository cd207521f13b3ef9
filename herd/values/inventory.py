"""Head counts that have to balance: opening, what came, what went, and closing, class by class."""

from collections.abc import Mapping
from dataclasses import dataclass, fields

SOURCE = "reconciliation as in Hughes, Calculating gross income; organic livestock form 205-51"


@dataclass(frozen=True, slots=True)
class Flow:
    """Head of one class over a time; `closing` is what was counted at its end, None where nobody counted.

    `class_in` and `class_out` are those that became this class and that became another one here. Raises
    ValueError for a count below zero.
    """

    opening: int
    births: int = 0
    purchases: int = 0
    transfers_in: int = 0
    found: int = 0
    class_in: int = 0
    sales: int = 0
    deaths: int = 0
    transfers_out: int = 0
    missing: int = 0
    class_out: int = 0
    closing: int | None = None

    def __post_init__(self) -> None:
        for one in fields(self):
            if (getattr(self, one.name) or 0) < 0:
                raise ValueError(f"The count of {one.name.replace('_', ' ')} can't be below zero.")

    @property
    def came(self) -> int:
        """Head that came, by whatever way."""
        return self.births + self.purchases + self.transfers_in + self.found + self.class_in

    @property
    def went(self) -> int:
        """Head that went, by whatever way."""
        return self.sales + self.deaths + self.transfers_out + self.missing + self.class_out

    @property
    def expected(self) -> int:
        """Closing head as the movements have it; below zero where more went than there were."""
        return self.opening + self.came - self.went

    @property
    def gap(self) -> int:
        """Counted less expected head: above zero for too many; 0 where nobody counted."""
        return 0 if self.closing is None else self.closing - self.expected


@dataclass(frozen=True, slots=True)
class Reconciliation:
    """The flows by class, their sum, and every reason why they don't balance, in sentences."""

    by_class: Mapping[str, Flow]
    total: Flow
    reasons: tuple[str, ...]

    @property
    def is_balanced(self) -> bool:
        """Whether nothing is left to explain."""
        return not self.reasons


def reconcile(by_class: Mapping[str, Flow]) -> Reconciliation:
    """Check that each class and the whole herd balance, and say by how much they don't.

    closing = opening + births + purchases + transfers in + found - sales - deaths - transfers out - missing, and
    by class what became it less what became another; these two sum to the same over all classes. The whole is
    counted only where every class was. Source: H. Hughes, "Calculating gross income"; organic livestock form.
    """
    total = _total(by_class)
    reasons = [reason for name, flow in by_class.items() for reason in _class_reasons(name, flow)]
    if total.class_in != total.class_out:
        reasons.append(
            f"{total.class_in} head became another class, but {total.class_out} stopped being one:"
            f" {_head(abs(total.class_in - total.class_out))} unexplained."
        )
    return Reconciliation(dict(by_class), total, tuple(reasons))


def follows_on(before: Mapping[str, Flow], after: Mapping[str, Flow]) -> tuple[str, ...]:
    """Sentences where a time's opening isn't the closing of the one before (expected where nobody counted)."""
    names = list(dict.fromkeys([*before, *after]))
    found = []
    for name in names:
        left = before.get(name, Flow(0))
        closed = left.expected if left.closing is None else left.closing
        opened = after.get(name, Flow(0)).opening
        if closed != opened:
            found.append(f"{_named(name)} closed at {closed} and opened at {opened}.")
    return tuple(found)


def _class_reasons(name: str, flow: Flow) -> list[str]:
    found = []
    if flow.expected < 0:
        found.append(f"{_named(name)}: {_head(-flow.expected)} more went than there were.")
    if flow.gap:
        way = "too many" if flow.gap > 0 else "too few"
        found.append(
            f"{_named(name)}: {flow.closing} counted, {flow.expected} expected, {_head(abs(flow.gap))} {way}."
        )
    return found


def _total(by_class: Mapping[str, Flow]) -> Flow:
    counts = {
        one.name: sum(getattr(flow, one.name) or 0 for flow in by_class.values())
        for one in fields(Flow)
        if one.name != "closing"
    }
    closings = [flow.closing for flow in by_class.values()]
    counted = [closing for closing in closings if closing is not None]
    closing = sum(counted) if counted and len(counted) == len(closings) else None
    return Flow(**counts, closing=closing)


def _named(name: str) -> str:
    return name[:1].upper() + name[1:]


def _head(count: int) -> str:
    return f"{count} head"
