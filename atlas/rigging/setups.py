"""Sites as the carriage meets them: one site's figures, and those of many sites as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from math import cos, radians, sin

import numpy as np

from atlas.faults import OutOfRange
from atlas.rigging.ferry import StationPoint
from atlas.rigging.shown import SLOPE, SPAN_M, WEIGHT_N_M, FloatArray, numbers, require, require_between

__all__ = ["CarriageSetup", "Of", "haul_efficiency", "table_of"]


def haul_efficiency(*, bow_strands: int, pulley_efficiency: float) -> float:
    """Strand pull per unit of pull at the station, through the low pulley and the bow pulleys.

    e + e^2 + ... + e^n: each pulley passes on the fraction e. Statics of one rope over pulleys.
    """
    return float(sum(pulley_efficiency**turn for turn in range(1, bow_strands + 1)))


@dataclass(frozen=True, slots=True)
class CarriageSetup:
    """One site and rig as the carriage meets them; lengths in m, heights over the survey day's water.

    Attributes
    ----------
    reach_m : along the flow from track line to the farthest point of the work area, reach-down / cos(skew)
    weight_n_m : of the track line
    ring_below_line_m : carriage ring and hardware under the track line
    bow_ring_m : bow ring over the water
    strand_least_m : least horizontal length of the strands
    skew_deg : from straight downstream toward the far bank, the angle of the flow
    bow_strands : strands of the up-down line at the bow
    pulley_efficiency : fraction a pulley passes on
    ferry_weight_n_m : of a ferry line, wet
    ferry_near_on_tie, ferry_far_on_tie, up_down_on_tie, up_down_on_ferry : lines that share an anchor
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
    ferry_near: StationPoint
    ferry_far: StationPoint
    up_down: StationPoint
    skew_deg: float
    bow_strands: int
    pulley_efficiency: float
    ferry_weight_n_m: float
    ferry_near_on_tie: bool = False
    ferry_far_on_tie: bool = False
    up_down_on_tie: bool = False
    up_down_on_ferry: bool = False

    def __post_init__(self) -> None:
        span = require(SPAN_M, self.span_m)
        rise = numbers("rise_m", self.rise_m)
        require_between(
            "rise_m", rise, low=SLOPE.low * span, high=SLOPE.high * span, unit="m", why="15 % of the span"
        )
        require(WEIGHT_N_M, self.weight_n_m)
        if not 0.0 < self.pulley_efficiency <= 1.0:
            raise OutOfRange(f"pulley efficiency {self.pulley_efficiency}: allowed above 0, up to 1")

    def column(self) -> tuple[float, ...]:
        """Its figures in the order of `Of`."""
        skew = radians(self.skew_deg)
        points = (self.ferry_near, self.ferry_far, self.up_down)
        return (
            self.span_m,
            self.rise_m,
            self.near_tie_height_m,
            self.reach_m,
            self.weight_n_m,
            self.carriage_weight_n,
            self.ring_below_line_m,
            self.bow_ring_m,
            self.strand_least_m,
            sin(skew),
            cos(skew),
            1.0 / self.bow_strands,
            1.0 / haul_efficiency(bow_strands=self.bow_strands, pulley_efficiency=self.pulley_efficiency),
            0.5 * (1.0 - self.pulley_efficiency),
            0.5 * self.ferry_weight_n_m,
            *(point.x_m for point in points),
            *(point.y_m for point in points),
            *(point.z_m for point in points),
            float(self.ferry_near_on_tie),
            float(self.ferry_far_on_tie),
            float(self.up_down_on_tie),
            float(self.up_down_on_ferry),
        )


class Of(IntEnum):
    """Rows of a table of sites, SI; what has three rows of stations has near ferry, far ferry, up-down.

    RUB is the carriage's friction along the track line for each newton on its pulley: a rope turned half
    round a pulley of efficiency e loses (1 - e) of its tension, and the pulley stands twice the tension
    (statics of one rope over a pulley), so (1 - e) / 2. SHARE is the strands' pull in one of them,
    HAUL_SHARE what is hauled with for each newton of it.
    """

    SPAN = 0
    RISE = 1
    NEAR_TIE = 2
    REACH = 3
    WEIGHT = 4
    CARRIAGE = 5
    RING_BELOW = 6
    BOW_RING = 7
    STRAND_LEAST = 8
    FLOW_ALONG = 9
    FLOW_DOWN = 10
    SHARE = 11
    HAUL_SHARE = 12
    RUB = 13
    HALF_FERRY_WEIGHT = 14
    STATION_X = 15
    STATION_Y = 18
    STATION_Z = 21
    FERRY_NEAR_ON_TIE = 24
    FERRY_FAR_ON_TIE = 25
    UP_DOWN_ON_TIE = 26
    UP_DOWN_ON_FERRY = 27


def table_of(setups: Sequence[CarriageSetup]) -> FloatArray:
    """The sites' figures, shape (rows of `Of`, sites)."""
    return np.array([setup.column() for setup in setups], dtype=np.float64).T.copy()
