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

from atlas.rigging.hung_carriage import Hold, HungCarriage
from atlas.rigging.shown import AT_SHARE, FloatArray

__all__ = ["Runaway", "ferry_lost"]

_PLACES = 65
_CLOSE_M = 1e-9
_TURNS, _HALVINGS = 120, 50
_STILL = 1e-10
"""A carriage driven by less than this share of its load stays where it is."""


@dataclass(frozen=True, slots=True, eq=False)
class Runaway:
    """Where carriages let go run to; one value a site, shape (sites,).

    Attributes
    ----------
    rest_m : x where it comes to rest [m]; the end of the line it runs to, where `at_end`
    at_end : it runs to the end of the places looked at, and would run on
    swept_from_m, swept_to_m : x between which it may run, nothing slowing it [m]
    boat_x_m, boat_y_m : the bow when the carriage has come to rest [m]
    path : the carriage held at places of that range, in order of x, ends and place of rest among them; shape
        (sites, places)
    """

    rest_m: FloatArray
    at_end: NDArray[np.bool_]
    swept_from_m: FloatArray
    swept_to_m: FloatArray
    boat_x_m: FloatArray
    boat_y_m: FloatArray
    path: Hold


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """Places from where the carriages start, in the order they come to them, and what drives them there.

    Attributes
    ----------
    start_m : shape (sites, 1)
    toward : 1 to the far bank, -1 to the near; shape (sites, 1)
    length_m : of the way looked at, shape (sites, 1)
    share : of the way, from 0 to 1, shape (places,)
    force_n : what drives it on, shape (sites, places)
    """

    start_m: FloatArray
    toward: FloatArray
    length_m: FloatArray
    share: FloatArray
    force_n: FloatArray

    @property
    def run_m(self) -> FloatArray:
        """Distance run, shape (sites, places)."""
        return self.length_m * self.share

    def at_m(self, run_m: FloatArray) -> FloatArray:
        """X after a distance run."""
        return self.start_m + self.toward * run_m


def _drive(carriage: HungCarriage, at_m: FloatArray, toward: FloatArray) -> FloatArray:
    """What drives the carriage on; at a barred place, and past it, it is driven back [N]."""
    hold = carriage.held(at_m)
    back_n = np.asarray(carriage.boat.drag_n) + carriage.boat.weight_n
    barred = np.logical_or.accumulate(hold.barred, axis=-1)
    return np.where(barred, -back_n, toward * hold.force_n)


def _way(carriage: HungCarriage, *, start_m: FloatArray, end_m: FloatArray, places: int) -> _Way:
    toward, share = np.sign(end_m - start_m), np.linspace(0.0, 1.0, places)
    way = _Way(start_m, toward, np.abs(end_m - start_m), share, np.zeros(0))
    force_n = _drive(carriage, way.at_m(way.run_m), toward)
    return _Way(start_m, toward, way.length_m, share, force_n)


def _first_stop(way: _Way) -> NDArray[np.intp]:
    """The first place where nothing drives the carriage on, shape (sites, 1); 0 where there is none."""
    stops = way.force_n <= 0.0
    stops[:, 0] = False
    first: NDArray[np.intp] = np.argmax(stops, axis=1)
    return first[:, None]


def _rest_m(carriage: HungCarriage, way: _Way, *, still: float) -> FloatArray:
    """Distance run to the first place of rest, shape (sites, 1); the whole way where there is none.

    False position with the Illinois rule (Dowell and Jarratt, BIT 11, 1971, 168-174) between the place that
    stops the carriage and the one before; every third step halves, for places where the force jumps.
    """
    stop = _first_stop(way)
    before = np.maximum(stop - 1, 0)
    low, high = (np.take_along_axis(way.run_m, index, axis=1) for index in (before, stop))
    drives, stops = (np.take_along_axis(way.force_n, index, axis=1) for index in (before, stop))
    still_n = still * (np.asarray(carriage.boat.drag_n) + carriage.boat.weight_n)
    run, last = high, np.zeros(low.shape)
    done = (stop == 0) | (stops == 0.0)
    for turn in range(_TURNS):
        if done.all():
            break
        share = np.where(turn % 3 == 2, 0.5, drives / np.maximum(drives - stops, still_n))
        run = np.where(done, run, low + (high - low) * np.clip(share, 1e-3, 1.0 - 1e-3))
        force = _drive(carriage, way.at_m(run), way.toward)
        on = force > 0.0
        side = np.where(on, 1.0, -1.0)
        again = np.where(side == last, 0.5, 1.0)
        low, high = np.where(on, run, low), np.where(on, high, run)
        drives, stops = np.where(on, force, again * drives), np.where(on, again * stops, force)
        last = side
        done |= (np.abs(force) <= still_n) | (high - low <= _CLOSE_M)
    return np.where(stop == 0, way.length_m, run)


