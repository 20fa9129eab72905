"""Who can come to a site, and when: the first due first, the others by minutes."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from atlas.cover import Comer
from atlas.faults import NoSolution
from atlas.frame import geodesic_m
from atlas.records import Agency, Site
from atlas.settings import PolicyValues

__all__ = ["comers_of"]

_S_PER_MIN = 60.0


def _comer(agency: Agency, site: Site, policy: PolicyValues) -> Comer:
    """With the minutes its cache gives to the reach; else estimated from its station; else infinite."""
    for time in agency.minutes:
        if time.reach == site.access.reach:
            return Comer(agency, time.minutes)
    if agency.station is None:
        return Comer(agency, inf)
    rules = policy.travel
    road_m = geodesic_m(agency.station, site.access.place) * rules.detour
    return Comer(agency, road_m / rules.speed / _S_PER_MIN, estimated=True)


def comers_of(site: Site, agencies: Sequence[Agency], policy: PolicyValues) -> tuple[Comer, ...]:
    """The agencies that can come; where the site's own cannot, the soonest of the others stands first.

    Parameters
    ----------
    agencies : those that are not committed elsewhere

    Raises
    ------
    NoSolution
        There is none.
    """
    if not agencies:
        raise NoSolution("no agency can come: every one is committed elsewhere")
    comers = sorted(
        (_comer(agency, site, policy) for agency in agencies),
        key=lambda comer: (comer.agency.code != site.access.agency, comer.minutes, comer.agency.code),
    )
    return tuple(comers)
