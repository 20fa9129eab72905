"""If a ferry line is lost: where the carriage runs to on the track line, and over which ground.

It runs to where the force along the line, `Hold.force_n`, is none and falls. All the forces have a potential
and this one is what it loses for a metre of x, ring and boat being at rest in every other direction. So
the place of rest is a least of the potential, and a carriage that starts from rest never gets past the
place where the potential is again what it was at the start: the ground it may sweep.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from atlas.rigging.hung_carriage import Hold, HungCarriage
from atlas.rigging.shown import AT_SHARE, FloatArray

__all__ = ["Runaway", "ferry_lost"]

_PLACES = 65
_CLOSE_M = 1e-9
_STILL = 1e-9
"""A carriage driven by less than this share of its load stays where it is."""


@dataclass(frozen=True, slots=True)
class Runaway:
    """Where a carriage let go runs to.

    Attributes
    ----------
    rest_m : x where it comes to rest [m]; the end of the line it runs to, where `at_end`
    at_end : it runs to the end of the places looked at, and would run on
    swept_from_m, swept_to_m : x between which it may run, nothing slowing it [m]
    boat_x_m, boat_y_m : the bow when the carriage has come to rest [m]
    path : the carriage held at places of that range, in order of x, ends included
    """

    rest_m: float
    at_end: bool
    swept_from_m: float
    swept_to_m: float
    boat_x_m: float
    boat_y_m: float
    path: Hold


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """Places from where the carriage starts, in the order it comes to them, and what drives it there.

    Attributes
    ----------
    toward : 1 to the far bank, -1 to the near
    run_m : distance run, from 0
    force_n : what drives it on
    """

    start_m: float
    toward: float
    run_m: FloatArray
    force_n: FloatArray

    @property
    def work_j(self) -> PchipInterpolator:
        """Work done on it, over distance run."""
        return PchipInterpolator(self.run_m, self.force_n).antiderivative()


def _way(carriage: HungCarriage, *, start_m: float, end_m: float) -> _Way:
    """The way to an end, or to the first barred place."""
    run_m = np.linspace(0.0, abs(end_m - start_m), _PLACES)
    toward = float(np.sign(end_m - start_m))
    barred, force_n = _drive(carriage, start_m + toward * run_m, toward)
    free = int(np.argmax(barred)) if barred.any() else _PLACES
    kept = slice(0, max(free + 1, 2))
    return _Way(start_m, toward, run_m[kept], force_n[kept])


def _drive(carriage: HungCarriage, at_m: FloatArray, toward: float) -> tuple[NDArray[np.bool_], FloatArray]:
    """Which places are barred, and what drives the carriage on; at a barred one it is driven back [N]."""
    hold = carriage.held(at_m)
    back_n = carriage.boat.drag_n + carriage.boat.weight_n
    return hold.barred, np.where(hold.barred, -back_n, toward * hold.force_n)


def _rest_m(carriage: HungCarriage, way: _Way) -> float | None:
    """Distance run to the first place of rest; None where there is none on the way."""
    stops = np.flatnonzero(way.force_n <= 0.0)
    stops = stops[stops > 0]
    if not stops.size:
        return None

    def drive_n(run_m: float) -> float:
        return float(_drive(carriage, np.array([way.start_m + way.toward * run_m]), way.toward)[1][0])

    low, high = way.run_m[stops[0] - 1], way.run_m[stops[0]]
    return float(brentq(drive_n, low, high, xtol=_CLOSE_M))


def _turn_m(way: _Way, *, rest_m: float) -> float:
    """Distance run to where all the work is spent again; the end of the way where it is not."""
    spent = way.work_j.solve(0.0, extrapolate=False)
    beyond = spent[spent > rest_m]
    return float(beyond.min()) if beyond.size else float(way.run_m[-1])


def ferry_lost(carriage: HungCarriage) -> Runaway:
    """Where the carriage runs to after a ferry line is lost, and over which ground.

    Parameters
    ----------
    carriage : as it was when the line went

    Raises
    ------
    OutOfRange
        From the track line.
    NoSolution
        Where the forces do not settle.

    Notes
    -----
    Looked at from 2 to 98 % of the span, as far as no place is barred: see `Hold`. The drag is that of a
    boat at rest, more than on one that is carried down, and nothing slows the carriage: it may sweep less
    than is told, not more.
    """
    span_m, start_m = float(carriage.track.span_m), float(carriage.ring.x_m)
    drive_n = float(carriage.held(np.array([start_m])).force_n[0])
    if abs(drive_n) <= _STILL * (carriage.boat.drag_n + carriage.boat.weight_n):
        return _runaway(carriage, rest_m=start_m, turn_m=start_m, at_end=False)
    end_m = span_m * (AT_SHARE.high if drive_n > 0.0 else AT_SHARE.low)
    way = _way(carriage, start_m=start_m, end_m=end_m)
    rest_m = _rest_m(carriage, way)
    if rest_m is None:
        last_m = way.start_m + way.toward * float(way.run_m[-1])
        return _runaway(carriage, rest_m=last_m, turn_m=last_m, at_end=True)
    # once more over the ground that it may sweep, the places nearer together
    turn_m = _turn_m(way, rest_m=rest_m)
    past_m = min(turn_m + float(way.run_m[1]), float(way.run_m[-1]))
    finer = _way(carriage, start_m=start_m, end_m=start_m + way.toward * past_m)
    turn_m = _turn_m(finer, rest_m=rest_m)
    return _runaway(
        carriage, rest_m=start_m + way.toward * rest_m, turn_m=start_m + way.toward * turn_m, at_end=False
    )


def _runaway(carriage: HungCarriage, *, rest_m: float, turn_m: float, at_end: bool) -> Runaway:
    start_m = float(carriage.ring.x_m)
    from_m, to_m = min(start_m, turn_m), max(start_m, turn_m)
    at_rest = carriage.held(np.array([rest_m]))
    flow_x, flow_y = carriage.boat.flow
    return Runaway(
        rest_m=rest_m,
        at_end=at_end,
        swept_from_m=from_m,
        swept_to_m=to_m,
        boat_x_m=float(at_rest.ring.x_m[0] + at_rest.away_m[0] * flow_x),
        boat_y_m=float(at_rest.ring.y_m[0] + at_rest.away_m[0] * flow_y),
        path=carriage.held(np.linspace(from_m, to_m, _PLACES)),
    )
