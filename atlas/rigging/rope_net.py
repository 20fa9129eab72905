"""Rest of ring and boat on lines of given length in a current: the least of a convex potential.

Unknown are the ring (x, y, z) and the boat (x, y), the boat's bow ring riding at a fixed height. Line i runs
from its station to the ring and, if it is the up-down line, on in b strands between ring and bow:

    e_i = f(|station_i - ring|) + b_i f(|boat - ring|) - length_i      t_i = k_i max(e_i, 0)

    potential = sum k_i max(e_i, 0)^2 / 2 + weight z - drag u . boat                             (1)

A length is a convex function of its ends and so is the square of the positive part of one; (1) is convex
and has no other place of rest than its least, found by Newton's steps with damping. Rope over frictionless
pulleys, straight between them; the ring does not sink below the bow ring's height. f(c) = c, but for what
has come nearer than a = 0.5 m, where ring and bow, or ring and station, meet: there it is
a (3/8 + 3/4 (c / a)^2 - 1/8 (c / a)^4), which joins on smoothly and is convex as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.faults import NoSolution
from atlas.rigging.shown import FloatArray

__all__ = ["Net", "elongations", "settle_net"]

_TURNS = 400
_SETTLED = 1e-11
_STEP_M = 20.0
_HALVINGS = 40
_LEAST_RISE = 1e-4
_MEET_M = 0.5
RING_Z = 2
"""Place of the ring's height among the unknowns."""


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """Lines, weight and current; the first axis of the arrays is the states, the next the lines.

    Attributes
    ----------
    stations : x, y, z of the stations, shape (states, lines, 3), or (lines, 3) for all states alike [m]
    strands : of each line between ring and bow, shape (lines,)
    lengths_m : unstretched, shape (states, lines)
    stiffness_n_m : k, shape (states, lines) [N/m]
    weight_n : at the ring, shape (states,) or one [N]
    drag_n : x and y, on the boat, shape (states, 2) or (2,) [N]
    bow_ring_m : height of the boat's bow ring, shape (states,) or one [m]
    """

    stations: FloatArray
    strands: FloatArray
    lengths_m: FloatArray
    stiffness_n_m: FloatArray
    weight_n: float | FloatArray
    drag_n: FloatArray
    bow_ring_m: float | FloatArray

    @property
    def load_n(self) -> FloatArray:
        """What all the lines together have to hold, the measure of what is small [N]."""
        return np.asarray(np.hypot(self.drag_n[..., 0], self.drag_n[..., 1]) + self.weight_n)

    def part(self, which: NDArray[np.intp]) -> Net:
        """Some of the states, by index."""

        def of(value: float | FloatArray, axes: int) -> FloatArray:
            array: FloatArray = np.asarray(value, dtype=np.float64)
            return array if array.ndim < axes else array[which]

        return Net(
            of(self.stations, 3), self.strands, self.lengths_m[which], self.stiffness_n_m[which],
            of(self.weight_n, 1), of(self.drag_n, 2), of(self.bow_ring_m, 1),
        )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Ways:
    """Ways between points, coordinates in the last axis: vector, f of its length, f' / c and f''."""

    vector: FloatArray
    length_m: FloatArray
    slope_a_metre: FloatArray
    bend: FloatArray

    @classmethod
    def of(cls, vector: FloatArray) -> _Ways:
        """Ways along vectors."""
        apart_m = np.sqrt((vector**2).sum(axis=-1))
        near = np.minimum(apart_m / _MEET_M, 1.0) ** 2
        return cls(
            vector=vector,
            length_m=np.where(near < 1.0, _MEET_M * (0.375 + 0.75 * near - 0.125 * near**2), apart_m),
            slope_a_metre=(1.5 - 0.5 * near) / np.maximum(apart_m, _MEET_M),
            bend=1.5 * (1.0 - near) / _MEET_M,
        )

    def first(self) -> FloatArray:
        """Derivative of the length with the vector."""
        return self.vector * self.slope_a_metre[..., None]

    def second(self) -> FloatArray:
        """Second derivative: f'' along the way and f' / c across it."""
        square = np.maximum((self.vector**2).sum(axis=-1), np.finfo(np.float64).tiny)
        outer = self.vector[..., :, None] * self.vector[..., None, :] / square[..., None, None]
        along = (self.bend - self.slope_a_metre)[..., None, None] * outer
        across: FloatArray = self.slope_a_metre[..., None, None] * np.eye(3)
        whole: FloatArray = across + along
        return whole


def _ways(net: Net, at: FloatArray) -> tuple[_Ways, _Ways, FloatArray]:
    """From ring to stations, from ring to bow, and by how much the lines are longer than their rope."""
    ring = at[:, :3]
    bow = np.column_stack([at[:, 3:], np.broadcast_to(net.bow_ring_m, len(at))])
    stations, strand = _Ways.of(net.stations - ring[:, None, :]), _Ways.of(bow - ring)
    return stations, strand, stations.length_m + net.strands * strand.length_m[:, None] - net.lengths_m


