"""A straight line through logarithms, with the interval in which the next observation falls."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from atlas.faults import OutOfRange

__all__ = ["LineFit", "checked_logs", "fit_line"]


@dataclass(frozen=True, slots=True)
class LineFit:
    """Least-squares line y = slope (x - mean_x) + mean_y.

    Attributes
    ----------
    slope, mean_x, mean_y : of the line
    spread_x : sum of squares of x about its mean
    residual : standard deviation of y about the line
    count : of observations
    freedom : degrees of freedom of `residual`
    """

    slope: float
    mean_x: float
    mean_y: float
    spread_x: float
    residual: float
    count: int
    freedom: int

    @property
    def intercept(self) -> float:
        """The line's y at x = 0."""
        return self.mean_y - self.slope * self.mean_x

    def at(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """The line's y at x."""
        return self.mean_y + self.slope * (x - self.mean_x)

    def reach(self, level: float) -> float:
        """Student t quantile x residual: half the interval's width before distance is counted."""
        if not 0.0 < level < 1.0:
            raise OutOfRange(f"interval level {level:g}; allowed: between 0 and 1")
        return float(stdtrit(self.freedom, (1.0 + level) / 2.0)) * self.residual

    def half_width(self, x: NDArray[np.float64], *, level: float) -> NDArray[np.float64]:
        """Half of the prediction interval of one new y at x.

        Notes
        -----
        t s sqrt(1 + 1/n + (x - mean)^2 / Sxx): N. R. Draper and H. Smith, Applied Regression Analysis,
        3rd ed. 1998, section 3.1.
        """
        apart = (x - self.mean_x) ** 2 / self.spread_x
        return self.reach(level) * np.sqrt(1.0 + 1.0 / self.count + apart)


def fit_line(x: NDArray[np.float64], y: NDArray[np.float64], *, parameters: int = 2) -> LineFit:
    """Ordinary least squares; `parameters` counts all that were estimated, for degrees of freedom.

    Raises
    ------
    OutOfRange
        No more rows than parameters, or all x alike.
    """
    count = len(x)
    if count <= parameters:
        raise OutOfRange(f"fit of {count} rows; needed: at least {parameters + 1}")
    mean_x, mean_y = float(x.mean()), float(y.mean())
    spread_x = float(((x - mean_x) ** 2).sum())
    # equal values differ by rounding in their logarithms: 1e-18 is a spread of a billionth
    if spread_x < 1e-18 * count:
        raise OutOfRange("fit of rows that are all alike; needed: at least two distinct values")
    slope = float(((x - mean_x) * (y - mean_y)).sum()) / spread_x
    rest = y - mean_y - slope * (x - mean_x)
    freedom = count - parameters
    residual = float(np.sqrt((rest**2).sum() / freedom))
    return LineFit(slope, mean_x, mean_y, spread_x, residual, count, freedom)


def checked_logs(name: str, values: ArrayLike) -> NDArray[np.float64]:
    """Natural logarithms of a row of positive, finite values; anything else is out of range."""
    row = np.atleast_1d(np.asarray(values, dtype=np.float64))
    if row.ndim != 1:
        raise OutOfRange(f"{name}: one row of values is needed; got shape {row.shape}")
    bad = ~(np.isfinite(row) & (row > 0.0))
    if bad.any():
        raise OutOfRange(f"{name}: values must be finite and above 0; got {row[bad][0]:g}")
    return np.log(row)
