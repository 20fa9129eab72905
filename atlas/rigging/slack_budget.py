"""Slack budget: how much slack in the up-down line the track line can catch and stay inside its limit.

A boat on a slack line is carried off, D (1 - u / v)^2 driving it, and comes into the line with a speed u
after a way s:

    s = m v^2 / D (u / (v - u) + ln(1 - u / v))                               (1)

(Newton's law for a mass m from rest in a current v that pushes D on it at rest). Then the line takes up what
the boat brings and what the current goes on giving it, until the boat stands:

    d (m u^2 / 2) / db = D (1 - u / v)^2 - F(b)                               (2)

F(b) is the track line's own force-bow curve: the boat's pull that draws the boat down by b. (2) followed
backward from a boat that stands where the track line's tension is at its limit gives the speed with which
it may come into the line, and (1) the way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.integrate import cumulative_simpson

from atlas.rigging.drift import SPEED_M_S
from atlas.rigging.ferry import AnyStation, toward
from atlas.rigging.hung_boat import RingPlace
from atlas.rigging.shown import LOAD_N, FloatArray, Shown, require
from atlas.rigging.trackline import TrackLine, TrackState

__all__ = ["Catch", "PullShare", "catch_by_line", "pull_share", "slack_budget_m"]

_MASS_KG = Shown("boat_mass_kg", 50.0, 5000.0, "kg")
_DRAG_N = Shown("drag_n", 1.0, 15e3, "N")
_TURNS = 60
_CLOSE = 1e-9
"""Share of the limit within which a tension is at it."""
_STEPS = 128
_CORRECTIONS = 4


@dataclass(frozen=True, slots=True, eq=False)
class PullShare:
    """What comes to the carriage for each newton that the boat pulls in the direction of the flow.

    Attributes
    ----------
    downstream, down : across the track line and down; the rest is held by the ferry lines
    """

    downstream: FloatArray
    down: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Catch:
    """The track line's force-bow curve from the empty carriage to its limit.

    Attributes
    ----------
    pull_n : of the boat, even steps from 0 to the limit, shape (steps, ..., places); all 0 where the line is
        past its limit without a boat [N]
    give_m : how far the boat comes down by it, from where the strands just pull; same shape [m]
    """

    pull_n: FloatArray
    give_m: FloatArray

    @property
    def work_j(self) -> FloatArray:
        """Work done on the lines until each pull, same shape: pull x give less the give summed over pull."""
        step = self.pull_n[1] - self.pull_n[0]
        summed = step * cumulative_simpson(self.give_m, dx=1.0, axis=0, initial=0.0)
        return np.asarray(self.pull_n * self.give_m - summed)


def pull_share(
    up_down: AnyStation,
    ring: RingPlace,
    *,
    bow_ring_m: float | FloatArray,
    strand_m: npt.ArrayLike,
    skew_deg: float | FloatArray,
    bow_strands: int,
) -> PullShare:
    """Pull on the carriage for each newton of the boat's: the strands, and the working strand to its station.

    Parameters
    ----------
    up_down : station of the up-down line
    ring : where the carriage ring is
    bow_ring_m : bow ring over the survey day's water, the stage's rise counted [m]
    strand_m : how far below the ring the bow is, in plan [m]
    skew_deg : the flow, from straight downstream toward the far bank [degrees]
    bow_strands : strands of the up-down line at the bow

    Notes
    -----
    Equilibrium of the boat: n strands of slope h / r pull hypot(1, h / r) together and h / r down; the
    working strand pulls an n-th of it toward its station. The slope is taken as it is at the ring's place.
    """
    slope = np.maximum(ring.z_m - bow_ring_m, 0.0) / np.asarray(strand_m, dtype=np.float64)
    _, work_y, work_z, _ = toward(up_down, x_m=ring.x_m, y_m=ring.y_m, z_m=ring.z_m)
    work = np.hypot(1.0, slope) / bow_strands
    return PullShare(downstream=np.cos(np.radians(skew_deg)) + work * work_y, down=slope - work * work_z)


def catch_by_line(
    track: TrackLine,
    share: PullShare,
    *,
    at_m: npt.ArrayLike,
    weight_n: float | FloatArray,
    tension_most_n: float | FloatArray,
    pull_most_n: npt.ArrayLike = np.inf,
    steps: int = _STEPS,
) -> Catch:
    """The track line's force-bow curve, from the empty carriage to its limit.

    Parameters
    ----------
    track : the line; the stiffer and the tighter it is, the less it takes up
    share : see `pull_share`
    at_m : x of the carriage, where the ferry lines keep it, shape (places,), or (sites, places) of many
        sites, whose other values then broadcast with it [m]
    weight_n : of carriage and hardware [N]
    tension_most_n : greatest tension of the track line inside plan [N]
    pull_most_n : greatest pull of the boat that the other lines stand inside plan, one or one a place [N]
    steps : the curve is told in

    Raises
    ------
    OutOfRange
        From the track line.

    Notes
    -----
    Exact states of the line. Stretch of the up-down line, which would take up some more, is left out, and so
    is the carriage's mass. A limit not met at 15 kN on the carriage counts as met there.
    """
    at, downstream, down = np.broadcast_arrays(
        np.atleast_1d(np.asarray(at_m, dtype=np.float64)), share.downstream, share.down
    )

    def state(pull_n: FloatArray) -> TrackState:
        return track.loaded(at_m=at, downstream_n=pull_n * downstream, down_n=weight_n + pull_n * down)

    empty = state(np.zeros(at.shape))
    most_n = np.minimum((LOAD_N.high - weight_n) / np.hypot(downstream, down), pull_most_n)
    pull_n = np.linspace(0.0, _pull_at_limit(state, empty, most_n, tension_most_n), steps + 1)
    there = state(pull_n)
    give_m = downstream * (there.downstream_m - empty.downstream_m) - down * (there.height_m - empty.height_m)
    return Catch(pull_n, give_m)


def _pull_at_limit(
    state: Callable[[FloatArray], TrackState],
    empty: TrackState,
    most_n: FloatArray,
    limit_n: float | FloatArray,
) -> FloatArray:
    """The pull at which the line comes to its limit; `most_n` where it does not, 0 where it is past it.

    False position with the Illinois rule (Dowell and Jarratt, BIT 11, 1971, 168-174), from below.
    """
    low_n, high_n = np.zeros(most_n.shape), most_n
    room, over = limit_n - empty.tension_n, state(most_n).tension_n - limit_n
    done = (room <= 0.0) | (over <= 0.0)
    low_n, last = np.where(over <= 0.0, high_n, low_n), np.zeros(most_n.shape)
    low_n = np.where(room <= 0.0, 0.0, low_n)
    for _ in range(_TURNS):
        if done.all():
            break
        share = np.clip(room / np.maximum(room + over, 1e-300), 1e-3, 1.0 - 1e-3)
        middle_n = np.where(done, low_n, low_n + share * (high_n - low_n))
        left = limit_n - state(middle_n).tension_n
        within = left >= 0.0
        side = np.where(within, 1.0, -1.0)
        again = np.where(side == last, 0.5, 1.0)
        low_n = np.where(within & ~done, middle_n, low_n)
        high_n = np.where(within | done, high_n, middle_n)
        room, over = np.where(within, left, again * room), np.where(within, again * over, -left)
        last = side
        done = done | (within & (left <= _CLOSE * limit_n))
    return low_n


def slack_budget_m(
    catch: Catch, *, boat_mass_kg: npt.ArrayLike, drag_n: npt.ArrayLike, speed_m_s: npt.ArrayLike
) -> FloatArray:
    """Way the boat may be carried off before the line catches it, least over the places [m].

    Parameters
    ----------
    catch : what the track line can take up
    boat_mass_kg : boat, crew, and the water in and with it [kg]
    drag_n : of the boat at rest in the current [N]
    speed_m_s : of the water [m/s]

    Returns
    -------
    the way, one value a site; 0 where a boat put on the line without any slack is past the limit; infinite
    where the boat, no faster than the water, cannot come to the limit. With n strands at the bow the up-down
    line is slack by n times the way.

    Raises
    ------
    OutOfRange
        For masses outside 50 to 5000 kg, drags outside 1 N to 15 kN, speeds outside 0.05 to 10 m/s.

    Notes
    -----
    (1) and (2) of the module. The heavier the boat, the less.
    """
    mass, drag = require(_MASS_KG, boat_mass_kg), require(_DRAG_N, drag_n)
    speed = require(SPEED_M_S, speed_m_s)
    ratio = _speed_most(catch, mass_kg=mass[..., None], drag_n=drag[..., None], speed_m_s=speed[..., None])
    free = ratio >= 1.0
    slow = np.clip(np.where(free, 0.5, ratio), 0.0, 1.0)
    way = mass * speed**2 / drag * (slow / (1.0 - slow) + np.log1p(-slow))
    return np.where(free, np.inf, way)


def _speed_most(
    catch: Catch, *, mass_kg: FloatArray, drag_n: FloatArray, speed_m_s: FloatArray
) -> FloatArray:
    """Greatest speed over the water's with which a boat may come into the line, least over the places.

    (2) backward by the trapezoid rule, F's part of it summed beforehand. A place where the boat would stand
    before the line is unloaded again is past the limit with no speed at all: 0.
    """
    whole_j = 0.5 * mass_kg * speed_m_s**2
    steps_j = np.diff(catch.work_j, axis=0)[::-1]
    ways_m = np.diff(catch.give_m, axis=0)[::-1]
    energy_j = np.zeros(catch.pull_n.shape[1:])
    able = np.ones(energy_j.shape, dtype=np.bool_)
    for step_j, way_m in zip(steps_j, ways_m, strict=True):
        push_n = drag_n * _slip(energy_j / whole_j) ** 2
        before_j = energy_j + step_j - push_n * way_m
        for _ in range(_CORRECTIONS):
            ahead_n = drag_n * _slip(before_j / whole_j) ** 2
            before_j = energy_j + step_j - 0.5 * (push_n + ahead_n) * way_m
        able &= before_j > 0.0
        energy_j = np.maximum(before_j, 0.0)
    return np.asarray(np.sqrt(np.where(able, energy_j, 0.0) / whole_j).min(axis=-1))


def _slip(energy_share: FloatArray) -> FloatArray:
    """1 - u / v, from the boat's energy over that at the water's speed."""
    return np.maximum(1.0 - np.sqrt(np.maximum(energy_share, 0.0)), 0.0)
