"""Sites while their water rises: speed, width, travel and loads move together.

A site's water is a way through its stages: a chain of nodes, each with rise, speed and width, straight
between them. Just over the highest note the model's margin sets in; there the way goes on with speed and
width while the water stands still. So a limit that is met in between has its own speed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.shores import Shores
from atlas.rigging.shown import FloatArray
from atlas.rigging.water_cases import WaterCases
from atlas.rigging.worlds import Worlds

__all__ = ["RisingSites", "RisingWater", "way_of"]

_WAY_BY_SPEED_S = 0.25
"""So much way [m] goes with a change of speed of 1 m/s: about as much as water rises meanwhile."""


def way_of(rise_m: FloatArray, speed_m_s: FloatArray) -> FloatArray:
    """Way along nodes, growing with the rise and with every change of speed; 0 at the first [m]."""
    steps = np.abs(np.diff(rise_m)) + _WAY_BY_SPEED_S * np.abs(np.diff(speed_m_s))
    return np.concatenate([[0.0], np.cumsum(steps)])


@dataclass(frozen=True, slots=True, eq=False)
class RisingWater:
    """The water of sites along their ways, shape (sites, nodes); straight between nodes.

    Attributes
    ----------
    way_m : never falling; where a site has fewer nodes, the last stands again
    rise_m : over the survey day's water
    speed_m_s : design speed
    width_m : along the track line
    """

    way_m: FloatArray
    rise_m: FloatArray
    speed_m_s: FloatArray
    width_m: FloatArray

    def at(self, site: Index, way_m: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Rise, design speed and width of sites at a place of their ways; as at the ends beyond them."""
        ways = self.way_m[site]
        after = np.clip(np.count_nonzero(ways <= way_m[:, np.newaxis], axis=1), 1, ways.shape[1] - 1)
        row = np.arange(site.size)
        low, high = ways[row, after - 1], ways[row, after]
        share = np.divide(way_m - low, high - low, out=np.ones_like(low), where=high > low)
        share = np.clip(share, 0.0, 1.0)
        rise, speed, width = (
            values[site, after - 1] + share * (values[site, after] - values[site, after - 1])
            for values in (self.rise_m, self.speed_m_s, self.width_m)
        )
        return rise, speed, width


@dataclass(frozen=True, slots=True, eq=False)
class RisingSites:
    """Everything that makes a world of a site and a place on the way of its water.

    Attributes
    ----------
    tended : as `Worlds`, shape (sites,)
    """

    cases: WaterCases
    water: RisingWater
    shores: Shores
    tended: FloatArray

    def worlds(
        self, site: Index, *, way_m: FloatArray, set_least_n: FloatArray, set_most_n: FloatArray
    ) -> Worlds:
        """A world for each of some sites, its water so far on its way, with what its haul sets."""
        rise_m, speed_m_s, width_m = self.water.at(site, way_m)
        from_m, to_m = self.shores.travel(site, width_m)
        return self.cases.worlds(
            site,
            speed_m_s=speed_m_s,
            water_rise_m=rise_m,
            set_least_n=set_least_n,
            set_most_n=set_most_n,
            from_m=from_m,
            to_m=to_m,
            tended=self.tended[site],
        ).between(*self.shores.water(site, width_m))
