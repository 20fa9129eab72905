"""The limits of a rigged site: the speed, and the stage, from which a case is outside plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.rigged import Rigged
from atlas.rigging.rising import RisingSites
from atlas.rigging.search import Search
from atlas.rigging.shown import FloatArray
from atlas.rigging.water_cases import WaterCases
from atlas.rigging.worlds import Worlds

__all__ = ["LimitSpeed", "limit_speed_search", "limit_stage_search"]

_SPEEDS = 6
_CLOSE_M_S, _CLOSE_M = 1e-5, 1e-5


@dataclass(frozen=True, slots=True)
class LimitSpeed:
    """The limit [m/s] and the code of what is met first just past it."""

    speed_m_s: float
    governed_by: str


def limit_speed_search(
    rigged: Rigged, cases: WaterCases, worlds: Worlds, *, speed_most_m_s: FloatArray
) -> Search:
    """First design speed at which a case leaves the plan, the geometry held.

    Parameters
    ----------
    worlds : one for each site at the stage's geometry, with what the haul sets; its drag is not looked at
    speed_most_m_s : where the search ends, shape (sites,)

    Notes
    -----
    The margin need not fall steadily with speed, so the first speed of a grid with a negative margin is
    taken and the root before it bracketed: the limit is never past the first failure seen.
    """

    def at(speed_m_s: FloatArray, which: Index) -> Worlds:
        one = worlds.part(which)
        return cases.worlds(
            one.site,
            speed_m_s=speed_m_s,
            water_rise_m=one.water_rise_m,
            set_least_n=one.set_least_n,
            set_most_n=one.set_most_n,
            from_m=one.from_m,
            to_m=one.to_m,
            tended=one.tended,
        ).between(one.near_edge_m, one.far_edge_m)

    speeds = speed_most_m_s[:, np.newaxis] * np.linspace(0.0, 1.0, _SPEEDS)
    return Search(at, speeds, rigged.most_n, hangs=True, width=_CLOSE_M_S)


def limit_stage_search(
    rigged: Rigged,
    rising: RisingSites,
    *,
    ways_m: FloatArray,
    set_least_n: FloatArray,
    set_most_n: FloatArray,
) -> Search:
    """First place on the water's way at which a case leaves the plan, geometry and speed moving together.

    Parameters
    ----------
    ways_m : never falling, shape (sites, places): the first failure in the row is looked for
    set_least_n, set_most_n : by the haul, shape (sites,)
    """

    def at(way_m: FloatArray, which: Index) -> Worlds:
        return rising.worlds(which, way_m=way_m, set_least_n=set_least_n[which], set_most_n=set_most_n[which])

    return Search(at, ways_m, rigged.most_n, hangs=True, width=_CLOSE_M)
