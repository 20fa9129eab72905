"""What acts on the carriage by drag alone, and the state of the track line under it.

Drag straight downstream, the carriage's weight, and the pull-down of the strands to the boat. Everything
broadcasts: set tension, stiffness, stage, case and place may each be an axis.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.faults import NoSolution
from atlas.rigging.carriage import CarriageSetup, CarriageState, Hanging
from atlas.rigging.shown import LOAD_N

__all__ = ["carriage_state"]

Floats = NDArray[np.float64]

# The pull-down of the strands depends on where the carriage hangs, and that on the pull-down: the lower
# it hangs the flatter the strands, so the pull-down is the one root of a falling function, bracketed by
# nothing and by the pull-down of the line as it hangs without it. The line gives almost evenly under it,
# so a secant from a first guess of that give needs four or five turns.
_TURNS = 60
_SETTLED = 1e-10


def _settle(
    pull_of: Callable[[Floats], Floats], *, first_n: Floats, first_pull_n: Floats, scale_n: Floats
) -> Floats:
    """Root of pull_of(p) = p for a falling `pull_of`, every state at once: secant kept inside its bracket.

    Parameters
    ----------
    first_n : first guess
    first_pull_n : pull_of(0), the far end of the bracket

    Raises
    ------
    NoSolution
        A state has not settled after the turns allowed.
    """
    low_n, high_n = np.zeros(scale_n.shape), first_pull_n
    before_n, before_gap_n = low_n, first_pull_n
    guess_n = np.minimum(first_n, high_n)
    for _ in range(_TURNS):
        gap_n = pull_of(guess_n) - guess_n
        if np.all(np.abs(gap_n) <= _SETTLED * scale_n):
            return guess_n
        low_n = np.where(gap_n >= 0.0, guess_n, low_n)
        high_n = np.where(gap_n >= 0.0, high_n, guess_n)
        fall_n = before_gap_n - gap_n
        run_n = guess_n - before_n
        step_n = np.divide(gap_n * run_n, fall_n, out=np.zeros(scale_n.shape), where=fall_n != 0.0)
        before_n, before_gap_n = guess_n, gap_n
        secant_n = guess_n + step_n
        inside = (secant_n >= low_n) & (secant_n <= high_n)
        guess_n = np.where(inside, secant_n, 0.5 * (low_n + high_n))
    raise NoSolution(f"strands to the boat: pull-down not settled after {_TURNS} turns")


def carriage_state(
    setup: CarriageSetup,
    *,
    at_m: ArrayLike,
    drag_n: ArrayLike,
    water_rise_m: ArrayLike,
    pretension_n: ArrayLike,
    stiffness_n: ArrayLike,
    seating_m: ArrayLike,
    strand_m: ArrayLike | None = None,
) -> CarriageState:
    """State of track line and carriage with a boat of drag `drag_n` below it; 0 is the empty carriage.

    Parameters
    ----------
    at_m : places of the carriage [m] from the near tie point
    water_rise_m : water over that of the survey day [m]
    pretension_n : horizontal tension as set, before seating [N]
    seating_m : rope lost at lock-off [m]: 0 for tension, the whole for clearance and bow
    strand_m : horizontal length of the strands; None takes the reach less the bow, at least the least

    Raises
    ------
    OutOfRange
        From the track line, for inputs outside the range it was shown in.
    NoSolution
        The pull-down of the strands does not settle.

    Notes
    -----
    The drag is taken whole across the track line whatever the skew, which overstates tension and bow
    by up to 1 / cos(skew).
    """
    hanging = Hanging.of(
        setup,
        at_m=at_m,
        drag_n=drag_n,
        water_rise_m=water_rise_m,
        pretension_n=pretension_n,
        stiffness_n=stiffness_n,
        seating_m=seating_m,
        strand_m=strand_m,
    )
    drag, weight_n = hanging.drag_n, setup.carriage_weight_n
    # The bracket's far end may lie past the loads shown; cut there, it still is an end of the bracket.
    most_down_n = np.sqrt(np.maximum(LOAD_N.high**2 - drag**2, 0.0)) - weight_n

    def pull_down_of(pull_n: Floats) -> Floats:
        track = hanging.track_under(downstream_n=drag, down_n=weight_n + np.minimum(pull_n, most_down_n))
        return hanging.pull_of(track)[1]

    free = hanging.track_under(downstream_n=drag, down_n=np.full(drag.shape, weight_n))
    first_pull_n = hanging.pull_of(free)[1]
    slope_n_m = drag / np.maximum(hanging.strands_of_m(free), 0.5)
    pull_down_n = _settle(
        pull_down_of,
        first_n=first_pull_n / (1.0 + slope_n_m * hanging.give_m_n(free)),
        first_pull_n=first_pull_n,
        scale_n=weight_n + drag,
    )
    down_n = weight_n + pull_down_n
    track = hanging.track_under(downstream_n=drag, down_n=down_n)
    return CarriageState(
        track=track,
        clearance_m=hanging.ring_over_water_m(track),
        strand_n=hanging.pull_of(track)[0],
        downstream_n=drag,
        down_n=down_n,
        resultant_n=np.hypot(drag, down_n),
    )
