"""Margins near a place and a set tension, each taken as straight: where forces and clearances meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.rigging.panels import Flags
from atlas.rigging.shown import FloatArray

__all__ = [
    "STEP_M",
    "STEP_N",
    "Lines",
    "Meeting",
    "bounds",
    "first_meeting",
    "lines_of",
    "none_between",
    "with_one",
]

STEP_N, STEP_M = 1e-3, 1e-3
"""Steps of the slopes: of the set tension, and of the place [m]."""
_SURE_N = 0.02
"""So near a set tension, as a share of it, lines are true enough to tell that none is left."""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Where margins are used up: T = at + slope (p - p0), shape (sites, questions); absent where NaN.

    `sheer_m` is the step to where it is used up whatever the set tension; infinite for all others.
    """

    at: FloatArray
    slope: FloatArray
    sheer_m: FloatArray


def lines_of(
    margin: FloatArray, beside: FloatArray, *, sign: float, set_n: FloatArray, aim: FloatArray
) -> Lines:
    """Of margins, shape (sites, questions), and those at one place of each question: shape (3, ...).

    These are at (T, p), (T + step, p) and (T, p + step): how a least margin goes is how it goes where it is.

    `sign` is that of a margin's slope with T; one that has the other sign limits no set tension, but may
    limit the place.
    """
    by_n = (beside[1] - beside[0]) / (STEP_N * set_n[:, np.newaxis])
    by_m = (beside[2] - beside[0]) / STEP_M
    left = margin - aim[:, np.newaxis]
    limits = sign * by_n > 0.0
    sheer = ~limits & (by_m < 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        by_n = np.where(limits, by_n, np.nan)
        sheer_m = np.where(sheer, -left / by_m, np.inf)
        return Lines(set_n[:, np.newaxis] - left / by_n, -by_m / by_n, sheer_m)


def with_one(lines: Lines, set_n: FloatArray) -> Lines:
    """Beside them a set tension at whatever place: the rule's, or the least that is looked at."""
    none = np.zeros(set_n.size)
    return Lines(
        np.column_stack([lines.at, set_n]),
        np.column_stack([lines.slope, none]),
        np.column_stack([lines.sheer_m, none + np.inf]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Meeting:
    """First pair to meet: step of the place, and set tension there.

    `sheer` where one force alone is met first, whatever the set tension; `low` where one clearance is, such
    as that of a ferry line.
    """

    step_m: FloatArray
    set_n: FloatArray
    sheer: Flags
    low: Flags


def first_meeting(force: Lines, clear: Lines) -> Meeting:
    """Of each site; the step is infinite where no pair closes further on."""
    apart = force.at[:, :, np.newaxis] - clear.at[:, np.newaxis, :]
    nearing = clear.slope[:, np.newaxis, :] - force.slope[:, :, np.newaxis]
    with np.errstate(invalid="ignore", divide="ignore"):
        step = np.where(nearing > 0.0, apart / nearing, np.inf)
    step = np.where(np.isnan(step), np.inf, step)
    flat = step.reshape(step.shape[0], -1)
    pair, row = np.argmin(flat, axis=1), np.arange(flat.shape[0])
    j, both_m = pair % step.shape[2], flat[row, pair]
    force_m, clear_m = force.sheer_m.min(axis=1), clear.sheer_m.min(axis=1)
    ahead = np.minimum(both_m, np.minimum(force_m, clear_m))
    reached = clear.at[row, j] + clear.slope[row, j] * np.where(np.isfinite(ahead), ahead, 0.0)
    sheer, low = force_m < np.minimum(both_m, clear_m), clear_m < np.minimum(both_m, force_m)
    return Meeting(ahead, reached, sheer, low)


def bounds(force: Lines, clear: Lines, step_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The most set tension that the forces allow and the least that the clearances ask, a step on."""
    most, least = (
        np.where(np.isnan(lines.at), none, lines.at + lines.slope * step_m[:, np.newaxis])
        for lines, none in ((force, np.inf), (clear, -np.inf))
    )
    return most.min(axis=1), least.max(axis=1)


def none_between(force: Lines, clear: Lines, set_n: FloatArray) -> Flags:
    """Whether near here no set tension is left between the two."""
    most, least = bounds(force, clear, np.zeros(set_n.size))
    near = np.maximum(np.abs(most - set_n), np.abs(least - set_n)) <= _SURE_N * set_n
    return near & (most < least)
