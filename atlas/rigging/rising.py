"""Sites while their water rises: speed, width, travel and loads move together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.shores import Shores
from atlas.rigging.shown import FloatArray
from atlas.rigging.water_cases import WaterCases
from atlas.rigging.worlds import Worlds

__all__ = ["RisingSites", "RisingWater"]


@dataclass(frozen=True, slots=True, eq=False)
class RisingWater:
    """What the water of each site is at some rises, shape (sites, rises); straight between them.

    Attributes
    ----------
    rise_m : over the survey day's water, never falling; where a site has fewer, the last stands again
    speed_m_s : design speed
    width_m : along the track line
    """

    rise_m: FloatArray
    speed_m_s: FloatArray
    width_m: FloatArray

    def at(self, site: Index, rise_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Design speed and width of sites at a rise each; as at the ends beyond them."""
        rises = self.rise_m[site]
        after = np.clip(np.count_nonzero(rises <= rise_m[:, np.newaxis], axis=1), 1, rises.shape[1] - 1)
        row = np.arange(site.size)
        low, high = rises[row, after - 1], rises[row, after]
        share = np.divide(rise_m - low, high - low, out=np.ones_like(low), where=high > low)
        share = np.clip(share, 0.0, 1.0)
        speed, width = (
            values[site, after - 1] + share * (values[site, after] - values[site, after - 1])
            for values in (self.speed_m_s, self.width_m)
        )
        return speed, width


@dataclass(frozen=True, slots=True, eq=False)
class RisingSites:
    """Everything that makes a world of a site and a rise of its water.

    Attributes
    ----------
    tended : as `Worlds`, shape (sites,)
    """

    cases: WaterCases
    water: RisingWater
    shores: Shores
    tended: FloatArray

    def worlds(
        self, site: Index, *, rise_m: FloatArray, set_least_n: FloatArray, set_most_n: FloatArray
    ) -> Worlds:
        """A world for each of some sites, its water risen so far, with what its haul sets."""
        speed_m_s, width_m = self.water.at(site, rise_m)
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
        )
