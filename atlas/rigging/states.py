"""Track lines on plain arrays, empty and loaded: any number of sites, pretensions, loads, places a call."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.rigging.balance import Batch
from atlas.rigging.segment import hang_segment, segment_height_m, unstretched_for_tension_m
from atlas.rigging.settle import Row, settle
from atlas.rigging.shown import (
    AT_SHARE,
    LOAD_N,
    PRETENSION_N,
    SEATING_M,
    SLOPE,
    SPAN_M,
    STIFFNESS_N,
    WEIGHT_N_M,
    FloatArray,
    numbers,
    require,
    require_between,
)

__all__ = ["EndPull", "TrackState", "solve_states", "unloaded_height_m", "unstretched_length_m"]

_CHUNK = 8192
"""States solved at a time: the work of one chunk stays in a core's own cache."""


@dataclass(frozen=True, slots=True, eq=False)
class EndPull:
    """What the loaded line pulls on an anchor with, at its tie point [N]; components as the line's axes.

    Attributes
    ----------
    along_n : toward the far bank
    downstream_n : downstream
    up_n : up; a line that comes down to its anchor's height from below pulls down, which is negative
    """

    along_n: FloatArray
    downstream_n: FloatArray
    up_n: FloatArray

    @property
    def tension_n(self) -> FloatArray:
        """Rope tension at the tie point [N]."""
        return np.sqrt(self.along_n**2 + self.downstream_n**2 + self.up_n**2)


@dataclass(frozen=True, slots=True, eq=False)
class TrackState:
    """A track line with a load on its carriage; every array has the shape the arguments broadcast to.

    Attributes
    ----------
    tension_n : rope tension at the carriage [N]
    downstream_m : the carriage downstream of the line between the tie points [m]
    height_m : the carriage above the near tie point [m]
    along_n : force along x that must be given to keep the carriage there, positive toward the far bank [N]
    near_length_m : unstretched rope between the near tie point and the carriage [m]
    near_pull, far_pull : on the anchor at each tie point
    """

    tension_n: FloatArray
    downstream_m: FloatArray
    height_m: FloatArray
    along_n: FloatArray
    near_length_m: FloatArray
    near_pull: EndPull
    far_pull: EndPull


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """A rope between two tie points, every value inside the range shown."""

    span: FloatArray
    rise: FloatArray
    unstretched: FloatArray
    weight: FloatArray
    stiffness: FloatArray


