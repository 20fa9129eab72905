"""Sites rigged: their table, ropes and limits as arrays, made from one site's figures each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from atlas.rigging.fixtures import Stand
from atlas.rigging.limits import ForceLimit, governing, least_rule, most_forces
from atlas.rigging.setups import CarriageSetup, table_of
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import CLEARANCE, Ropes

__all__ = ["Rigged", "RopeBounds", "Site", "cause_code"]

_TRACK = (Stand.TENSION, Stand.RESULTANT, Stand.NEAR_TIE, Stand.FAR_TIE)
"""What stands the loaded track line: its own parts and its two anchors."""


@dataclass(frozen=True, slots=True)
class RopeBounds:
    """EA of the rope and its bounds [N], and what lock-off loses [m]."""

    stiffness_n: float
    low_n: float
    high_n: float
    seating_m: float


@dataclass(frozen=True, slots=True)
class Site:
    """One site rigged.

    Attributes
    ----------
    limits : on forces
    rules : on set tension, as (code, most [N])
    """

    setup: CarriageSetup
    bounds: RopeBounds
    limits: tuple[ForceLimit, ...]
    rules: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Rigged:
    """Sites rigged.

    Attributes
    ----------
    table : of `table_of`
    most_n : greatest forces, shape (rows of `Stand`, sites)
    track_most_n : those of the loaded track line alone
    rule_most_n : greatest set tension by rule, shape (sites,)
    """

    sites: tuple[Site, ...]
    table: FloatArray
    ropes: Ropes
    most_n: FloatArray
    track_most_n: FloatArray
    rule_most_n: FloatArray

    @classmethod
    def of(cls, sites: Sequence[Site]) -> Rigged:
        """Arrays of some sites."""
        limits = [site.limits for site in sites]
        bounds = np.array(
            [(site.bounds.low_n, site.bounds.high_n, site.bounds.seating_m) for site in sites],
            dtype=np.float64,
        ).T
        return cls(
            sites=tuple(sites),
            table=table_of([site.setup for site in sites]),
            ropes=Ropes(bounds[0], bounds[1], bounds[2]),
            most_n=most_forces(limits),
            track_most_n=most_forces(limits, stands=_TRACK),
            rule_most_n=np.array([least_rule(site.rules)[1] for site in sites]),
        )


def cause_code(site: Site, cause: int) -> str:
    """Code of what is met: of the limit on that row of `Stand`, or ``clearance``."""
    if cause == CLEARANCE:
        return "clearance"
    return governing(site.limits, Stand(cause)).code
