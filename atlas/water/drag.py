"""The push of the current on what stands in it, and the water's density."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.faults import OutOfRange

__all__ = ["drag_n", "water_density_kg_m3"]

DENSITY_LEAST_C, DENSITY_MOST_C = 0.0, 40.0


def drag_n(*, area_cd_m2: ArrayLike, speed_m_s: ArrayLike, density_kg_m3: ArrayLike) -> NDArray[np.float64]:
    """Drag of a body held in a current; broadcasts.

    Parameters
    ----------
    area_cd_m2 : frontal area x drag coefficient [m2]
    speed_m_s : of the water past the body [m/s]
    density_kg_m3 : of the water [kg/m3]

    Returns
    -------
    drag [N]

    Raises
    ------
    OutOfRange
        A value that is negative, not a number or infinite.

    Notes
    -----
    F = rho CdA v^2 / 2, the definition of the drag coefficient (F. M. White, Fluid Mechanics, section
    7.6). A steady current is assumed; surge is a factor on the force and is applied where cases are.
    """
    area, speed, density = (
        np.asarray(value, dtype=np.float64) for value in (area_cd_m2, speed_m_s, density_kg_m3)
    )
    for name, value in (("area_cd_m2", area), ("speed_m_s", speed), ("density_kg_m3", density)):
        if not np.all(np.isfinite(value) & (value >= 0.0)):
            raise OutOfRange(f"drag: {name} must be finite and not negative; got {value}")
    return np.asarray(0.5 * density * area * speed**2)[()]


def water_density_kg_m3(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Density of clean, air-free water at atmospheric pressure [kg/m3].

    Parameters
    ----------
    temperature_c : 0 to 40 [degrees Celsius]

    Raises
    ------
    OutOfRange
        Outside 0 to 40 degrees.

    Notes
    -----
    M. Tanaka et al., Metrologia 38 (2001) 301-309, equation 1; constants from memory, checked against
    the tabulated densities of 0 to 20 degrees. A river in flood carries silt and is denser.
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    if not np.all((t >= DENSITY_LEAST_C) & (t <= DENSITY_MOST_C)):
        raise OutOfRange(
            f"water density: temperature {t} C; allowed: {DENSITY_LEAST_C:g} to {DENSITY_MOST_C:g} C"
        )
    fallen = (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881))
    return np.asarray(999.974950 * (1.0 - fallen))[()]