def _require_ties(span_m: npt.ArrayLike, rise_m: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Span and rise inside the range shown."""
    span, rise = require(SPAN_M, span_m), numbers("rise_m", rise_m)
    require_between(
        "rise_m", rise, low=SLOPE.low * span, high=SLOPE.high * span, unit="m", why="15 % of the span"
    )
    return span, rise


def _require_line(
    *,
    span_m: npt.ArrayLike,
    rise_m: npt.ArrayLike,
    unstretched_m: npt.ArrayLike,
    weight_n_m: npt.ArrayLike,
    stiffness_n: npt.ArrayLike,
) -> _Line:
    """A line inside the range shown, its length one that some pretension and seating shown would give.

    The tension along the chord is the pretension over the cosine of the slope; a chain of weight w at
    horizontal tension H is longer than its chord by at most sinh(u) / u - 1 <= 0.18 u^2 of it, with
    u = w span / (2 H), as long as u <= 0.9.
    """
    span, rise = _require_ties(span_m, rise_m)
    unstretched = numbers("unstretched_m", unstretched_m)
    weight, stiffness = require(WEIGHT_N_M, weight_n_m), require(STIFFNESS_N, stiffness_n)
    chord = np.hypot(span, rise)
    taut = PRETENSION_N.high * chord / span
    slack = weight * span / (2.0 * PRETENSION_N.low)
    require_between(
        "unstretched_m",
        unstretched,
        low=chord / (1.0 + 1.02 * taut / stiffness),
        high=chord * (1.0 + 0.18 * slack * slack) + SEATING_M.high,
        unit="m",
        why="lengths of the pretensions and seatings shown",
    )
    return _Line(span, rise, unstretched, weight, stiffness)


def unstretched_length_m(
    *,
    span_m: npt.ArrayLike,
    rise_m: npt.ArrayLike,
    weight_n_m: npt.ArrayLike,
    stiffness_n: npt.ArrayLike,
    pretension_n: npt.ArrayLike,
) -> FloatArray:
    """Rope between the tie points, without tension, that hangs empty with a given pretension [m].

    Parameters
    ----------
    span_m, rise_m : from the near to the far tie point, across and up [m]
    weight_n_m : of a metre of unstretched rope [N/m]
    stiffness_n : EA [N]
    pretension_n : horizontal part of the tension after lock-off, no carriage on the line [N]

    Returns
    -------
    array of the shape the arguments broadcast to

    Raises
    ------
    OutOfRange
        Where a value lies outside `atlas.rigging.shown`.
    """
    span, rise = _require_ties(span_m, rise_m)
    return unstretched_for_tension_m(
        run_m=span,
        rise_m=rise,
        weight_n_m=require(WEIGHT_N_M, weight_n_m),
        stiffness_n=require(STIFFNESS_N, stiffness_n),
        horizontal_n=require(PRETENSION_N, pretension_n),
    )


def unloaded_height_m(
    *,
    span_m: npt.ArrayLike,
    rise_m: npt.ArrayLike,
    unstretched_m: npt.ArrayLike,
    weight_n_m: npt.ArrayLike,
    stiffness_n: npt.ArrayLike,
    at_m: npt.ArrayLike,
) -> FloatArray:
    """Height of an empty line over its near tie point, no carriage on it [m].

    Parameters
    ----------
    span_m, rise_m, unstretched_m, weight_n_m, stiffness_n : as in `solve_states`
    at_m : x of the places, tie point to tie point [m]

    Returns
    -------
    array of the shape the arguments broadcast to

    Raises
    ------
    OutOfRange
        Where a value lies outside `atlas.rigging.shown`, or a place off the line.
    """
    line = _require_line(
        span_m=span_m,
        rise_m=rise_m,
        unstretched_m=unstretched_m,
        weight_n_m=weight_n_m,
        stiffness_n=stiffness_n,
    )
    at = numbers("at_m", at_m)
    require_between("at_m", at, low=np.zeros(()), high=line.span, unit="m", why="tie point to tie point")
    segment = hang_segment(
        run_m=line.span,
        rise_m=line.rise,
        unstretched_m=line.unstretched,
        weight_n_m=line.weight,
        stiffness_n=line.stiffness,
    )
    return segment_height_m(
        at, segment, unstretched_m=line.unstretched, weight_n_m=line.weight, stiffness_n=line.stiffness
    )


def solve_states(
    *,
    span_m: npt.ArrayLike,
    rise_m: npt.ArrayLike,
    unstretched_m: npt.ArrayLike,
    weight_n_m: npt.ArrayLike,
    stiffness_n: npt.ArrayLike,
    at_m: npt.ArrayLike,
    downstream_n: npt.ArrayLike,
    down_n: npt.ArrayLike,
) -> TrackState:
    """Track lines with a free, frictionless carriage under load: exact elastic catenaries on both sides.

    Parameters
    ----------
    span_m, rise_m : from the near to the far tie point, across and up [m]
    unstretched_m : rope between them, without tension [m]; see `unstretched_length_m`
    weight_n_m : of a metre of unstretched rope [N/m]
    stiffness_n : EA [N]
    at_m : x of the carriage, from the near tie point [m]
    downstream_n, down_n : what pulls on the carriage [N]; either may be negative

    Returns
    -------
    TrackState of the shape the arguments broadcast to

    Raises
    ------
    OutOfRange
        Where a value lies outside `atlas.rigging.shown`, with field, value and what is allowed.
    NoSolution
        Where no balance is found all the same; none is known.

    Notes
    -----
    Equations in `atlas.rigging.balance`. The rope is linear elastic and perfectly flexible; wind and
    current on the rope itself are left out.
    """
    line = _require_line(
        span_m=span_m,
        rise_m=rise_m,
        unstretched_m=unstretched_m,
        weight_n_m=weight_n_m,
        stiffness_n=stiffness_n,
    )
    span, at = line.span, numbers("at_m", at_m)
    require_between(
        "at_m", at, low=AT_SHARE.low * span, high=AT_SHARE.high * span, unit="m", why="2 to 98 % of the span"
    )
    downstream, down = numbers("downstream_n", downstream_n), numbers("down_n", down_n)
    require(LOAD_N, np.hypot(downstream, down))
    arrays = (span, line.rise, line.unstretched, line.weight, line.stiffness, at, downstream, down)
    shape = np.broadcast_shapes(*(array.shape for array in arrays))
    flat = tuple(
        array.reshape(1) if array.size == 1 else np.broadcast_to(array, shape).reshape(-1) for array in arrays
    )
    return _track_state(_solve_flat(flat, int(np.prod(shape))), shape)


def _solve_flat(arrays: tuple[FloatArray, ...], count: int) -> FloatArray:
    """`settle` in chunks."""
    if 0 < count <= _CHUNK:
        return settle(Batch(*arrays))
    rows = np.empty((len(Row), count))
    for begin in range(0, count, _CHUNK):
        chunk = slice(begin, begin + _CHUNK)
        rows[:, chunk] = settle(Batch(*(array if array.size == 1 else array[chunk] for array in arrays)))
    return rows


def _track_state(rows: FloatArray, shape: tuple[int, ...]) -> TrackState:
    def of(row: Row) -> FloatArray:
        values: FloatArray = rows[row].reshape(shape)
        return values

    return TrackState(
        tension_n=of(Row.TENSION),
        downstream_m=of(Row.BOW),
        height_m=of(Row.HEIGHT),
        along_n=of(Row.ALONG),
        near_length_m=of(Row.NEAR_LENGTH),
        near_pull=EndPull(of(Row.NEAR_ALONG), of(Row.NEAR_DOWNSTREAM), of(Row.NEAR_UP)),
        far_pull=EndPull(of(Row.FAR_ALONG), of(Row.FAR_DOWNSTREAM), of(Row.FAR_UP)),
    )
