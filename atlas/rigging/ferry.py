"""What the ferry lines and the up-down line carry while the carriage is held at a place."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, sin

import numpy as np
from numpy.typing import NDArray

from atlas.rigging.carriage import CarriageSetup, CarriageState

__all__ = [
    "StationPoint",
    "TendedLoads",
    "haul_efficiency",
    "least_dry_tension_n",
    "leverage",
    "tended_loads",
    "toward",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class StationPoint:
    """A station in the site's frame; z over the survey day's water [m]."""

    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True, slots=True)
class TendedLoads:
    """Tensions [N] at each state: ferry lines, and the up-down line held and hauled."""

    ferry_near_n: Floats
    ferry_far_n: Floats
    up_down_hold_n: Floats
    up_down_haul_n: Floats


def toward(
    station: StationPoint, *, x_m: Floats, y_m: Floats, z_m: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Unit vector from the carriage ring to a station, x, y and z, and the distance [m]."""
    run = (station.x_m - x_m, station.y_m - y_m, station.z_m - z_m)
    distance_m = np.sqrt(run[0] ** 2 + run[1] ** 2 + run[2] ** 2)
    return run[0] / distance_m, run[1] / distance_m, run[2] / distance_m, distance_m


def leverage(station: StationPoint, *, x_m: Floats, y_m: Floats, z_m: Floats) -> Floats:
    """How much of a ferry line's pull moves the carriage along the track line, 0 to 1."""
    return np.abs(toward(station, x_m=x_m, y_m=y_m, z_m=z_m)[0])


def least_dry_tension_n(
    *, weight_n_m: float, distance_m: Floats, station_over_water_m: Floats, carriage_over_water_m: Floats
) -> Floats:
    """Tension [N] at which a line just stays out of the water, as a parabola: w L^2 / 2 (sqrt a + sqrt b)^2.

    a and b are the heights of its ends over the water. With equal ends it is w L^2 / 8 a, the textbook
    sag of a parabola; ends lower than 0.1 m are taken as 0.1 m.
    """
    a = np.sqrt(np.maximum(station_over_water_m, 0.1))
    b = np.sqrt(np.maximum(carriage_over_water_m, 0.1))
    return weight_n_m * distance_m**2 / (2.0 * (a + b) ** 2)


def haul_efficiency(*, bow_strands: int, pulley_efficiency: float) -> float:
    """Strand pull per unit of pull at the station, through the low pulley and the bow pulleys.

    e + e^2 + ... + e^n: each pulley passes on the fraction e. Statics of one rope over pulleys.
    """
    return float(sum(pulley_efficiency**turn for turn in range(1, bow_strands + 1)))


def tended_loads(
    setup: CarriageSetup,
    state: CarriageState,
    *,
    at_m: Floats,
    water_rise_m: Floats,
    ferry_near: StationPoint,
    ferry_far: StationPoint,
    up_down: StationPoint,
    skew_deg: float,
    bow_strands: int,
    pulley_efficiency: float,
    ferry_weight_n_m: float,
) -> TendedLoads:
    """Tensions of the tended lines that hold the carriage at `at_m`.

    The track line asks for a force along itself (`along_n`); the drag's own part along a skewed river
    and the working strand give some of it; the ferry line of the bank it points to gives the rest,
    divided by its leverage. No ferry line is taken under the tension that keeps it dry.
    """
    z_m = setup.near_tie_height_m + state.track.height_m
    here = {"x_m": at_m, "y_m": state.track.downstream_m, "z_m": z_m - setup.ring_below_line_m}
    working_n = state.strand_n / bow_strands
    asked_n = (
        state.track.along_n
        - state.downstream_n * sin(radians(skew_deg))
        - working_n * toward(up_down, **here)[0]
    )
    forces = []
    for station, sign in ((ferry_near, -1.0), (ferry_far, 1.0)):
        part, _, _, distance_m = toward(station, **here)
        dry_n = least_dry_tension_n(
            weight_n_m=ferry_weight_n_m,
            distance_m=distance_m,
            station_over_water_m=station.z_m - water_rise_m,
            carriage_over_water_m=z_m - setup.ring_below_line_m - water_rise_m,
        )
        forces.append(np.maximum(np.maximum(sign * asked_n, 0.0) / np.abs(part), dry_n))
    return TendedLoads(
        ferry_near_n=forces[0],
        ferry_far_n=forces[1],
        up_down_hold_n=working_n,
        up_down_haul_n=state.strand_n
        / haul_efficiency(bow_strands=bow_strands, pulley_efficiency=pulley_efficiency),
    )
