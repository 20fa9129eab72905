"""Hydraulic geometry: width, depth or speed as a power of discharge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.faults import OutOfRange
from atlas.water.line_fit import LineFit, checked_logs, fit_line

__all__ = ["PowerFit", "fit_power"]


@dataclass(frozen=True, slots=True)
class PowerFit:
    """value = coefficient x discharge^exponent, SI."""

    line: LineFit

    @property
    def coefficient(self) -> float:
        """The value at 1 m3/s."""
        return float(np.exp(self.line.intercept))

    @property
    def exponent(self) -> float:
        """Of discharge."""
        return self.line.slope

    def predict(
        self, *, discharge_m3_s: ArrayLike, level: float = 0.9
    ) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Middle (median), low and high end of the interval for one new observation; broadcasts.

        Raises
        ------
        OutOfRange
            Discharge not above 0, or level not between 0 and 1.
        """
        discharge = np.asarray(discharge_m3_s, dtype=np.float64)
        x = checked_logs("discharge_m3_s", discharge.ravel()).reshape(discharge.shape)
        middle, half = self.line.at(x), self.line.half_width(x, level=level)
        return np.exp(middle)[()], np.exp(middle - half)[()], np.exp(middle + half)[()]


def fit_power(*, discharge_m3_s: ArrayLike, value: ArrayLike) -> PowerFit:
    """A power law through observations, by least squares on logarithms.

    Parameters
    ----------
    discharge_m3_s : shape (n,), n >= 3 [m3/s]
    value : shape (n,): width [m], mean depth [m] or speed [m/s]

    Raises
    ------
    OutOfRange
        Fewer than 3 rows, rows of different length, values not above 0, or one discharge only.

    Notes
    -----
    L. B. Leopold and T. Maddock, USGS Professional Paper 252 (1953): w = a Q^b at a station. Scatter
    is taken to be the same at all discharges on the logarithmic scale.
    """
    x, y = checked_logs("discharge_m3_s", discharge_m3_s), checked_logs("value", value)
    if len(x) != len(y):
        raise OutOfRange(f"fit of {len(x)} discharges to {len(y)} values; one value a discharge is needed")
    return PowerFit(fit_line(x, y))
