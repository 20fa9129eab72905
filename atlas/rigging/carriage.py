"""The carriage on its line: what the site gives it, the state it comes to, the strands to the boat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.rigging.states import TrackState, solve_states, unstretched_length_m

__all__ = ["CarriageSetup", "CarriageState", "Hanging", "strand_pull"]

Floats = NDArray[np.float64]


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


@dataclass(frozen=True, slots=True)
class Hanging:
    """A line as set, places of its carriage and the water below: all at one common shape.

    ``strand_m`` is the horizontal length of the strands where it is given, else None: the reach less
    the bow, at least the setup's least.
    """

    setup: CarriageSetup
    at_m: Floats
    drag_n: Floats
    water_rise_m: Floats
    unstretched_m: Floats
    stiffness_n: Floats
    strand_m: Floats | None

    @classmethod
    def of(
        cls,
        setup: CarriageSetup,
        *,
        at_m: ArrayLike,
        drag_n: ArrayLike,
        water_rise_m: ArrayLike,
        pretension_n: ArrayLike,
        stiffness_n: ArrayLike,
        seating_m: ArrayLike,
        strand_m: ArrayLike | None,
    ) -> Hanging:
        """Inputs brought to their common shape, and the rope's length from its set tension and seating."""
        unstretched_m = np.asarray(seating_m, dtype=np.float64) + unstretched_length_m(
            span_m=setup.span_m,
            rise_m=setup.rise_m,
            weight_n_m=setup.weight_n_m,
            stiffness_n=stiffness_n,
            pretension_n=pretension_n,
        )
        given = (
            at_m,
            drag_n,
            water_rise_m,
            unstretched_m,
            stiffness_n,
            0.0 if strand_m is None else strand_m,
        )
        at, drag, water, unstretched, stiffness, strand = (
            np.asarray(item, dtype=np.float64) for item in np.broadcast_arrays(*given)
        )
        return cls(setup, at, drag, water, unstretched, stiffness, None if strand_m is None else strand)

    def track_under(self, *, downstream_n: Floats, down_n: Floats) -> TrackState:
        """The track line under a load on its carriage."""
        return solve_states(
            span_m=self.setup.span_m,
            rise_m=self.setup.rise_m,
            unstretched_m=self.unstretched_m,
            weight_n_m=self.setup.weight_n_m,
            stiffness_n=self.stiffness_n,
            at_m=self.at_m,
            downstream_n=downstream_n,
            down_n=down_n,
        )

    def ring_over_water_m(self, track: TrackState) -> Floats:
        """Carriage ring and hardware over the water of the stage [m]."""
        setup = self.setup
        return setup.near_tie_height_m + track.height_m - setup.ring_below_line_m - self.water_rise_m

    def strands_of_m(self, track: TrackState) -> Floats:
        """Horizontal length of the strands [m]."""
        if self.strand_m is not None:
            return self.strand_m
        return np.maximum(self.setup.reach_m - track.downstream_m, self.setup.strand_least_m)

    def pull_of(self, track: TrackState) -> tuple[Floats, Floats]:
        """What the strands pull in all, and down [N]."""
        return strand_pull(
            drag_n=self.drag_n,
            ring_over_bow_m=self.ring_over_water_m(track) - self.setup.bow_ring_m,
            strand_m=self.strands_of_m(track),
        )

    def give_m_n(self, track: TrackState) -> Floats:
        """Give of a taut line at the carriage, x (L - x) / L T [m/N]: the slope of a first guess."""
        span_m = self.setup.span_m
        return self.at_m * (span_m - self.at_m) / (span_m * track.tension_n)
