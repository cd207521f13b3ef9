"""The calves of a season by period: from where its periods count, and why there can be none."""

from datetime import date

from herd.reports.calving import Season
from herd.values.calvingperiods import Distribution, calving_distribution, season_start
from herd.values.policy import Policy, StartRule


def start_rule(policy: Policy, asked: StartRule | None, bred: date | None) -> StartRule:
    """How day 1 is found: as asked, else as set; from the third calf where the first day of breeding isn't given."""
    if asked is None and policy.calving_start is StartRule.BREEDING and bred is None:
        return StartRule.THIRD_CALF
    return asked or policy.calving_start


def spread_of_season(season: Season, policy: Policy, bred: date | None) -> tuple[Distribution | None, str]:
    """The calves by period, or None and the reason in words."""
    calvings = season.calvings()
    try:
        start = season_start(calvings, breeding_from=bred, policy=policy)
        return calving_distribution(calvings, start, policy=policy), ""
    except ValueError as why:
        return None, str(why)
