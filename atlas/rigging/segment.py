"""A rope hung between two points: tension from length, length from tension, height from place.

The elastic catenary with horizontal tension H, run X, rise Z, unstretched length L, weight w a metre of
unstretched rope and stiffness EA. With

    k = w L / (2 EA),   u = w X / (2 H) - k

it is an inextensible catenary of run X u / (u + k) and rise Z tanh u / (tanh u + k) under a stretch, so

    L^2 = (Z tanh u / (tanh u + k))^2 + (X sinh u / (u + k))^2            (1)

whose right side grows with u from nothing to without bound: one root, always. (Irvine, Cable Structures,
1981, the elastic catenary; (1) is its two end conditions with the end forces eliminated.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.faults import NoSolution, OutOfRange
from atlas.rigging.catenary import piece, piece_rise
from atlas.rigging.shown import FloatArray, numbers

__all__ = ["Segment", "hang_segment", "segment_height_m", "unstretched_for_tension_m"]

_STEPS = 200
_LAST_STEP = 1e-14
_ROUND_OFF = 1e-15
_CLOSED = 1e-12
_MOST_U = 700.0
"""sinh overflows beyond; a rope that needs it is a thousand million times as long as its span."""


@dataclass(frozen=True, slots=True, eq=False)
class Segment:
    """Forces in a rope that hangs between two points, from its first end to its last.

    Attributes
    ----------
    horizontal_n : horizontal tension, the same all along [N]
    first_vertical_n, last_vertical_n : upward part of the tension along the rope, taken from first to
        last, at the two ends [N]; negative where the rope leaves its first end downhill
    """

    horizontal_n: FloatArray
    first_vertical_n: FloatArray
    last_vertical_n: FloatArray

    @property
    def first_tension_n(self) -> FloatArray:
        """Tension at the first end [N]."""
        return np.hypot(self.horizontal_n, self.first_vertical_n)

    @property
    def last_tension_n(self) -> FloatArray:
        """Tension at the last end [N]."""
        return np.hypot(self.horizontal_n, self.last_vertical_n)


def _positive(field: str, value: npt.ArrayLike, unit: str) -> FloatArray:
    array = numbers(field, value)
    wrong = ~(np.isfinite(array) & (array > 0.0))
    if wrong.any():
        got = array[wrong].flat[0]
        raise OutOfRange(f"{field}: not positive; got {got:.6g} {unit}; allowed over 0 {unit}")
    return array


def _finite(field: str, value: npt.ArrayLike, unit: str) -> FloatArray:
    array = numbers(field, value)
    if not np.isfinite(array).all():
        got = array[~np.isfinite(array)].flat[0]
        raise OutOfRange(f"{field}: not finite; got {got} {unit}; allowed any finite length")
    return array


def _length(u: FloatArray, run: FloatArray, rise: FloatArray, k: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Right side of (1) as a length [m], and its logarithmic derivative with ln u."""
    slope = np.tanh(u)
    height = rise * slope / (slope + k)
    across = run * np.sinh(u) / (u + k)
    length = np.hypot(height, across)
    by_height = u * k * (1.0 - slope * slope) / (slope * (slope + k))
    by_across = u * (1.0 / slope - 1.0 / (u + k))
    return length, ((height / length) ** 2) * by_height + ((across / length) ** 2) * by_across


def _solve_u(run: FloatArray, rise: FloatArray, length: FloatArray, k: FloatArray) -> FloatArray:
    """Root of (1) in ln u: Newton's steps, halving where one would leave the bracket."""
    chord = np.hypot(run, rise)
    # far under the root: there the length is at most chord u / k, with room for the terms left out
    low = np.log(np.minimum(k * length / chord, 1.0)) - 5.0
    high = np.full_like(low, np.log(_MOST_U))
    point = 0.5 * (low + high)
    for _ in range(_STEPS):
        u = np.exp(point)
        found, slope = _length(u, run, rise, k)
        gap = np.log(found / length)
        low = np.where(gap < 0.0, point, low)
        high = np.where(gap > 0.0, point, high)
        ahead = point - gap / slope
        following = np.where((ahead >= low) & (ahead <= high), ahead, 0.5 * (low + high))
        done = (np.abs(following - point) <= _LAST_STEP) | (np.abs(gap) <= _ROUND_OFF)
        point = following
        if done.all():
            break
    return np.exp(point)


