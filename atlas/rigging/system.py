"""The whole system of forces on the carriage: strands, working strand, both ferry lines, weight.

`atlas.rigging.loads` takes the drag alone, straight across the track line. Here the flow may be skewed,
the working strand pulls toward its station and the ferry lines pull upriver while they hold the carriage
in its place. Which of the two loads the line more depends on the place; both are printed from.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.faults import NoSolution
from atlas.rigging.carriage import CarriageSetup, CarriageState, Hanging
from atlas.rigging.ferry import StationPoint, TendedLoads, haul_efficiency, least_dry_tension_n, toward
from atlas.rigging.states import TrackState

__all__ = ["SystemState", "TendedSetup", "system_state"]

Floats = NDArray[np.float64]

_TURNS = 80
_SETTLED = 1e-10


@dataclass(frozen=True, slots=True)
class TendedSetup:
    """The tended lines.

    Attributes
    ----------
    ferry_near, ferry_far, up_down : stations
    skew_deg : from straight downstream toward the far bank, the angle of the flow
    bow_strands : strands of the up-down line at the bow
    pulley_efficiency : fraction a pulley passes on
    ferry_weight_n_m : of a ferry line, wet
    """

    ferry_near: StationPoint
    ferry_far: StationPoint
    up_down: StationPoint
    skew_deg: float
    bow_strands: int
    pulley_efficiency: float
    ferry_weight_n_m: float


@dataclass(frozen=True, slots=True)
class SystemState:
    """The carriage in equilibrium, and what the tended lines carry."""

    carriage: CarriageState
    tended: TendedLoads


@dataclass(frozen=True, slots=True)
class _Forces:
    """What pulls on the carriage besides the track line: toward the far bank, downstream, down [N]."""

    along_n: Floats
    downstream_n: Floats
    down_n: Floats
    strand_n: Floats
    near_n: Floats
    far_n: Floats


@dataclass(frozen=True, slots=True)
class _Place:
    """Carriage ring, x, y, and z over the survey day's water."""

    x_m: Floats
    y_m: Floats
    z_m: Floats

    def toward(self, station: StationPoint) -> tuple[Floats, Floats, Floats, Floats]:
        """Unit vector to a station, and the distance [m]."""
        return toward(station, x_m=self.x_m, y_m=self.y_m, z_m=self.z_m)


def _ferry_tensions(
    tended: TendedSetup, ring: _Place, *, asked_n: Floats, water_rise_m: Floats
) -> tuple[Floats, Floats]:
    """Near and far ferry tension [N]: dry both, and the one whose bank is asked for gives the rest."""
    near_part, near_m = ring.toward(tended.ferry_near)[0::3]
    far_part, far_m = ring.toward(tended.ferry_far)[0::3]
    dry_near_n, dry_far_n = (
        least_dry_tension_n(
            weight_n_m=tended.ferry_weight_n_m,
            distance_m=distance_m,
            station_over_water_m=station.z_m - water_rise_m,
            carriage_over_water_m=ring.z_m - water_rise_m,
        )
        for station, distance_m in ((tended.ferry_near, near_m), (tended.ferry_far, far_m))
    )
    left_n = asked_n - dry_near_n * near_part - dry_far_n * far_part
    return (
        dry_near_n + np.maximum(-left_n, 0.0) / np.abs(near_part),
        dry_far_n + np.maximum(left_n, 0.0) / np.abs(far_part),
    )


def _forces(tended: TendedSetup, hanging: Hanging, track: TrackState) -> _Forces:
    """All that acts on the carriage where the track line holds it."""
    setup = hanging.setup
    ring = _Place(
        hanging.at_m,
        track.downstream_m,
        setup.near_tie_height_m + track.height_m - setup.ring_below_line_m,
    )
    strand_n, strand_down_n = hanging.pull_of(track)
    skew = radians(tended.skew_deg)
    working_n = strand_n / tended.bow_strands
    work_x, work_y, work_z, _ = ring.toward(tended.up_down)
    along_n = hanging.drag_n * sin(skew) + working_n * work_x
    near_n, far_n = _ferry_tensions(
        tended, ring, asked_n=track.along_n - along_n, water_rise_m=hanging.water_rise_m
    )
    near_x, near_y, near_z, _ = ring.toward(tended.ferry_near)
    far_x, far_y, far_z, _ = ring.toward(tended.ferry_far)
    return _Forces(
        along_n=along_n + near_n * near_x + far_n * far_x,
        downstream_n=hanging.drag_n * cos(skew) + working_n * work_y + near_n * near_y + far_n * far_y,
        down_n=setup.carriage_weight_n + strand_down_n - working_n * work_z - near_n * near_z - far_n * far_z,
        strand_n=strand_n,
        near_n=near_n,
        far_n=far_n,
    )


