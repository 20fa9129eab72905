"""Stage and discharge at a gauge: a fitted rating, and interpolation in a published one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize_scalar

from atlas.faults import OutOfRange
from atlas.water.line_fit import LineFit, checked_logs, fit_line

__all__ = ["RatingFit", "fit_rating", "interpolate_rating"]

PARAMETERS = 3
"""Coefficient, exponent and offset."""
OFFSET_NEAREST, OFFSET_FARTHEST = 1e-4, 10.0
"""How far below the lowest stage the offset is looked for, in ranges of the observed stages."""
GRID = 96
"""Places tried before the search closes in: the misfit may have more than one hollow."""


@dataclass(frozen=True, slots=True)
class RatingFit:
    """discharge = C (stage - offset)^b, SI.

    Intervals hold for the offset as found; its own uncertainty counts as one more parameter only.
    """

    line: LineFit
    offset_m: float

    @property
    def coefficient(self) -> float:
        """Discharge at 1 m over the offset [m3/s]."""
        return float(np.exp(self.line.intercept))

    @property
    def exponent(self) -> float:
        """Of the height over the offset."""
        return self.line.slope

    def discharge_m3_s(
        self, *, stage_m: ArrayLike, level: float = 0.9
    ) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Middle (median), low and high discharge at a stage [m3/s]; broadcasts.

        Raises
        ------
        OutOfRange
            Stage at or below the offset, or level not between 0 and 1.
        """
        stage = np.asarray(stage_m, dtype=np.float64)
        if not np.all(np.isfinite(stage) & (stage > self.offset_m)):
            raise OutOfRange(f"rating: stage {stage} m; allowed: above the offset, {self.offset_m:.3f} m")
        x = np.log(stage - self.offset_m)
        middle, half = self.line.at(x), self.line.half_width(x, level=level)
        return np.exp(middle)[()], np.exp(middle - half)[()], np.exp(middle + half)[()]

    def stage_m(
        self, *, discharge_m3_s: ArrayLike, level: float = 0.9
    ) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Middle, low and high stage at a discharge [m]; broadcasts.

        The exact inverse of the bands of `discharge_m3_s`: at the low stage the band's upper end is
        this discharge, at the high stage its lower end.

        Raises
        ------
        OutOfRange
            Discharge not above 0, level not between 0 and 1, or scatter so wide that the band has no
            inverse at this level.

        Notes
        -----
        Fieller's limits of an inverse prediction: Draper and Smith, section 3.2, a quadratic in the
        distance d from the mean of x.
        """
        discharge = np.asarray(discharge_m3_s, dtype=np.float64)
        y = checked_logs("discharge_m3_s", discharge.ravel()).reshape(discharge.shape) - self.line.mean_y
        slope, reach = self.line.slope, self.line.reach(level)
        sure = slope**2 - reach**2 / self.line.spread_x
        if sure <= 0.0:
            raise OutOfRange(f"rating: too scattered to give a stage at level {level:g}")
        root = reach * np.sqrt(sure * (1.0 + 1.0 / self.line.count) + y**2 / self.line.spread_x)
        distances = (y / slope, (slope * y - root) / sure, (slope * y + root) / sure)
        middle, low, high = (self.offset_m + np.exp(self.line.mean_x + d) for d in distances)
        return middle[()], low[()], high[()]


def fit_rating(*, discharge_m3_s: ArrayLike, stage_m: ArrayLike) -> RatingFit:
    """A rating with offset through observations.

    Parameters
    ----------
    discharge_m3_s, stage_m : shape (n,), n >= 4, at three stages or more [m3/s, m]

    Returns
    -------
    RatingFit

    Raises
    ------
    OutOfRange
        Too few rows or stages, values not above 0 or not finite, or discharge that does not rise with
        stage.

    Notes
    -----
    S. E. Rantz et al., USGS Water-Supply Paper 2175 (1982), chapter 10: a rating is straight on
    logarithms once the stage of zero flow is taken off. The offset is the one of least squared misfit
    of the logarithm of discharge, searched from just below the lowest stage to ten ranges below it.
    """
    y = checked_logs("discharge_m3_s", discharge_m3_s)
    stage = np.atleast_1d(np.asarray(stage_m, dtype=np.float64))
    if not np.all(np.isfinite(stage)):
        raise OutOfRange("rating: stages must be finite")
    if stage.shape != y.shape:
        raise OutOfRange(f"rating of {len(y)} discharges to {stage.size} stages; one stage each is needed")
    if len(y) <= PARAMETERS or len(np.unique(stage)) < PARAMETERS:
        raise OutOfRange(
            f"rating of {len(y)} rows at {len(np.unique(stage))} stages; needed: at least "
            f"{PARAMETERS + 1} rows at {PARAMETERS} stages"
        )
    offset_m = _best_offset_m(stage, y)
    line = fit_line(np.log(stage - offset_m), y, parameters=PARAMETERS)
    if line.slope <= 0.0:
        raise OutOfRange("rating: discharge does not rise with stage")
    return RatingFit(line, offset_m)


def interpolate_rating(
    stage_m: ArrayLike,
    *,
    rating_stage_m: ArrayLike,
    rating_discharge_m3_s: ArrayLike,
    offset_m: ArrayLike,
    break_m: ArrayLike = (),
) -> NDArray[np.float64]:
    """Discharge from a published rating, by interpolation on logarithms [m3/s].

    Parameters
    ----------
    stage_m : any shape [m]
    rating_stage_m, rating_discharge_m3_s : shape (n,), both rising [m, m3/s]
    offset_m : shape (k,), of the parts of the rating from the lowest up [m]
    break_m : shape (k - 1,), stages of the rating at which the next offset begins [m]

    Raises
    ------
    OutOfRange
        A stage outside the rating (it is not extrapolated), a rating that does not rise, or offsets
        that do not fit it.

    Notes
    -----
    USGS WSP 2175, chapter 10; between two points Q = Q1 ((h - e) / (h1 - e))^b.
    """
    points = np.asarray(rating_stage_m, dtype=np.float64)
    log_discharge = checked_logs("rating_discharge_m3_s", rating_discharge_m3_s)
    offsets, breaks = np.atleast_1d(np.asarray(offset_m, float)), np.asarray(break_m, dtype=np.float64)
    if points.shape != log_discharge.shape or not np.all(np.diff(points) > 0.0):
        raise OutOfRange("rating: stages must rise, one for each discharge")
    if not np.all(np.diff(log_discharge) > 0.0):
        raise OutOfRange("rating: discharge must rise with stage")
    if len(offsets) != len(breaks) + 1 or not np.isin(breaks, points).all():
        raise OutOfRange("rating: one offset more than breaks is needed, and breaks at points of the rating")
    stage = np.asarray(stage_m, dtype=np.float64)
    if not np.all((stage >= points[0]) & (stage <= points[-1])):
        raise OutOfRange(f"rating: stage {stage} m; allowed: {points[0]:g} to {points[-1]:g} m")
    part = np.clip(np.searchsorted(points, stage, side="right") - 1, 0, len(points) - 2)
    low, high = points[part], points[part + 1]
    offset = offsets[np.searchsorted(breaks, low, side="right")]
    if not np.all(offset < low):
        raise OutOfRange("rating: an offset must lie below the stages it serves")
    share = np.log((stage - offset) / (low - offset)) / np.log((high - offset) / (low - offset))
    rise = log_discharge[part + 1] - log_discharge[part]
    return np.asarray(np.exp(log_discharge[part] + share * rise))[()]


def _best_offset_m(stage: NDArray[np.float64], y: NDArray[np.float64]) -> float:
    """Bracketed on a grid, then closed in on; searched as the logarithm of the depth below the lowest."""
    lowest, spread = float(stage.min()), float(np.ptp(stage))
    tried = np.linspace(np.log(OFFSET_NEAREST * spread), np.log(OFFSET_FARTHEST * spread), GRID)

    def misfit(log_below: float) -> float:
        line = fit_line(np.log(stage - lowest + np.exp(log_below)), y, parameters=PARAMETERS)
        return line.residual

    best = int(np.argmin([misfit(value) for value in tried]))
    between = (tried[max(best - 1, 0)], tried[min(best + 1, GRID - 1)])
    found = minimize_scalar(misfit, bounds=between, method="bounded", options={"xatol": 1e-12})
    return lowest - float(np.exp(found.x))
