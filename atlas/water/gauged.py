"""The river at a site from its gauge: stage gives flow, flow gives speed, width and depth, with intervals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.faults import OutOfRange
from atlas.records import Access
from atlas.water.gauge_rows import GaugeRow, GaugeRows, gauge_rows
from atlas.water.notes import StageSettings
from atlas.water.power_fit import PowerFit, fit_power
from atlas.water.rating import RatingFit, fit_rating

__all__ = ["GaugedRiver", "GaugedState", "gauged_river"]

ROWS_LEAST: Final = 5
"""Rows of speed, and of width, without which the gauge is not used: fits of fewer promise too much."""
Floats = NDArray[np.float64]
Band = tuple[Floats, Floats, Floats]


@dataclass(frozen=True, slots=True)
class GaugedState:
    """The site's water at stages of the gauge, arrays of one shape.

    Attributes
    ----------
    discharge_m3_s : median
    speed_m_s, width_m, depth_m : median, low and high end of the interval of one new observation
    beyond : past the flows that were measured
    """

    discharge_m3_s: Floats
    speed_m_s: Band
    width_m: Band
    depth_m: Band | None
    beyond: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class GaugedRiver:
    """Fits of a site that has a gauge.

    Attributes
    ----------
    rating : flow against stage
    speed : fastest surface thread against flow
    width : at the site against flow
    depth : mean depth against flow; None where fewer than three rows have one
    level : of every interval
    lowest_m : lowest stage of the rating's rows: below it the river is taken as there [m]
    least_m3_s, most_m3_s : flows of the rows
    dropped : rows whose flow is not width x depth x speed
    same_section : the gauge is where the track line is
    """

    rating: RatingFit
    speed: PowerFit
    width: PowerFit
    depth: PowerFit | None
    level: float
    lowest_m: float
    least_m3_s: float
    most_m3_s: float
    rows: tuple[GaugeRow, ...]
    dropped: int
    same_section: bool

    def at(self, stage_m: ArrayLike) -> GaugedState:
        """The river at stages; broadcasts.

        Notes
        -----
        An interval is that of the value at a flow and that of the flow at a stage together, in quadrature on
        the logarithmic scale: exact for independent scatter and many rows (propagation of error, ISO/IEC
        Guide 98-3, 5.1.2).
        """
        stage = np.maximum(np.asarray(stage_m, dtype=np.float64), self.lowest_m)
        flow, _, high = self.rating.discharge_m3_s(stage_m=stage, level=self.level)
        flow, doubt = np.asarray(flow), np.log(high / flow)
        outside = (flow > self.most_m3_s) | (flow < self.least_m3_s)
        return GaugedState(
            discharge_m3_s=flow,
            speed_m_s=self._band(self.speed, flow, doubt),
            width_m=self._band(self.width, flow, doubt),
            depth_m=None if self.depth is None else self._band(self.depth, flow, doubt),
            beyond=outside | (np.asarray(stage_m) < self.lowest_m),
        )

    def _band(self, fit: PowerFit, flow: Floats, doubt: Floats) -> Band:
        """Median and interval of a value at flows that are known to a factor only."""
        x = np.log(flow)
        half = np.hypot(fit.line.half_width(x, level=self.level), fit.exponent * doubt)
        middle = fit.line.at(x)
        return np.exp(middle), np.exp(middle - half), np.exp(middle + half)


def _fit(rows: tuple[GaugeRow, ...], name: str) -> PowerFit:
    """A value of the rows that have it, against their flow."""
    pairs = [(row.discharge_m3_s, getattr(row, name)) for row in rows if getattr(row, name) is not None]
    flows, values = zip(*pairs, strict=True) if pairs else ((), ())
    return fit_power(discharge_m3_s=flows, value=values)


def gauged_river(access: Access, settings: StageSettings) -> GaugedRiver | str | None:
    """Fits from field measurements and flow notes together.

    Parameters
    ----------
    access : flow notes, and the gauge's record with how the site lies to it
    settings : policy

    Returns
    -------
    The fits; the code of why there are none; or None where no gauge is kept:
    ``gauge_unrelated`` (nobody said how the site lies to it), ``gauge_few_rows``, ``gauge_no_rating`` (flow
    against stage cannot be fitted), ``gauge_scattered`` (speed does not rise with flow by more than its
    scatter).
    """
    if access.gauged is None:
        return None
    relation = access.gauged.relation
    if relation is None:
        return "gauge_unrelated"
    return _fits(gauge_rows(access, relation, settings), settings.level, same_section=relation.same_section)


def _fits(found: GaugeRows, level: float, *, same_section: bool) -> GaugedRiver | str:
    rows = found.rows
    if min(len(rows), sum(row.width_m is not None for row in rows)) < ROWS_LEAST:
        return "gauge_few_rows"
    staged = [(row.discharge_m3_s, row.stage_m) for row in rows if row.stage_m is not None]
    try:
        flows, stages = (np.array(column) for column in zip(*staged, strict=True))
        rating = fit_rating(discharge_m3_s=flows, stage_m=stages)
    except (OutOfRange, ValueError):  # too few of them, or flow that does not rise with stage
        return "gauge_no_rating"
    try:
        speed, width = _fit(rows, "speed_m_s"), _fit(rows, "width_m")
    except OutOfRange:  # all of one flow
        return "gauge_few_rows"
    if speed.exponent <= speed.line.reach(level) / np.sqrt(speed.line.spread_x):
        return "gauge_scattered"
    deep = sum(row.depth_m is not None for row in rows) >= ROWS_LEAST
    return GaugedRiver(
        rating=rating,
        speed=speed,
        width=width,
        depth=_fit(rows, "depth_m") if deep else None,
        level=level,
        lowest_m=float(stages.min()),
        least_m3_s=min(row.discharge_m3_s for row in rows),
        most_m3_s=max(row.discharge_m3_s for row in rows),
        rows=rows,
        dropped=found.dropped,
        same_section=same_section,
    )
