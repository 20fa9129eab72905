"""What is judged at once at a site: its cases at one water, set tension and travel; and the margins left."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from atlas.rigging.asked import Asked, Index
from atlas.rigging.carriages import Carriages
from atlas.rigging.fixtures import Stand, stood
from atlas.rigging.shown import FloatArray

__all__ = [
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

WHOLE = np.array([True, False])
"""The whole system of forces and drag alone: the worse is printed."""


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

    @classmethod
    def of(cls, **values: npt.ArrayLike) -> Worlds:
        """Worlds of values that broadcast over their first axis; strand and raise may be left out."""
        given = {"strand_m": np.nan, "raised_m": 0.0, "hauled": False} | values
        site = np.atleast_1d(np.asarray(given["site"], dtype=np.intp))
        drag = np.asarray(given["drag_n"], dtype=np.float64)
        shape = (site.size, drag.shape[-1])
        wide = {"drag_n": drag, "hauled": np.asarray(given["hauled"], dtype=np.bool_)}
        flat = {
            item.name: np.broadcast_to(np.asarray(given[item.name], dtype=np.float64), site.shape)
            for item in fields(cls)
            if item.name not in {"site", *wide}
        }
        return cls(site=site, **{name: np.broadcast_to(value, shape) for name, value in wide.items()}, **flat)  # type: ignore[arg-type] -- fields by name


    def part(self, which: Index) -> Worlds:
        """Some of the worlds, or some again."""
        return Worlds(*(getattr(self, item.name)[which] for item in fields(self)))


def pull_questions(worlds: Worlds, ropes: Ropes) -> Asked:
    """Tension: unseated, stiff bound, most set; shape (worlds, cases, models) flat."""
    site = worlds.site[:, np.newaxis, np.newaxis]
    return Asked.of(
        site=site,
        whole=WHOLE,
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


def hang_questions(worlds: Worlds, ropes: Ropes) -> Asked:
    """Clearance and bow: seated, both bounds, least set; shape (worlds, cases, models, bounds) flat.

    At the least set tension only: of one rope under one load, the tighter hangs higher and is drawn less
    far downstream (a test holds it against the most set).
    """
    site = worlds.site[:, np.newaxis, np.newaxis, np.newaxis]
    one = (slice(None), np.newaxis, np.newaxis, np.newaxis)
    stiffness = np.stack([ropes.low_n[worlds.site], ropes.high_n[worlds.site]], axis=1)
    return Asked.of(
        site=site,
        whole=WHOLE[:, np.newaxis],
        drag_n=worlds.drag_n[:, :, np.newaxis, np.newaxis],
        water_rise_m=worlds.water_rise_m[one],
        clearance_m=worlds.clearance_m[one],
        set_n=worlds.set_least_n[one],
        stiffness_n=stiffness[:, np.newaxis, np.newaxis, :],
        seating_m=ropes.seating_m[site],
        strand_m=worlds.strand_m[one],
        raised_m=worlds.raised_m[one],
        hauled=worlds.hauled[:, :, np.newaxis, np.newaxis],
    )


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
    """Clearance over what is needed, as a share of that; of half a metre where less is needed."""
    needed = state.asked.clearance_m[:, np.newaxis]
    return (state.clearance_m - needed) / np.maximum(needed, _CLEARANCE_SCALE_M)
