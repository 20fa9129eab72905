"""A carriage on the track line with one ferry line lost, kept at a place: what drives it along the line.

Held across only by what is left, it is driven toward the far bank by

    F(x) = D sin(skew) + T w_x + N n_x - along(x)                        (1)

D the boat's drag, T the working strand's tension and w its direction, N and n those of
the ferry line left, along(x) what the track line asks to keep a carriage at x. T is the same all along the
up-down line, so the n strands that hold the boat pull n T = D hypot(1, h / r). The line stays held at its
station: a carriage that comes nearer to it lets the boat down by an n-th of that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.faults import NoSolution
from atlas.rigging.ferry import AnyStation, toward
from atlas.rigging.hung_boat import FerryHeld, HungBoat, RingPlace
from atlas.rigging.shown import LOAD_N, FloatArray, Shown, require
from atlas.rigging.trackline import TrackLine, TrackState

__all__ = ["Hold", "HungCarriage"]

_TURNS = 60
_SETTLED = 1e-10
_PROBE_N = 1.0
_LEAST_N = 1e-9
_ROUND_OFF = 1e-9
_PROBES_N = _PROBE_N * np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
_STRAND_M = Shown("strand_m", 1.0, 200.0, "m")
_STRAND_LEAST_M = _STRAND_M.low
"""The boat is not drawn nearer under the ring than this: its strands would have to pull without bound."""


@dataclass(frozen=True, slots=True, eq=False)
class Hold:
    """The carriage held at places along the track line, every other direction at rest.

    Attributes
    ----------
    ring : where the ring is
    away_m : how far the bow is from the ring, in plan, straight down the flow [m]
    track : state of the track line
    barred : no place the carriage comes to: the boat would be drawn up to within a metre under the ring, or
        the ferry line would have to stretch until the load on the track line leaves the range shown
    given_n : what boat, working strand and ferry line push the carriage with, along x [N]
    up_down_n, ferry_n : tension of the up-down line and of the ferry line left [N]
    """

    ring: RingPlace
    away_m: FloatArray
    barred: NDArray[np.bool_]
    track: TrackState
    given_n: FloatArray
    up_down_n: FloatArray
    ferry_n: FloatArray

    @property
    def force_n(self) -> FloatArray:
        """(1), what drives the carriage toward the far bank [N]."""
        return self.given_n - self.track.along_n


@dataclass(frozen=True, slots=True, eq=False)
class _Forces:
    """On the carriage besides the track line: toward the far bank, downstream, down [N]."""

    along_n: FloatArray
    downstream_n: FloatArray
    down_n: FloatArray
    up_down_n: FloatArray
    ferry_n: FloatArray
    away_m: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class HungCarriage:
    """A track line with its carriage, the boat below, and the one ferry line that is left.

    Of one site; or of many, each value an array that broadcasts with the places asked of.

    Attributes
    ----------
    track : the line
    near_tie_height_m : over the survey day's water [m]
    ring_below_line_m : carriage ring and hardware under the line [m]
    boat : what hangs below
    ferry : the ferry line left
    ring : where the ring was when the other was lost
    strand_m : how far below it the bow was, in plan [m]

    Raises
    ------
    OutOfRange
        For a strand outside 1 to 200 m.
    """

    track: TrackLine
    near_tie_height_m: float | FloatArray
    ring_below_line_m: float | FloatArray
    boat: HungBoat
    ferry: FerryHeld
    ring: RingPlace
    strand_m: float | FloatArray

    def __post_init__(self) -> None:
        require(_STRAND_M, self.strand_m)

    def held(self, at_m: FloatArray) -> Hold:
        """Ring and boat with the carriage kept at places along the line.

        Parameters
        ----------
        at_m : x; one axis or more [m]

        Raises
        ------
        OutOfRange
            From the track line.
        NoSolution
            Where the forces do not settle.

        Notes
        -----
        Two unknowns a place, what pulls on the track line downstream and down, by Newton's steps with
        differences over 1 N, halved where they lead away. At a barred place the answer is none of the rope's.
        """
        load, settled = self._settled_load(at_m)
        _, track, forces = self._gap(at_m, load)
        barred = forces.away_m <= _STRAND_LEAST_M
        beyond = np.abs(np.hypot(*_into_range(load)) / np.hypot(*load) - 1.0) > _ROUND_OFF
        stretched = forces.ferry_n > 0.0
        require(LOAD_N, np.hypot(*load[:, beyond & ~barred & ~stretched]))
        if not (settled | barred | stretched).all():
            raise NoSolution(f"carriage without its ferry line: forces not settled after {_TURNS} turns")
        return Hold(
            ring=self._ring(at_m, track),
            away_m=forces.away_m,
            barred=barred | beyond | ~settled,
            track=track,
            given_n=forces.along_n,
            up_down_n=forces.up_down_n,
            ferry_n=forces.ferry_n,
        )

    def _settled_load(self, at_m: FloatArray) -> tuple[FloatArray, NDArray[np.bool_]]:
        """What pulls on the track line, downstream and down, before the places [N]; and where settled."""
        boat = self.boat
        load = np.stack(
            [np.broadcast_to(value, at_m.shape) for value in (boat.drag_n * boat.flow[1], boat.weight_n)]
        )
        scale = boat.drag_n + boat.weight_n
        gap, step = self._newton(at_m, load)
        share = np.ones(at_m.shape)
        for _ in range(_TURNS):
            left = np.hypot(*gap)
            if (left <= _SETTLED * scale).all():
                break
            trial = load + share * step
            trial_gap, trial_step = self._newton(at_m, trial)
            better = np.hypot(*trial_gap) <= (1.0 - 1e-4 * share) * left
            load, gap = np.where(better, trial, load), np.where(better, trial_gap, gap)
            step, share = np.where(better, trial_step, step), np.where(better, 1.0, 0.5 * share)
        return load, np.hypot(*gap) <= _SETTLED * scale

    def _newton(self, at_m: FloatArray, load: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Gap under a load, and Newton's step from there, downstream and down before the places [N]."""
        # the load itself, some more of it downstream, some more down: all in one call
        probes = _PROBES_N.reshape(2, 3, *(1,) * at_m.ndim)
        gap, here_y, here_z = self._gap(at_m, load[:, None] + probes)[0].swapaxes(0, 1)
        by_y, by_z = (here_y - gap) / _PROBE_N, (here_z - gap) / _PROBE_N
        whole = by_y[0] * by_z[1] - by_z[0] * by_y[1]
        turned = np.array([gap[0] * by_z[1] - gap[1] * by_z[0], gap[1] * by_y[0] - gap[0] * by_y[1]])
        return gap, -turned / whole

    def _ring(self, at_m: FloatArray, track: TrackState) -> RingPlace:
        height = self.near_tie_height_m + track.height_m - self.ring_below_line_m
        return RingPlace(at_m, track.downstream_m, height)

    def _gap(self, at_m: FloatArray, load: FloatArray) -> tuple[FloatArray, TrackState, _Forces]:
        """Forces at the place that the line takes under a load, less that load, downstream and down."""
        given = _into_range(load)
        track = self.track.loaded(at_m=at_m, downstream_n=given[0], down_n=given[1])
        forces = self._forces(self._ring(at_m, track))
        return np.array([forces.downstream_n - load[0], forces.down_n - load[1]]), track, forces

    def _forces(self, ring: RingPlace) -> _Forces:
        boat = self.boat
        work_x, work_y, work_z, work_m = _toward(boat.up_down, ring)
        over_m = np.maximum(ring.z_m - boat.bow_ring_m, 0.0)
        slant_m = np.maximum(self._up_down_out_m() - work_m, 0.0) / boat.bow_strands
        away_m = np.sqrt(np.maximum(slant_m**2 - over_m**2, _STRAND_LEAST_M**2))
        strand_n = boat.drag_n * np.hypot(1.0, over_m / away_m)
        work_n = strand_n / boat.bow_strands
        ferry_x, ferry_y, ferry_z, ferry_m = _toward(self.ferry.station, ring)
        out_m = self.ferry.rope_out_m(_toward(self.ferry.station, self.ring)[3])
        ferry_n = self.ferry.stiffness_n * np.maximum(ferry_m / out_m - 1.0, 0.0)
        flow_x, flow_y = boat.flow
        return _Forces(
            along_n=boat.drag_n * flow_x + work_n * work_x + ferry_n * ferry_x,
            downstream_n=boat.drag_n * flow_y + work_n * work_y + ferry_n * ferry_y,
            down_n=boat.weight_n + boat.drag_n * over_m / away_m - work_n * work_z - ferry_n * ferry_z,
            up_down_n=work_n,
            ferry_n=ferry_n,
            away_m=away_m,
        )

    def _up_down_out_m(self) -> FloatArray:
        """Rope of the up-down line from its station to its end at the ring, which stays as it was [m]."""
        work_m = _toward(self.boat.up_down, self.ring)[3]
        slant_m = self.boat.strands_m(self.ring, away_m=self.strand_m)
        return np.asarray(work_m + self.boat.bow_strands * slant_m)


def _into_range(load: FloatArray) -> FloatArray:
    """A load downstream and down, made as large or small as the track line's answer was shown for [N]."""
    whole = np.hypot(*load)
    return np.asarray(load * (np.clip(whole, LOAD_N.low, LOAD_N.high) / np.maximum(whole, _LEAST_N)))


def _toward(station: AnyStation, ring: RingPlace) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    return toward(station, x_m=ring.x_m, y_m=ring.y_m, z_m=ring.z_m)
