"""What acts on the carriage, and the state of the track line under it.

The model here is drag straight downstream, the carriage's weight, and the pull-down of the strands to
the boat. Everything broadcasts: set tension, stiffness, stage, case and place may each be an axis.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.faults import NoSolution
from atlas.rigging.shown import LOAD_N
from atlas.rigging.states import TrackState, solve_states, unstretched_length_m

__all__ = ["CarriageSetup", "CarriageState", "carriage_state", "strand_pull"]

Floats = NDArray[np.float64]

# The pull-down of the strands depends on where the carriage hangs, and that on the pull-down: the lower
# it hangs the flatter the strands, so the pull-down is the one root of a falling function, bracketed by
# nothing and by the pull-down of the line as it hangs without it. The line gives almost evenly under it,
# so a secant from a first guess of that give needs four or five turns.
_TURNS = 60
_SETTLED = 1e-10


@dataclass(frozen=True, slots=True)
class CarriageSetup:
    """The site and rig as the carriage meets them; lengths in m, heights over the survey day's water.

    Attributes
    ----------
    reach_m : along the flow from track line to the farthest point of the work area, reach-down / cos(skew)
    ring_below_line_m : carriage ring and hardware under the track line
    bow_ring_m : bow ring over the water
    strand_least_m : least horizontal length of the strands
    """

    span_m: float
    rise_m: float
    near_tie_height_m: float
    reach_m: float
    weight_n_m: float
    carriage_weight_n: float
    ring_below_line_m: float
    bow_ring_m: float
    strand_least_m: float


@dataclass(frozen=True, slots=True)
class CarriageState:
    """The track line under a load; every field has the broadcast shape of the inputs.

    Attributes
    ----------
    track : see `TrackState`
    clearance_m : carriage hardware over the water
    strand_n : what the strands to the boat pull together [N]
    downstream_n, down_n : load given to the track line [N]
    resultant_n : load on the carriage pulley [N]
    """

    track: TrackState
    clearance_m: Floats
    strand_n: Floats
    downstream_n: Floats
    down_n: Floats
    resultant_n: Floats


def strand_pull(*, drag_n: Floats, ring_over_bow_m: Floats, strand_m: Floats) -> tuple[Floats, Floats]:
    """Pull in all strands together and its downward part [N]: D hypot(1, h/r) and D h/r.

    Equilibrium of the boat: the strands' horizontal part is the drag; their slope is h over r.
    A ring lower than the bow ring pulls down by nothing: the water carries the boat.
    """
    slope = np.maximum(ring_over_bow_m, 0.0) / strand_m
    return drag_n * np.hypot(1.0, slope), drag_n * slope


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
    unstretched_m = seating_m + unstretched_length_m(
        span_m=setup.span_m,
        rise_m=setup.rise_m,
        weight_n_m=setup.weight_n_m,
        stiffness_n=stiffness_n,
        pretension_n=pretension_n,
    )
    inputs = (at_m, drag_n, water_rise_m, unstretched_m, stiffness_n, 0.0 if strand_m is None else strand_m)
    at, drag, water, unstretched, stiffness, strand = (
        np.asarray(item, dtype=np.float64) for item in np.broadcast_arrays(*inputs)
    )

    # The bracket's far end may lie past the loads shown; cut there, it still is an end of the bracket.
    most_down_n = np.sqrt(np.maximum(LOAD_N.high**2 - drag**2, 0.0)) - setup.carriage_weight_n

    def track_under(pull_down_n: Floats) -> TrackState:
        return solve_states(
            span_m=setup.span_m,
            rise_m=setup.rise_m,
            unstretched_m=unstretched,
            weight_n_m=setup.weight_n_m,
            stiffness_n=stiffness,
            at_m=at,
            downstream_n=drag,
            down_n=setup.carriage_weight_n + pull_down_n,
        )

    def ring_m(track: TrackState) -> Floats:
        return setup.near_tie_height_m + track.height_m - setup.ring_below_line_m - water

    def strands_of(track: TrackState) -> tuple[Floats, Floats]:
        length_m = (
            np.maximum(setup.reach_m - track.downstream_m, setup.strand_least_m)
            if strand_m is None
            else strand
        )
        return strand_pull(drag_n=drag, ring_over_bow_m=ring_m(track) - setup.bow_ring_m, strand_m=length_m)

    hanging = track_under(np.zeros(at.shape))
    first_pull_n = strands_of(hanging)[1]
    # a taut line of tension T gives x (L - x) / L T metres a newton at x: the slope of the first guess
    give_m_n = at * (setup.span_m - at) / (setup.span_m * hanging.tension_n)
    reach_m = np.maximum(strand if strand_m is not None else setup.reach_m - hanging.downstream_m, 0.5)
    pull_down_n = _settle(
        lambda pull_n: strands_of(track_under(np.minimum(pull_n, most_down_n)))[1],
        first_n=first_pull_n / (1.0 + drag * give_m_n / reach_m),
        first_pull_n=first_pull_n,
        scale_n=setup.carriage_weight_n + drag,
    )
    track = track_under(pull_down_n)
    down_n = setup.carriage_weight_n + pull_down_n
    return CarriageState(
        track=track,
        clearance_m=ring_m(track),
        strand_n=strands_of(track)[0],
        downstream_n=drag,
        down_n=down_n,
        resultant_n=np.hypot(drag, down_n),
    )
