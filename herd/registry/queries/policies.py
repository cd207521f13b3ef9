"""An outfit's own values of herd arithmetic, and the policy in force on a day."""

from datetime import date

from herd.accounts.models import Outfit
from herd.registry.models import PolicyValue
from herd.values.policyhistory import InForce, PolicyChange, PolicyHistory


def policies_of(outfit: Outfit) -> PolicyHistory:
    """All that the outfit has set, in one query; ask it for the policy of any day."""
    return PolicyHistory(change_of(row) for row in PolicyValue.objects.of(outfit))


def policy_on(outfit: Outfit, day: date) -> InForce:
    """The policy in force on a day."""
    return policies_of(outfit).on(day)


def change_of(row: PolicyValue) -> PolicyChange:
    """The row as herd arithmetic takes it."""
    return PolicyChange(row.key, row.in_force_from, None if row.is_published else row.text)