def _turn_m(way: _Way, *, rest_m: FloatArray) -> FloatArray:
    """Distance run to where all the work is spent again, shape (sites, 1); the whole way where it is not.

    The work is summed as a cubic between the places (Fritsch and Carlson) and followed in the first
    stretch at whose end it is spent.
    """
    summed = PchipInterpolator(way.share, way.force_n, axis=1).antiderivative()
    spent = (summed(way.share) <= 0.0) & (way.run_m > rest_m)
    node = np.argmax(spent, axis=1)
    sites = np.arange(node.size)
    stretch = np.maximum(node - 1, 0)
    powers = summed.c[:, stretch, sites]
    low, high = np.maximum(way.share[stretch], rest_m[:, 0] / way.length_m[:, 0]), way.share[node]
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        work = np.zeros(middle.shape)
        for power in powers:
            work = work * (middle - way.share[stretch]) + power
        low, high = np.where(work > 0.0, middle, low), np.where(work > 0.0, high, middle)
    return np.where(spent.any(axis=1), high * way.length_m[:, 0], way.length_m[:, 0])[:, None]


def ferry_lost(carriage: HungCarriage, *, places: int = _PLACES, still: float = _STILL) -> Runaway:
    """Where carriages run to after a ferry line is lost, and over which ground.

    Parameters
    ----------
    carriage : as it was when the line went, its values numbers; or those of many sites, shape (sites, 1)
    places : looked at on the way, and again, nearer together, where it may run
    still : driven by less than this share of its load a carriage is at rest

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
    start_m = np.asarray(carriage.ring.x_m, dtype=np.float64).reshape(-1, 1)
    span_m = np.broadcast_to(carriage.track.span_m, start_m.shape)
    drive_n = carriage.held(start_m).force_n
    stays = np.abs(drive_n) <= 10.0 * still * (np.asarray(carriage.boat.drag_n) + carriage.boat.weight_n)
    end_m = span_m * np.where(drive_n > 0.0, AT_SHARE.high, AT_SHARE.low)
    way = _way(carriage, start_m=start_m, end_m=end_m, places=places)
    rest_m, at_end = _rest_m(carriage, way, still=still), _first_stop(way) == 0
    # once more over the ground that it may sweep, the places nearer together
    turn_m = np.where(at_end, way.length_m, _turn_m(way, rest_m=rest_m))
    past_m = np.minimum(turn_m + way.run_m[:, 1:2], way.length_m)
    finer = _way(carriage, start_m=start_m, end_m=way.at_m(past_m), places=places)
    turn_m = np.where(at_end, way.length_m, _turn_m(finer, rest_m=rest_m))
    rest_m, turn_m = (np.where(stays, 0.0, run) for run in (rest_m, turn_m))
    return _runaway(
        carriage,
        start_m,
        rest_m=way.at_m(rest_m),
        turn_m=way.at_m(turn_m),
        at_end=at_end & ~stays,
        places=places,
    )


def _runaway(
    carriage: HungCarriage,
    start_m: FloatArray,
    *,
    rest_m: FloatArray,
    turn_m: FloatArray,
    at_end: NDArray[np.bool_],
    places: int,
) -> Runaway:
    from_m, to_m = np.minimum(start_m, turn_m), np.maximum(start_m, turn_m)
    at_rest = carriage.held(rest_m)
    flow_x, flow_y = carriage.boat.flow
    path_m = np.concatenate([from_m + (to_m - from_m) * np.linspace(0.0, 1.0, places), rest_m], axis=1)
    return Runaway(
        rest_m=rest_m[:, 0],
        at_end=at_end[:, 0],
        swept_from_m=from_m[:, 0],
        swept_to_m=to_m[:, 0],
        boat_x_m=(at_rest.ring.x_m + at_rest.away_m * flow_x)[:, 0],
        boat_y_m=(at_rest.ring.y_m + at_rest.away_m * flow_y)[:, 0],
        path=carriage.held(np.sort(path_m, axis=1)),
    )
