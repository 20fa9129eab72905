"""What the water of sites does while it rises: as seen up to the highest note, as modelled over it.

Between notes straight. Over the highest note the river's model with its margin, from just above it on: what
was not seen is not taken as slow as what was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics, judged_cases, shores_of
from atlas.plan.track_results import TrackStage
from atlas.rigging.rising import RisingSites, RisingWater, way_of
from atlas.rigging.shown import FloatArray
from atlas.water import ASKED, river_state

__all__ = ["Highest", "highest_water", "rising_sites", "scanned_ways", "water_nodes", "way_at"]

_ABOVE = 40
"""Rises over the highest note at which the river is asked; straight between them it is 1e-4 off at most."""
_LEAST_RANGE_M = 0.1
_SAME_M = 1e-9
_BEYOND = (0.3, 1.0)
"""Shares of the way left over a row that fails, looked at in case it does not fail after all."""
_OPEN = (0.25, 0.5, 1.0)
"""Shares of the way left over the last row, where no row fails."""


@dataclass(frozen=True, slots=True)
class Highest:
    """The water at which the rig is out at the latest, as a rise over the survey day's [m].

    `drowned` is the anchor that goes under then; None where it is the line that would hang too low with
    nothing on it, straight from tie to tie.
    """

    rise_m: float
    drowned: str | None


def highest_water(context: Context) -> Highest:
    """The lesser of the water that takes an anchor in use, and of that which no line could clear."""
    frame, stations = context.frame, context.stations
    anchors = [(frame.near_tie_height_m, frame.track_near_tag), (frame.far_tie_height_m, frame.track_far_tag)]
    anchors += [
        (station.height_m, station.tag)
        for station in (stations.ferry_near, stations.ferry_far, stations.up_down)
        if station.tag is not None
    ]
    height_m, tag = min(anchors)
    ties_m = max(frame.near_tie_height_m, frame.far_tie_height_m)
    clear_m = ties_m - context.policy.loads.ring_below_line - context.clearance_base_m
    return Highest(clear_m, None) if clear_m < height_m else Highest(height_m, tag)


def _seen(context: Context) -> FloatArray:
    """Rise, design speed and width of the rows up to the highest noted one; shape (3, stages).

    Of several at one stage the fastest and the widest.
    """
    last_m = max(row.rise_m for row in context.level_rows if not row.modelled)
    rows: dict[float, tuple[float, float]] = {}
    for row in context.level_rows:
        if row.rise_m <= last_m:
            speed, width = rows.get(row.rise_m, (0.0, 0.0))
            rows[row.rise_m] = (max(speed, row.design_speed_m_s), max(width, row.width_m))
    return np.array([(rise, *values) for rise, values in sorted(rows.items())]).T


def water_nodes(context: Context, to_m: float) -> FloatArray:
    """Rise, design speed and width at the nodes of a site's water, up to a rise at least; shape (3, nodes).

    The highest noted stage is there twice: as noted, and as the model has it from there on, never falling.
    """
    seen = _seen(context)
    last_m = seen[0, -1]
    rows = [row.rise_m for row in context.level_rows if row.rise_m > last_m]
    top_m = max(to_m, last_m + _LEAST_RANGE_M, *rows)
    above = np.union1d(last_m + (top_m - last_m) * np.linspace(0.0, 1.0, _ABOVE + 1), rows)
    state = river_state(context.river, rise_m=above)
    speed, width = (
        np.maximum.accumulate(np.append(known.max(), modelled))[1:]
        for known, modelled in ((seen[1], state.design_speed_m_s), (seen[2], state.width_m))
    )
    return np.concatenate([seen, np.stack([above, speed, width])], axis=1)


def rising_sites(
    contexts: Sequence[Context], mechanics: Sequence[Mechanics], highest: Sequence[Highest]
) -> RisingSites:
    """The judged cases of sites anywhere on the way of their water."""
    found = [water_nodes(context, top.rise_m) for context, top in zip(contexts, highest, strict=True)]
    longest = max(one.shape[1] for one in found)
    water = [
        np.pad(np.vstack([way_of(one[0], one[1]), one]), ((0, 0), (0, longest - one.shape[1])), mode="edge")
        for one in found
    ]
    levered = [(one.leverage_from_m, one.leverage_to_m) for one in mechanics]
    return RisingSites(
        cases=judged_cases(contexts),
        water=RisingWater(*np.stack(water, axis=1)),
        shores=shores_of(contexts, levered),
        tended=np.array([one.has_leverage for one in mechanics]),
    )


def way_at(water: RisingWater, site: int, rise_m: float) -> float:
    """Way of one site's water to a rise; of a rise where it stands still, to where it begins to [m]."""
    rises, ways = water.rise_m[site], water.way_m[site]
    after = int(np.searchsorted(rises, rise_m - _SAME_M))
    if after in (0, rises.size):
        return float(ways[min(after, rises.size - 1)])
    share = (rise_m - rises[after - 1]) / (rises[after] - rises[after - 1])
    return float(ways[after - 1] + min(share, 1.0) * (ways[after] - ways[after - 1]))


def scanned_ways(stages: Sequence[TrackStage], water: RisingWater, site: int, top_m: float) -> FloatArray:
    """Four places on a water's way between which the first failure lies, given its rows: shape (4,).

    Parameters
    ----------
    stages : rows by rising water; of today's water none is looked at
    top_m : the rise at which the rig is out at the latest
    """
    top = way_at(water, site, top_m)
    good = float(water.way_m[site, 0])
    for stage in (row for row in stages if row.name != ASKED):
        way = way_at(water, site, stage.rise_m)
        if stage.rise_m >= top_m:
            break
        if not stage.inside:
            left = max(top - way, _LEAST_RANGE_M)
            return np.array([good, way, *(way + share * left for share in _BEYOND)])
        good = way
    left = max(top - good, _LEAST_RANGE_M)
    return np.array([good, *(good + share * left for share in _OPEN)])