def elongations(net: Net, at: FloatArray) -> FloatArray:
    """By how much the lines are longer than their rope, shape (states, lines); negative is slack [m]."""
    return _ways(net, at)[2]


def _potential(net: Net, at: FloatArray, start: FloatArray) -> FloatArray:
    """(1), with weight and drag counted from where the search began so that no digits are lost [J]."""
    taut = np.maximum(elongations(net, at), 0.0)
    moved = at - start
    potential: FloatArray = (
        0.5 * (net.stiffness_n_m * taut**2).sum(axis=-1)
        + net.weight_n * moved[:, RING_Z]
        - (moved[:, 3:] * net.drag_n).sum(axis=-1)
    )
    return potential


def _slopes(net: Net, at: FloatArray) -> tuple[FloatArray, FloatArray]:
    """First and second derivatives of (1), shapes (states, 5) and (states, 5, 5)."""
    stations, strand, elongation = _ways(net, at)
    stiffness = np.where(elongation > 0.0, net.stiffness_n_m, 0.0)
    tension = stiffness * elongation
    change = np.zeros((*elongation.shape, 5))
    strands = net.strands[:, None] * strand.first()[:, None, :]
    change[..., :3] = -stations.first() - strands
    change[..., 3:] = strands[..., :2]
    gradient = np.einsum("si,sij->sj", tension, change)
    gradient[:, RING_Z] += net.weight_n
    gradient[:, 3:] -= net.drag_n
    hessian = np.einsum("si,sij,sik->sjk", stiffness, change, change)
    hessian[:, :3, :3] += np.einsum("si,sijk->sjk", tension, stations.second())
    bend = (tension @ net.strands)[:, None, None] * strand.second()
    hessian[:, :3, :3] += bend
    hessian[:, :3, 3:] -= bend[:, :, :2]
    hessian[:, 3:, :3] -= bend[:, :2, :]
    hessian[:, 3:, 3:] += bend[:, :2, :2]
    return gradient, hessian


def _step(
    gradient: FloatArray, hessian: FloatArray, held: NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray]:
    """Newton's step, damped by the force left over, and that force [N]; a held ring stays at its height."""
    gradient = gradient.copy()
    gradient[held, RING_Z] = 0.0
    left: FloatArray = np.sqrt((gradient**2).sum(axis=-1))
    hessian = hessian.copy()
    hessian[held, RING_Z, :] = 0.0
    hessian[held, :, RING_Z] = 0.0
    hessian[held, RING_Z, RING_Z] = 1.0
    damping = np.maximum(left / _STEP_M, 1e-9)
    hessian += damping[:, None, None] * np.eye(5)
    step = np.linalg.solve(hessian, -gradient[..., None])[..., 0]
    return np.asarray(step, dtype=np.float64), left


def settle_net(net: Net, start: FloatArray) -> FloatArray:
    """Where ring and boat come to rest, every state at once.

    Parameters
    ----------
    net : the lines
    start : where ring (x, y, z) and boat (x, y) are when they are let go, shape (states, 5) [m]

    Returns
    -------
    array of the shape of `start`

    Raises
    ------
    NoSolution
        A state has not settled after the turns allowed.

    Notes
    -----
    The forces left over are under 1e-11 of weight and drag together, and the round-off of a stiff line.
    """
    at = start.copy()
    at[:, RING_Z] = np.maximum(at[:, RING_Z], net.bow_ring_m)
    open_ = np.arange(len(at))
    # a length of d metres is known to about 1e-16 d, and a line's tension to k times that
    floor = 4.0 * np.finfo(np.float64).eps * (net.stiffness_n_m * net.lengths_m).max(axis=-1)
    for _ in range(_TURNS):
        part, here, begin = net.part(open_), at[open_], start[open_]
        gradient, hessian = _slopes(part, here)
        held = (here[:, RING_Z] <= part.bow_ring_m) & (gradient[:, RING_Z] > 0.0)
        step, left = _step(gradient, hessian, held)
        going = left > _SETTLED * part.load_n + floor[open_]
        if not going.any():
            return at
        open_, here, begin, step = open_[going], here[going], begin[going], step[going]
        at[open_] = _descend(net.part(open_), here, begin, step, gradient[going])
    raise NoSolution(f"lines to ring and boat: {len(open_)} state(s) not at rest after {_TURNS} turns")


def _descend(
    net: Net, here: FloatArray, begin: FloatArray, step: FloatArray, gradient: FloatArray
) -> FloatArray:
    """The place after the longest part of the step, halved and halved again, that lowers the potential."""
    before = _potential(net, here, begin)
    # near rest the potential changes by less than its last digit
    noise = 1e-12 * (np.abs(before) + net.load_n)
    share = np.ones(len(here))
    for _ in range(_HALVINGS):
        there = here + share[:, None] * step
        there[:, RING_Z] = np.maximum(there[:, RING_Z], net.bow_ring_m)
        fall = ((there - here) * gradient).sum(axis=-1)
        good = _potential(net, there, begin) <= before + _LEAST_RISE * fall + noise
        if good.all():
            return there
        share = np.where(good, share, 0.5 * share)
    raise NoSolution("lines to ring and boat: no step lowers the potential")
