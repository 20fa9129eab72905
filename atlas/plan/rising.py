"""What the water of sites does while it rises, as the level table has it and beyond its last row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics, judged_cases, shores_of
from atlas.plan.results import StageResult
from atlas.rigging.rising import RisingSites, RisingWater
from atlas.rigging.shown import FloatArray
from atlas.water import river_state

__all__ = ["Highest", "highest_water", "rising_sites", "scanned_rises"]

_ABOVE = 40
"""Rises over the last row at which the river is asked; straight between them it is 1e-4 off at most."""
_LEAST_RANGE_M = 0.1
_BEYOND = (0.3, 1.0)
"""Shares of what is left over a row that fails, looked at in case it does not fail after all."""
_OPEN = (0.25, 0.5, 1.0)
"""Shares of what is left over the last row, where no row fails."""


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


def _of_rows(context: Context) -> FloatArray:
    """Rise, design speed and width of the rows, the greater of such at one stage; shape (3, stages)."""
    rows: dict[float, tuple[float, float]] = {}
    for row in context.rows:
        speed, width = rows.get(row.rise_m, (0.0, 0.0))
        rows[row.rise_m] = (max(speed, row.design_speed_m_s), max(width, row.width_m))
    return np.array([(rise, *values) for rise, values in sorted(rows.items())]).T


def _of_site(context: Context, to_m: float) -> FloatArray:
    """Rise, design speed and width up to a rise: the rows, then the river as modelled, never falling.

    Between rows straight: at every row it is what the row says.
    """
    rows = _of_rows(context)
    last_m = rows[0, -1]
    above = last_m + max(to_m - last_m, _LEAST_RANGE_M) * np.linspace(0.0, 1.0, _ABOVE + 1)[1:]
    state = river_state(context.river, rise_m=above)
    speed, width = (
        np.maximum.accumulate(np.append(seen.max(), modelled))[1:]
        for seen, modelled in ((rows[1], state.design_speed_m_s), (rows[2], state.width_m))
    )
    return np.concatenate([rows, np.stack([above, speed, width])], axis=1)


def rising_sites(
    contexts: Sequence[Context], mechanics: Sequence[Mechanics], highest: Sequence[Highest]
) -> RisingSites:
    """The judged cases of sites at any rise."""
    found = [_of_site(context, top.rise_m) for context, top in zip(contexts, highest, strict=True)]
    longest = max(one.shape[1] for one in found)
    water = np.stack(
        [np.pad(one, ((0, 0), (0, longest - one.shape[1])), mode="edge") for one in found], axis=1
    )
    levered = [(one.leverage_from_m, one.leverage_to_m) for one in mechanics]
    return RisingSites(
        cases=judged_cases(contexts),
        water=RisingWater(*water),
        shores=shores_of(contexts, levered),
        tended=np.array([one.has_leverage for one in mechanics]),
    )


def scanned_rises(stages: Sequence[StageResult], highest: Highest) -> FloatArray:
    """Four rises between which the first failure lies, given the rows' verdicts: shape (4,).

    Parameters
    ----------
    stages : rows by rising water
    """
    top_m = highest.rise_m
    good = stages[0].rise_m
    for stage in stages:
        if stage.rise_m >= top_m:
            break
        if not stage.inside:
            left = max(top_m - stage.rise_m, _LEAST_RANGE_M)
            return np.array([good, stage.rise_m, *(stage.rise_m + share * left for share in _BEYOND)])
        good = stage.rise_m
    left = max(top_m - good, _LEAST_RANGE_M)
    return np.array([good, *(good + share * left for share in _OPEN)])
