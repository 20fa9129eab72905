"""The pulse check: a pulse struck into the set track line tells its tension by the time it takes to return.

A pulse runs along a taut rope with the speed sqrt(T / m), so it is back at the end where it was struck
after 2 L sqrt(m / T) (J. W. S. Rayleigh, The Theory of Sound, 1, section 124). The carriage is off the
line, its mass would reflect the pulse, and the line is struck sideways near one tie point: a sideways
pulse does not stretch the rope, so the time does not depend on the sag's own give.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.faults import OutOfRange
from atlas.rigging.rope import STANDARD_GRAVITY_M_S2
from atlas.rigging.segment import hang_segment, unstretched_for_tension_m
from atlas.rigging.shown import (
    PRETENSION_N,
    SLOPE,
    SPAN_M,
    STIFFNESS_N,
    WEIGHT_N_M,
    FloatArray,
    Shown,
    require,
    require_between,
)

__all__ = ["PulseWindow", "hanging_pulse_s", "pulse_s", "pulse_window"]

_LENGTH_M = Shown("length_m", 1.0, 1000.0, "m")
_MASS_KG_M = Shown("mass_kg_m", 0.005, 1.0, "kg/m")
_TENSION_N = Shown("tension_n", 10.0, 100e3, "N")
_WET_FACTOR = Shown("wet_factor", 1.0, 2.0, "")
_RETURNS_MOST = 100

_NODES, _SHARES = np.polynomial.legendre.leggauss(16)
"""Places along the rope, -1 to 1, and their weights: the tension of a set line changes so evenly that the
sum over sixteen is exact to the last digits."""


@dataclass(frozen=True, slots=True)
class PulseWindow:
    """Times between which the line is inside its window whatever water the rope holds [s].

    Attributes
    ----------
    from_s : quicker is set too hard
    to_s : slower is too slack
    """

    from_s: float
    to_s: float


def _require_returns(returns: int) -> int:
    if not 1 <= returns <= _RETURNS_MOST:
        raise OutOfRange(f"returns: got {returns}; allowed 1 to {_RETURNS_MOST}")
    return returns


def pulse_s(
    *, length_m: npt.ArrayLike, mass_kg_m: npt.ArrayLike, tension_n: npt.ArrayLike, returns: int
) -> FloatArray:
    """Time in which a pulse comes back so many times along a taut string; broadcasts [s].

    Parameters
    ----------
    length_m : rope between the tie points [m]
    mass_kg_m : of a metre of it [kg/m]
    tension_n : the same all along [N]
    returns : how often it comes back to the end where it was struck

    Raises
    ------
    OutOfRange
        For lengths outside 1 to 1000 m, masses outside 0.005 to 1 kg/m, tensions outside 10 N to 100 kN,
        or fewer than one return.

    Notes
    -----
    t = 2 N L sqrt(m / T). A rope that hangs is tighter at its ends: with L and m of the stretched rope and
    the tension along the chord, this is slow by 4/3 f^2 of the time and never quick, f being sag over span
    up to 0.1 (shown against `hanging_pulse_s` over the range of `atlas.rigging.shown`); with the mass of a
    metre unstretched it is slow by half the strain more.
    """
    length, mass, tension = (
        require(_LENGTH_M, length_m), require(_MASS_KG_M, mass_kg_m), require(_TENSION_N, tension_n)
    )  # fmt: skip
    return np.asarray(2.0 * _require_returns(returns) * length * np.sqrt(mass / tension))


def hanging_pulse_s(
    *,
    span_m: npt.ArrayLike,
    rise_m: npt.ArrayLike,
    weight_n_m: npt.ArrayLike,
    stiffness_n: npt.ArrayLike,
    pretension_n: npt.ArrayLike,
    wet_factor: npt.ArrayLike,
    returns: int,
) -> FloatArray:
    """Time in which a pulse comes back so many times along the track line as it hangs; broadcasts [s].

    Parameters
    ----------
    span_m, rise_m : from the near to the far tie point, across and up [m]
    weight_n_m : of a metre of dry, unstretched rope [N/m]
    stiffness_n : EA [N]
    pretension_n : horizontal part of the tension, no carriage on the line [N]
    wet_factor : weight of the rope as it is over its dry weight, 1 to 2
    returns : how often it comes back to the end where it was struck

    Raises
    ------
    OutOfRange
        Where a value lies outside `atlas.rigging.shown` or the ranges above.

    Notes
    -----
    A sideways pulse on a rope of m a metre unstretched, strain e = T / EA, crosses the unstretched length
    ds in ds sqrt(m (1 + e) / T) (the wave equation in the unstretched coordinate, m y'' = (T / (1 + e) y')').
    The time is its sum along the elastic catenary. Right for a pulse short against the span, as one struck
    with the hand is; stiffness of the rope against bending is left out.
    """
    span = require(SPAN_M, span_m)
    rise = np.asarray(rise_m, dtype=np.float64)
    require_between(
        "rise_m", rise, low=SLOPE.low * span, high=SLOPE.high * span, unit="m", why="15 % of the span"
    )
    weight = require(WEIGHT_N_M, weight_n_m) * require(_WET_FACTOR, wet_factor)
    stiffness, pretension = require(STIFFNESS_N, stiffness_n), require(PRETENSION_N, pretension_n)
    length = unstretched_for_tension_m(
        run_m=span, rise_m=rise, weight_n_m=weight, stiffness_n=stiffness, horizontal_n=pretension
    )
    hung = hang_segment(
        run_m=span, rise_m=rise, unstretched_m=length, weight_n_m=weight, stiffness_n=stiffness
    )
    share = 0.5 * (1.0 + _NODES)
    lift = hung.first_vertical_n[..., None] + (weight * length)[..., None] * share
    tension = np.hypot(hung.horizontal_n[..., None], lift)
    slowness = np.sqrt(
        weight[..., None] / STANDARD_GRAVITY_M_S2 * (1.0 / tension + 1.0 / stiffness[..., None])
    )
    return np.asarray(_require_returns(returns) * length * (slowness @ _SHARES))


def pulse_window(
    *,
    span_m: float,
    rise_m: float,
    weight_n_m: float,
    stiffness_n: npt.ArrayLike,
    wet_factor: float,
    from_n: float,
    to_n: float,
    returns: int,
) -> PulseWindow | None:
    """Times that show a set tension inside its window, however dry or wet the rope is.

    Parameters
    ----------
    span_m, rise_m, weight_n_m, returns : as `hanging_pulse_s`
    stiffness_n : EA, one or its bounds [N]
    wet_factor : of the wettest rope; 1 where the rope is known to be dry
    from_n, to_n : the window [N]

    Returns
    -------
    PulseWindow, or None where no time shows it: the wet rope at the window's upper end is as slow as the
    dry rope at its lower end.

    Raises
    ------
    OutOfRange
        As `hanging_pulse_s`, and for a window upside down.

    Notes
    -----
    A time at or over that of the wet, heavy rope at the upper end cannot come from a tension over it, and
    one at or under that of the dry rope at the lower end cannot come from one under it.
    """
    if not from_n <= to_n:
        raise OutOfRange(f"from_n, to_n: upside down; got {from_n:.6g} and {to_n:.6g} N; allowed from <= to")
    seconds = hanging_pulse_s(
        span_m=span_m,
        rise_m=rise_m,
        weight_n_m=weight_n_m,
        stiffness_n=np.atleast_1d(stiffness_n)[:, None],
        pretension_n=np.array([to_n, from_n]),
        wet_factor=np.array([wet_factor, 1.0]),
        returns=returns,
    )
    from_s, to_s = float(seconds[:, 0].max()), float(seconds[:, 1].min())
    return PulseWindow(from_s, to_s) if from_s <= to_s else None
