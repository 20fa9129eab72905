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


@dataclass(frozen=True, slots=True, eq=False)
class PulseWindow:
    """Times that a window allows, of one site or of many as arrays [s].

    Attributes
    ----------
    dry_from_s, dry_to_s : of a dry rope: quicker is set too hard, slower is too slack
    wet_from_s, wet_to_s : of the wettest rope
    """

    dry_from_s: FloatArray
    dry_to_s: FloatArray
    wet_from_s: FloatArray
    wet_to_s: FloatArray

    @property
    def from_s(self) -> FloatArray:
        """From this time on the line is not over its window, whatever water the rope holds."""
        return self.wet_from_s

    @property
    def to_s(self) -> FloatArray:
        """Up to this time it is not under it."""
        return self.dry_to_s

    @property
    def shows(self) -> npt.NDArray[np.bool_]:
        """Whether some time shows it: not where wet, set most, is as slow as dry, set least."""
        return np.asarray(self.from_s <= self.to_s)


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
    span_m: npt.ArrayLike,
    rise_m: npt.ArrayLike,
    weight_n_m: npt.ArrayLike,
    stiffness_n: npt.ArrayLike,
    wet_factor: npt.ArrayLike,
    from_n: npt.ArrayLike,
    to_n: npt.ArrayLike,
    returns: int,
) -> PulseWindow:
    """Times that show a set tension inside its window, however dry or wet the rope is.

    Parameters
    ----------
    span_m, rise_m, weight_n_m, returns : as `hanging_pulse_s`
    stiffness_n : EA, its bounds in the last axis, or one [N]
    wet_factor : of the wettest rope; 1 where the rope is known to be dry
    from_n, to_n : the window [N]

    Raises
    ------
    OutOfRange
        As `hanging_pulse_s`, and for a window upside down.

    Notes
    -----
    A time at or over that of the wet, heavy rope at the upper end cannot come from a tension over it, and
    one at or under that of the dry rope at the lower end cannot come from one under it.
    """
    low, high = np.asarray(from_n, dtype=np.float64), np.asarray(to_n, dtype=np.float64)
    if not (low <= high).all():
        first = np.flatnonzero(~(low <= high))[0]
        got = " and ".join(
            f"{np.broadcast_to(end, (low + high).shape).flat[first]:.6g}" for end in (low, high)
        )
        raise OutOfRange(f"from_n, to_n: upside down; got {got} N; allowed from <= to")
    stiffness = np.atleast_1d(np.asarray(stiffness_n, dtype=np.float64))

    def seconds(tension_n: FloatArray, wet: npt.ArrayLike) -> FloatArray:
        span, rise, weight, pretension, factor = (
            np.asarray(value, dtype=np.float64)[..., None]
            for value in (span_m, rise_m, weight_n_m, tension_n, wet)
        )
        return hanging_pulse_s(
            span_m=span,
            rise_m=rise,
            weight_n_m=weight,
            stiffness_n=stiffness,
            pretension_n=pretension,
            wet_factor=factor,
            returns=returns,
        )

    return PulseWindow(
        dry_from_s=seconds(high, 1.0).max(axis=-1),
        dry_to_s=seconds(low, 1.0).min(axis=-1),
        wet_from_s=seconds(high, wet_factor).max(axis=-1),
        wet_to_s=seconds(low, wet_factor).min(axis=-1),
    )
