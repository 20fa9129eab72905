"""What is judged at once at a site: its cases at one water, set tension and travel; and the margins left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from atlas.rigging.asked import ALL_WATER_M, FREE, Asked, Index
from atlas.rigging.carriages import Carriages
from atlas.rigging.clearance import spare_m
from atlas.rigging.fixtures import Stand, stood
from atlas.rigging.shown import FloatArray

__all__ = [
    "ALONE",
    "BOTH",
    "CLEARANCE",
    "Ropes",
    "Worlds",
    "clearance_margin",
    "force_margin",
    "hang_questions",
    "pull_questions",
]

CLEARANCE = len(Stand)
"""Names the clearance beside the rows of `Stand` where one of them is told as the cause."""
_CLEARANCE_SCALE_M = 0.5

BOTH = (True, False)
"""The whole system of forces and drag alone: the worse is printed."""
ALONE = (False,)
"""Drag alone, where a first answer will do."""


@dataclass(frozen=True, slots=True, eq=False)
class Ropes:
    """The track lines of sites: bounds of EA [N] and what lock-off loses [m], shape (sites,)."""

    low_n: FloatArray
    high_n: FloatArray
    seating_m: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Worlds:
    """Worlds to be judged, flat; cases in a second axis.

    Attributes
    ----------
    site : column of the sites' table, shape (worlds,)
    drag_n, hauled : shape (worlds, cases)
    water_rise_m : over the survey day's water
    clearance_m : needed
    set_least_n, set_most_n : what the haul sets: the least counts for clearance, the most for tension
    from_m, to_m : the carriage's travel
    strand_m, raised_m : as `Asked`
    tended : whether ferry lines can hold the carriage at all; without, drag alone is all there is
    near_edge_m, far_edge_m : water's edges along the track line
    """

    site: Index
    drag_n: FloatArray
    hauled: npt.NDArray[np.bool_]
    water_rise_m: FloatArray
    clearance_m: FloatArray
    set_least_n: FloatArray
    set_most_n: FloatArray
    from_m: FloatArray
    to_m: FloatArray
    strand_m: FloatArray
    raised_m: FloatArray
    tended: npt.NDArray[np.bool_]
    near_edge_m: FloatArray
    far_edge_m: FloatArray

    @classmethod
    def of(
        cls,
        *,
        site: Index,
        drag_n: FloatArray,
        hauled: npt.NDArray[np.bool_],
        water_rise_m: npt.ArrayLike,
        clearance_m: npt.ArrayLike,
        set_least_n: npt.ArrayLike,
        set_most_n: npt.ArrayLike,
        from_m: npt.ArrayLike,
        to_m: npt.ArrayLike,
        strand_m: npt.ArrayLike = FREE,
        raised_m: npt.ArrayLike = 0.0,
        tended: npt.ArrayLike = True,
    ) -> Worlds:
        """Worlds of values that have the shape of `site`, or are one for all; all is over water."""

        def wide(value: npt.ArrayLike) -> FloatArray:
            return np.broadcast_to(np.asarray(value, dtype=np.float64), site.shape)

        return cls(
            site=site,
            drag_n=drag_n,
            hauled=hauled,
            water_rise_m=wide(water_rise_m),
            clearance_m=wide(clearance_m),
            set_least_n=wide(set_least_n),
            set_most_n=wide(set_most_n),
            from_m=wide(from_m),
            to_m=wide(to_m),
            strand_m=wide(strand_m),
            raised_m=wide(raised_m),
            tended=np.broadcast_to(np.asarray(tended, dtype=np.bool_), site.shape),
            near_edge_m=wide(-ALL_WATER_M),
            far_edge_m=wide(ALL_WATER_M),
        )

    def between(self, near_edge_m: FloatArray, far_edge_m: FloatArray) -> Worlds:
        """The same with water's edges, shape (worlds,)."""
        return replace(self, near_edge_m=near_edge_m, far_edge_m=far_edge_m)

    def part(self, which: Index) -> Worlds:
        """Some of the worlds, or some again."""
        return Worlds(*(getattr(self, item.name)[which] for item in fields(self)))


def pull_questions(worlds: Worlds, ropes: Ropes, *, whole: Sequence[bool] = BOTH) -> Asked:
    """Tension: unseated, stiff bound, most set; shape (worlds, cases, models) flat."""
    site = worlds.site[:, np.newaxis, np.newaxis]
    return Asked.of(
        site=site,
        whole=np.array(whole) & worlds.tended[:, np.newaxis, np.newaxis],
        drag_n=worlds.drag_n[:, :, np.newaxis],
        water_rise_m=worlds.water_rise_m[:, np.newaxis, np.newaxis],
        clearance_m=worlds.clearance_m[:, np.newaxis, np.newaxis],
        set_n=worlds.set_most_n[:, np.newaxis, np.newaxis],
        stiffness_n=ropes.high_n[site],
        seating_m=0.0,
        strand_m=worlds.strand_m[:, np.newaxis, np.newaxis],
        raised_m=worlds.raised_m[:, np.newaxis, np.newaxis],
        hauled=worlds.hauled[:, :, np.newaxis],
    )


def hang_questions(worlds: Worlds, ropes: Ropes, *, whole: Sequence[bool] = BOTH) -> Asked:
    """Clearance and bow: seated, both bounds, least set; shape (worlds, cases, models, bounds) flat.

    At the least set tension only: of one rope under one load, the tighter hangs higher and is drawn less
    far downstream (a test holds it against the most set).
    """
    site = worlds.site[:, np.newaxis, np.newaxis, np.newaxis]
    one = (slice(None), np.newaxis, np.newaxis, np.newaxis)
    stiffness = np.stack([ropes.low_n[worlds.site], ropes.high_n[worlds.site]], axis=1)
    return Asked.of(
        site=site,
        whole=np.array(whole)[:, np.newaxis] & worlds.tended[one],
        drag_n=worlds.drag_n[:, :, np.newaxis, np.newaxis],
        water_rise_m=worlds.water_rise_m[one],
        clearance_m=worlds.clearance_m[one],
        set_n=worlds.set_least_n[one],
        stiffness_n=stiffness[:, np.newaxis, np.newaxis, :],
        seating_m=ropes.seating_m[site],
        strand_m=worlds.strand_m[one],
        raised_m=worlds.raised_m[one],
        hauled=worlds.hauled[:, :, np.newaxis, np.newaxis],
    ).between(worlds.near_edge_m, worlds.far_edge_m)


def force_margin(state: Carriages, most_n: FloatArray) -> tuple[FloatArray, Index]:
    """Least of most / load - 1 over everything that stands a force, and which of `Stand` sets it.

    Parameters
    ----------
    most_n : greatest forces inside plan, shape (rows of `Stand`, sites), infinite where nothing limits
    """
    with np.errstate(divide="ignore"):
        margins = most_n[:, state.asked.site][:, :, np.newaxis] / stood(state) - 1.0
    stand = np.argmin(margins, axis=0)
    return np.take_along_axis(margins, stand[np.newaxis], axis=0)[0], stand


def clearance_margin(state: Carriages) -> FloatArray:
    """Clearance over what is needed, as a share of that; of half a metre where less is needed.

    Of a ferry line it is how far it could be kept over that, as `spare_m` has it.
    """
    return spare_m(state) / np.maximum(state.asked.clearance_m[:, np.newaxis], _CLEARANCE_SCALE_M)