def hang_segment(
    *,
    run_m: npt.ArrayLike,
    rise_m: npt.ArrayLike,
    unstretched_m: npt.ArrayLike,
    weight_n_m: npt.ArrayLike,
    stiffness_n: npt.ArrayLike,
) -> Segment:
    """Forces in a rope of known length between two points, taut or slack.

    Parameters
    ----------
    run_m : horizontal distance of the points, over zero [m]
    rise_m : the last point over the first [m]
    unstretched_m : length of the rope without tension [m]
    weight_n_m : weight of a metre of unstretched rope [N/m]
    stiffness_n : EA [N]

    Returns
    -------
    Segment of arrays of the shape the arguments broadcast to

    Raises
    ------
    OutOfRange
        Where a value is not finite, or not positive where it must be.
    NoSolution
        Where a rope is so long for its run that its tension cannot be told in floating point.
    """
    run, rise, length, weight, stiffness = np.broadcast_arrays(
        _positive("run_m", run_m, "m"),
        _finite("rise_m", rise_m, "m"),
        _positive("unstretched_m", unstretched_m, "m"),
        _positive("weight_n_m", weight_n_m, "N/m"),
        _positive("stiffness_n", stiffness_n, "N"),
    )
    k = weight * length / (2.0 * stiffness)
    u = _solve_u(run, rise, length, k)
    found, _ = _length(u, run, rise, k)
    open_ = ~(np.abs(found / length - 1.0) <= _CLOSED)
    if open_.any():
        first = int(np.argmax(open_))
        raise NoSolution(
            f"no catenary found for {int(open_.sum())} rope(s); the first: run {run.flat[first]:.6g} m, "
            f"rise {rise.flat[first]:.6g} m, length {length.flat[first]:.6g} m"
        )
    slope = np.tanh(u)
    horizontal = weight * run / (2.0 * (u + k))
    middle = 0.5 * weight * rise / (slope + k)
    half = 0.5 * weight * length
    return Segment(horizontal, middle - half, middle + half)


def unstretched_for_tension_m(
    *,
    run_m: FloatArray,
    rise_m: FloatArray,
    weight_n_m: FloatArray,
    stiffness_n: FloatArray,
    horizontal_n: FloatArray,
) -> FloatArray:
    """Length of the rope, without tension, that hangs with a given horizontal tension [m].

    Parameters
    ----------
    run_m, rise_m, weight_n_m, stiffness_n : as in `hang_segment`; checked by the caller
    horizontal_n : horizontal tension, under stiffness_n [N]

    Raises
    ------
    NoSolution
        Where the length does not settle.

    Notes
    -----
    Equation (1) with u + k = w X / (2 H) known. The step takes the change of the horizontal part with
    length, -H / EA cosh u, and leaves out that of the rise, which is small of second order.
    """
    total = weight_n_m * run_m / (2.0 * horizontal_n)
    length = np.hypot(run_m, rise_m) / (1.0 + horizontal_n / stiffness_n)
    error = np.full(np.shape(length), np.inf)
    for _ in range(_STEPS):
        k = weight_n_m * length / (2.0 * stiffness_n)
        u = total - k
        found, _ = _length(u, run_m, rise_m, k)
        error = found - length
        length = length + error / (1.0 + horizontal_n / stiffness_n * np.cosh(u))
        if (np.abs(error) <= _ROUND_OFF * length).all():
            break
    if not (np.abs(error) <= _CLOSED * length).all():
        raise NoSolution("unstretched length: does not settle for the given pretension")
    return length


def segment_height_m(
    at_m: FloatArray,
    segment: Segment,
    *,
    unstretched_m: FloatArray,
    weight_n_m: FloatArray,
    stiffness_n: FloatArray,
) -> FloatArray:
    """Height of a hanging rope over its first end, at a horizontal distance from it [m].

    Parameters
    ----------
    at_m : horizontal distance from the first end, up to the run [m]; shapes broadcast
    segment : the rope's forces, from `hang_segment` with the same values
    unstretched_m, weight_n_m, stiffness_n : as in `hang_segment`

    Raises
    ------
    NoSolution
        Where the place on the rope is not found.
    """
    horizontal, lift = segment.horizontal_n, segment.first_vertical_n
    tension = segment.first_tension_n
    compliance = 1.0 / stiffness_n
    # the run grows steadily with the length followed, at a rate that changes little: Newton's method
    length = at_m / (horizontal * (1.0 / tension + compliance))
    for _ in range(_STEPS):
        ends = piece(tension=tension, lift=lift, length=length, weight=weight_n_m, compliance=compliance)
        gap = at_m - horizontal * ends.run_a_newton
        if (np.abs(gap) <= _CLOSED * unstretched_m).all():
            return piece_rise(ends, lift=lift, length=length, compliance=compliance)
        length = length + gap / (horizontal * (1.0 / ends.end_tension + compliance))
    raise NoSolution("height of the rope: the place on it is not found")
