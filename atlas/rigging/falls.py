"""Where many cubics fall through zero between 0 and 1: where what they are slopes of is greatest within."""

from __future__ import annotations

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.shown import FloatArray
from atlas.rigging.tether_geometry import quadratic_roots

__all__ = ["falls_within"]

_CLOSE = 1e-9
"""A root is known to this share of the way from 0 to 1; what is greatest there is flat, so that its square
is what the greatest value is off by."""
_TURNS = 100
"""More than halving alone would need."""


def falls_within(cubics: FloatArray) -> tuple[Index, FloatArray]:
    """Roots at which cubics fall from over to not over zero between 0 and 1.

    Parameters
    ----------
    cubics : highest power first, shape (n, 4); any of them of a lower degree

    Returns
    -------
    for each fall its cubic, and its place; a cubic has two at most

    Notes
    -----
    A cubic rises or falls throughout between its own turning places. So a piece between two of them that
    begins over zero and ends not over it holds exactly one fall: by Newton's steps, halved where one would
    leave the piece.
    """
    slopes = cubics[:, :3] * np.array([3.0, 2.0, 1.0])
    knots = np.zeros((len(cubics), 4))
    knots[:, 1:3] = np.clip(np.sort(quadratic_roots(slopes), axis=1), 0.0, 1.0)
    knots[:, 3] = 1.0
    over = _at(cubics[:, np.newaxis], knots) > 0.0
    which, piece = np.nonzero(over[:, :-1] & ~over[:, 1:])
    return which, _fall(cubics[which], knots[which, piece], knots[which, piece + 1])


def _fall(cubics: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """The root of each cubic between a place where it is over zero and one where it is not."""
    slopes = cubics[:, :3] * np.array([3.0, 2.0, 1.0])
    at = 0.5 * (low + high)
    for _ in range(_TURNS):
        value = _at(cubics, at)
        slope = (slopes[:, 0] * at + slopes[:, 1]) * at + slopes[:, 2]
        low, high = np.where(value > 0.0, at, low), np.where(value > 0.0, high, at)
        step = np.divide(value, slope, out=np.full_like(at, np.inf), where=slope != 0.0)
        found = at - step
        found = np.where((found > low) & (found < high), found, 0.5 * (low + high))
        moved, at = np.abs(found - at), found
        if not (moved > _CLOSE).any():
            break
    return at


def _at(cubics: FloatArray, share: FloatArray) -> FloatArray:
    a, b, c, d = (cubics[..., power] for power in range(4))
    return np.asarray(((a * share + b) * share + c) * share + d)