def system_state(
    setup: CarriageSetup,
    tended: TendedSetup,
    *,
    at_m: ArrayLike,
    drag_n: ArrayLike,
    water_rise_m: ArrayLike,
    pretension_n: ArrayLike,
    stiffness_n: ArrayLike,
    seating_m: ArrayLike,
    strand_m: ArrayLike | None = None,
) -> SystemState:
    """Equilibrium of carriage and ring under everything that hangs on them; parameters as `carriage_state`.

    Raises
    ------
    OutOfRange
        From the track line.
    NoSolution
        A state does not settle.

    Notes
    -----
    Two unknowns a state, the load on the track line downstream and down, found by Broyden's method from
    the taut line's give x (L - x) / L T. The carriage is frictionless; its friction is counted on the
    ferry lines when they are printed, where it is the greater load.
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
    load_y = np.array(np.broadcast_to(hanging.drag_n * cos(radians(tended.skew_deg)), hanging.at_m.shape))
    load_z = np.full(hanging.at_m.shape, setup.carriage_weight_n)
    track = hanging.track_under(downstream_n=load_y, down_n=load_z)
    forces = _forces(tended, hanging, track)
    gap_y, gap_z = forces.downstream_n - load_y, forces.down_n - load_z
    give = hanging.give_m_n(track)
    slope = hanging.drag_n / np.maximum(hanging.strands_of_m(track), 0.5)
    # inverse of the Jacobian of gap: [[a, b], [c, d]]
    a, d = np.full(give.shape, -1.0), -1.0 / (1.0 + slope * give)
    b, c = np.zeros(give.shape), np.zeros(give.shape)
    scale = setup.carriage_weight_n + hanging.drag_n
    for _ in range(_TURNS):
        if np.all(np.hypot(gap_y, gap_z) <= _SETTLED * scale):
            return SystemState(
                carriage=CarriageState(
                    track=track,
                    clearance_m=hanging.ring_over_water_m(track),
                    strand_n=forces.strand_n,
                    downstream_n=load_y,
                    down_n=load_z,
                    resultant_n=np.hypot(load_y, load_z),
                ),
                tended=_tended(tended, forces),
            )
        step_y, step_z = -(a * gap_y + b * gap_z), -(c * gap_y + d * gap_z)
        load_y, load_z = load_y + step_y, load_z + step_z
        track = hanging.track_under(downstream_n=load_y, down_n=load_z)
        forces = _forces(tended, hanging, track)
        new_y, new_z = forces.downstream_n - load_y, forces.down_n - load_z
        change_y, change_z = new_y - gap_y, new_z - gap_z
        # good Broyden update of the inverse (Sherman-Morrison): J += (s - J y) s^T J / (s^T J y)
        jy, jz = a * change_y + b * change_z, c * change_y + d * change_z
        under = step_y * jy + step_z * jz
        safe = np.where(np.abs(under) > 1e-300, under, np.inf)
        left_y, left_z = (step_y - jy) / safe, (step_z - jz) / safe
        row_a, row_b = step_y * a + step_z * c, step_y * b + step_z * d
        a, b = a + left_y * row_a, b + left_y * row_b
        c, d = c + left_z * row_a, d + left_z * row_b
        gap_y, gap_z = new_y, new_z
    raise NoSolution(f"carriage: the whole system of forces has not settled after {_TURNS} turns")


def _tended(tended: TendedSetup, forces: _Forces) -> TendedLoads:
    return TendedLoads(
        ferry_near_n=forces.near_n,
        ferry_far_n=forces.far_n,
        up_down_hold_n=forces.strand_n / tended.bow_strands,
        up_down_haul_n=forces.strand_n
        / haul_efficiency(bow_strands=tended.bow_strands, pulley_efficiency=tended.pulley_efficiency),
    )
