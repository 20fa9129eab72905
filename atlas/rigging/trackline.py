"""The track line: a rope tensioned bank to bank, empty or with a load on its carriage."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from atlas.faults import OutOfRange
from atlas.rigging.catenary import piece, piece_rise
from atlas.rigging.rope import Rope
from atlas.rigging.shown import SEATING_M, FloatArray, numbers, require
from atlas.rigging.states import (
    EndPull,
    TrackState,
    solve_states,
    unloaded_height_m,
    unstretched_length_m,
)

__all__ = [
    "EndPull",
    "LineShape",
    "TrackLine",
    "TrackState",
    "solve_states",
    "unloaded_height_m",
    "unstretched_length_m",
]


@dataclass(frozen=True, slots=True, eq=False)
class LineShape:
    """Points on a loaded line from the near tie point over the carriage to the far one.

    Attributes
    ----------
    at_m, downstream_m, height_m : x, y, z of the points, which are the last axis [m]
    """

    at_m: FloatArray
    downstream_m: FloatArray
    height_m: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class TrackLine:
    """A track line as it was set; x across from the near tie point, y downstream, z up.

    Any of its values may be an array; they broadcast with each other and with what a method is given.

    Attributes
    ----------
    span_m : horizontal distance of the tie points [m]
    rise_m : far tie point over the near one [m]
    rope : its weight and stiffness count here, its strength does not
    pretension_n : horizontal part of the tension after lock-off, no carriage on the line [N]
    seating_m : rope that slips through the lock-off and the knots after that [m]
    unstretched_m : rope between the tie points without tension, seating included [m]; computed

    Raises
    ------
    OutOfRange
        Where a value lies outside `atlas.rigging.shown`.
    """

    span_m: float | FloatArray
    rise_m: float | FloatArray
    rope: Rope
    pretension_n: float | FloatArray
    seating_m: float | FloatArray = 0.0
    unstretched_m: FloatArray = field(init=False, repr=False)

    def __post_init__(self) -> None:
        set_length = unstretched_length_m(
            span_m=self.span_m,
            rise_m=self.rise_m,
            weight_n_m=self.rope.weight_n_m,
            stiffness_n=self.rope.stiffness_n,
            pretension_n=self.pretension_n,
        )
        object.__setattr__(self, "unstretched_m", set_length + require(SEATING_M, self.seating_m))

    def loaded(
        self, *, at_m: npt.ArrayLike, downstream_n: npt.ArrayLike, down_n: npt.ArrayLike
    ) -> TrackState:
        """The line with a load on its carriage; see `solve_states`.

        Parameters
        ----------
        at_m : x of the carriage [m]
        downstream_n, down_n : what pulls on the carriage [N]

        Raises
        ------
        OutOfRange
            Where a value lies outside `atlas.rigging.shown`.
        """
        return solve_states(
            span_m=self.span_m,
            rise_m=self.rise_m,
            unstretched_m=self.unstretched_m,
            weight_n_m=self.rope.weight_n_m,
            stiffness_n=self.rope.stiffness_n,
            at_m=at_m,
            downstream_n=downstream_n,
            down_n=down_n,
        )

    def unloaded_height_m(self, at_m: npt.ArrayLike) -> FloatArray:
        """Height of the empty line over the near tie point, seating counted; see `unloaded_height_m` [m].

        Parameters
        ----------
        at_m : x of the places, tie point to tie point [m]

        Raises
        ------
        OutOfRange
            Where a place lies off the line.
        """
        return unloaded_height_m(
            span_m=self.span_m,
            rise_m=self.rise_m,
            unstretched_m=self.unstretched_m,
            weight_n_m=self.rope.weight_n_m,
            stiffness_n=self.rope.stiffness_n,
            at_m=at_m,
        )

    def loaded_shape(self, state: TrackState, *, points_a_side: int) -> LineShape:
        """Points on the loaded line, evenly spaced along the unstretched rope of each side.

        Parameters
        ----------
        state : a state of this line
        points_a_side : from tie point to carriage, both counted; at least 2

        Raises
        ------
        OutOfRange
            For fewer than two points.
        """
        if points_a_side < 2:
            raise OutOfRange(f"points_a_side: too few; got {points_a_side}; allowed 2 or more")
        share = np.linspace(0.0, 1.0, points_a_side)
        near_length = state.near_length_m[..., np.newaxis]
        whole = np.broadcast_to(self.unstretched_m, state.near_length_m.shape)[..., np.newaxis]
        near = self._followed(state.near_pull, share * near_length)
        far = self._followed(state.far_pull, share[-2::-1] * (whole - near_length))
        span = np.broadcast_to(self.span_m, state.near_length_m.shape)[..., np.newaxis]
        rise = np.broadcast_to(self.rise_m, state.near_length_m.shape)[..., np.newaxis]
        return LineShape(
            at_m=np.concatenate([near.at_m, span + far.at_m], axis=-1),
            downstream_m=np.concatenate([near.downstream_m, far.downstream_m], axis=-1),
            height_m=np.concatenate([near.height_m, rise + far.height_m], axis=-1),
        )

    def _followed(self, pull: EndPull, length: FloatArray) -> LineShape:
        """Places on the rope, seen from a tie point, after unstretched lengths from it."""
        compliance = np.broadcast_to(1.0 / np.asarray(self.rope.stiffness_n), pull.up_n.shape)[
            ..., np.newaxis
        ]
        weight = np.broadcast_to(numbers("weight_n_m", self.rope.weight_n_m), pull.up_n.shape)
        lift = pull.up_n[..., np.newaxis]
        ends = piece(
            tension=pull.tension_n[..., np.newaxis],
            lift=lift,
            length=length,
            weight=weight[..., np.newaxis],
            compliance=compliance,
        )
        return LineShape(
            at_m=pull.along_n[..., np.newaxis] * ends.run_a_newton,
            downstream_m=pull.downstream_n[..., np.newaxis] * ends.run_a_newton,
            height_m=piece_rise(ends, lift=lift, length=length, compliance=compliance),
        )
