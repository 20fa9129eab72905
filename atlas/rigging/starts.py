"""Where Newton's method begins: a rope whose weight is lumped at the carriage, straight on both sides.

Half of the rope's weight then hangs on the carriage, and the sag of the two parts between their ends
only takes up length. With the load Q = hypot(P, D + w S / 2) the carriage is drawn off the chord by
some d in the direction of Q, the parts are c1 and c2 long, and

    tension = EA / S (c1 + c2 + w^2 (c1^3 + c2^3) / (24 tension^2) - S)
    Q = tension (d / c1 + d / c2)                       (with the slope of the chord, see `_pull`)

For a small d this is a cubic in the tension, tension^2 (tension - taut) = bend. These are first guesses
only; `balance` says what is true.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.rigging.balance import Batch, Trial
from atlas.rigging.shown import FloatArray

__all__ = ["careful_start", "lumped_place", "quick_start"]

_CUBIC_STEPS = 3
_HALVINGS = 20
_LEAST_TENSION_N = 1.0


@dataclass(frozen=True, slots=True)
class _Lumped:
    """The load on the straight parts and the geometry of the chord at the carriage."""

    far: FloatArray
    """span - x [m]"""
    spring: FloatArray
    """EA / S [N/m]"""
    sag: FloatArray
    """w^2 / 24 [N2/m2]"""
    load: FloatArray
    """Q [N]"""
    downward: FloatArray
    """Cosine of the angle between Q and straight down"""
    near_drop: FloatArray
    """Height of the chord over the near tie point at x [m]"""
    far_drop: FloatArray
    """Height of the far tie point over the chord at x [m]"""


def _lumped(batch: Batch) -> _Lumped:
    down = batch.down + 0.5 * batch.weight * batch.unstretched
    load = np.sqrt(batch.downstream * batch.downstream + down * down)
    chord = batch.rise * batch.at / batch.span
    return _Lumped(
        far=batch.span - batch.at,
        spring=batch.stiffness / batch.unstretched,
        sag=batch.weight * batch.weight / 24.0,
        load=load,
        downward=down / load,
        near_drop=chord,
        far_drop=batch.rise - chord,
    )


def _cubic_tension(taut: FloatArray, bend: FloatArray) -> FloatArray:
    """Positive root of t^2 (t - taut) = bend, from above: t^3 is convex there, so Newton cannot overshoot."""
    tension = np.cbrt(bend) + np.maximum(taut, 0.0)
    for _ in range(_CUBIC_STEPS):
        rest = tension - taut
        tension = tension - (tension * tension * rest - bend) / (tension * (tension + 2.0 * rest))
    return tension


def _parts(batch: Batch, lumped: _Lumped, draw: FloatArray) -> tuple[FloatArray, FloatArray]:
    """c1 and c2, tie point to carriage, when it is drawn off the chord by `draw`."""
    square = draw * draw
    near = batch.at * batch.at + lumped.near_drop * lumped.near_drop + square
    far = lumped.far * lumped.far + lumped.far_drop * lumped.far_drop + square
    lean = 2.0 * draw * lumped.downward
    return np.sqrt(near - lean * lumped.near_drop), np.sqrt(far + lean * lumped.far_drop)


def _pull(lumped: _Lumped, draw: FloatArray, near: FloatArray, far: FloatArray) -> FloatArray:
    """Pull of both parts against Q for each newton of tension; the chord's slope counts."""
    return (draw - lumped.near_drop * lumped.downward) / near + (
        draw + lumped.far_drop * lumped.downward
    ) / far


def _trial(batch: Batch, lumped: _Lumped, draw: FloatArray) -> Trial:
    """The three unknowns for a carriage drawn off by `draw`; tension from the balance, not the stretch."""
    near, far = _parts(batch, lumped, draw)
    tension = lumped.load / _pull(lumped, draw, near, far)
    length = batch.unstretched * near / (near + far)
    lift = tension * (draw * lumped.downward - lumped.near_drop) / near - 0.5 * batch.weight * length
    return Trial(tension, lift, length)


def _shallow(batch: Batch, lumped: _Lumped) -> tuple[FloatArray, FloatArray]:
    """Tension of the shallow rope, and its give at the carriage, x1 x2 / (L tension) [N, m/N]."""
    share = batch.at * lumped.far / batch.span
    chord = batch.span + batch.rise * batch.rise / (2.0 * batch.span)
    sag = lumped.sag * (batch.span * batch.span - 3.0 * batch.at * lumped.far) * batch.span
    tension = _cubic_tension(
        lumped.spring * (chord - batch.unstretched),
        lumped.spring * (0.5 * share * lumped.load * lumped.load + sag),
    )
    return tension, share / tension


def lumped_place(batch: Batch) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Where the shallow rope holds its carriage.

    Returns
    -------
    its give [m/N]; y of the carriage and its depth under the near tie point, shape (2, batch) [m]; the
    force along the line that keeps it there, from the parts' slopes to second order [N]
    """
    lumped = _lumped(batch)
    tension, give = _shallow(batch, lumped)
    place = np.empty((2, batch.count))
    place[0] = batch.downstream * give
    place[1] = lumped.downward * lumped.load * give - lumped.near_drop
    bow, drop = place
    far_drop = drop + batch.rise
    slopes = (bow * bow + far_drop * far_drop) / lumped.far**2 - (bow * bow + drop * drop) / batch.at**2
    return give, place, 0.5 * tension * slopes


def quick_start(batch: Batch) -> Trial:
    """The cubic of the shallow rope, then one Newton step in `draw` with the parts' true lengths."""
    lumped = _lumped(batch)
    tension, give = _shallow(batch, lumped)
    draw = lumped.load * give
    near, far = _parts(batch, lumped, draw)
    pull = _pull(lumped, draw, near, far)
    sag = lumped.sag / (tension * tension) * (near * near * near + far * far * far)
    tension = np.maximum(lumped.spring * (near + far + sag - batch.unstretched), _LEAST_TENSION_N)
    near, far = 1.0 / near, 1.0 / far
    bend = near + far - draw * draw * (near * near * near + far * far * far)
    draw = draw - (tension * pull - lumped.load) / (lumped.spring * pull * pull + tension * bend)
    return _trial(batch, lumped, draw)


def careful_start(batch: Batch) -> Trial:
    """The lumped rope solved by halving: slower, and near the answer however far the rope is drawn."""
    lumped = _lumped(batch)
    low = np.zeros(batch.count)
    # stiffness is at least the greatest load, so the rope no more than doubles: it stays inside this
    high = low + 4.0 * batch.unstretched
    for _ in range(_HALVINGS):
        draw = 0.5 * (low + high)
        near, far = _parts(batch, lumped, draw)
        taut = lumped.spring * (near + far - batch.unstretched)
        sag = lumped.sag * (near * near * near + far * far * far)
        tension = _cubic_tension(taut, lumped.spring * sag)
        short = tension * _pull(lumped, draw, near, far) < lumped.load
        low = np.where(short, draw, low)
        high = np.where(short, high, draw)
    return _trial(batch, lumped, 0.5 * (low + high))
