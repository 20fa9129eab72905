"""The cases of sites at any water: drag from speed, clearance needed, and the worlds they make."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.rigging.asked import FREE, Index
from atlas.rigging.limits import clearance_needed_m
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import Worlds

__all__ = ["WaterCases"]


@dataclass(frozen=True, slots=True, eq=False)
class WaterCases:
    """Load cases of sites.

    Attributes
    ----------
    drag_per_speed2 : drag at 1 m/s, surge included, shape (sites, cases) [N s2/m2]
    hauled : whether the up-down line is hauled in the case, shape (sites, cases)
    clearance_base_m : before the waves are added, shape (sites,)
    drag_most_n : a greater drag is taken as this
    """

    drag_per_speed2: FloatArray
    hauled: npt.NDArray[np.bool_]
    clearance_base_m: FloatArray
    drag_most_n: float

    def cases(self, which: npt.NDArray[np.bool_] | list[int]) -> WaterCases:
        """Some of the cases."""
        return WaterCases(
            self.drag_per_speed2[:, which], self.hauled[:, which], self.clearance_base_m, self.drag_most_n
        )

    def worlds(
        self,
        site: Index,
        *,
        speed_m_s: npt.ArrayLike,
        water_rise_m: npt.ArrayLike,
        set_least_n: npt.ArrayLike,
        set_most_n: npt.ArrayLike,
        from_m: npt.ArrayLike,
        to_m: npt.ArrayLike,
        clearance_m: npt.ArrayLike | None = None,
        strand_m: npt.ArrayLike = FREE,
        raised_m: npt.ArrayLike = 0.0,
        tended: npt.ArrayLike = True,
    ) -> Worlds:
        """Worlds of sites at some speeds and waters; each argument has the shape of `site` or is one value.

        Parameters
        ----------
        speed_m_s : design speed
        clearance_m : needed; None for the base and the waves at that speed
        """
        speed = np.broadcast_to(np.asarray(speed_m_s, dtype=np.float64), site.shape)
        drag = self.drag_per_speed2[site] * (speed**2)[:, np.newaxis]
        needed = clearance_needed_m(base_m=self.clearance_base_m[site], speed_m_s=speed)
        return Worlds.of(
            site=site,
            drag_n=np.minimum(drag, self.drag_most_n),
            hauled=self.hauled[site],
            water_rise_m=water_rise_m,
            clearance_m=needed if clearance_m is None else clearance_m,
            set_least_n=set_least_n,
            set_most_n=set_most_n,
            from_m=from_m,
            to_m=to_m,
            strand_m=strand_m,
            raised_m=raised_m,
            tended=tended,
        )
