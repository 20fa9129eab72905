"""What hangs on the carriage when a line is lost: the boat in the current and the line it is let down on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.faults import OutOfRange
from atlas.rigging.ferry import AnyStation
from atlas.rigging.shown import FloatArray, Shown, require

__all__ = ["FerryHeld", "HungBoat", "RingPlace"]

_DRAG_N = Shown("drag_n", 0.0, 15e3, "N")
_SKEW_DEG = Shown("skew_deg", -60.0, 60.0, "degrees")
_WEIGHT_N = Shown("weight_n", 10.0, 2000.0, "N")
_STIFFNESS_N = Shown("stiffness_n", 1e3, 1e9, "N")
_SLACK_M = Shown("slack_m", 0.0, 300.0, "m")
_TENSION_N = Shown("tension_n", 0.0, 50e3, "N")
_STRANDS_MOST = 4


@dataclass(frozen=True, slots=True, eq=False)
class RingPlace:
    """Places of the carriage ring in the site's frame, z over the survey day's water; of one shape [m]."""

    x_m: FloatArray
    y_m: FloatArray
    z_m: FloatArray


@dataclass(frozen=True, slots=True)
class HungBoat:
    """Carriage, boat and the line it is let down on, held where it runs to its station.

    Of one site; or of many, each value an array that broadcasts with the places asked of.

    Attributes
    ----------
    drag_n : of the boat; 0 where none is in the current [N]
    skew_deg : the flow, from straight downstream toward the far bank [degrees]
    weight_n : carriage, ring, hardware and half of the lines that hang from them [N]
    bow_ring_m : bow ring over the survey day's water, the stage's rise counted [m]
    up_down : station of the up-down line
    bow_strands : its strands at the bow, 1 to 4
    stiffness_n : EA of the up-down line [N]

    Raises
    ------
    OutOfRange
        For a drag over 15 kN, a skew past 60 degrees, a weight outside 10 to 2000 N, and what is no number.
    """

    drag_n: float | FloatArray
    skew_deg: float | FloatArray
    weight_n: float | FloatArray
    bow_ring_m: float | FloatArray
    up_down: AnyStation
    bow_strands: int
    stiffness_n: float | FloatArray

    def __post_init__(self) -> None:
        require(_DRAG_N, self.drag_n)
        require(_SKEW_DEG, self.skew_deg)
        require(_WEIGHT_N, self.weight_n)
        require(_STIFFNESS_N, self.stiffness_n)
        if not 1 <= self.bow_strands <= _STRANDS_MOST:
            raise OutOfRange(f"bow_strands: got {self.bow_strands}; allowed 1 to {_STRANDS_MOST}")

    @property
    def flow(self) -> tuple[FloatArray, FloatArray]:
        """Unit vector of the flow, x and y."""
        skew = np.radians(np.asarray(self.skew_deg, dtype=np.float64))
        return np.sin(skew), np.cos(skew)

    def strands_m(self, ring: RingPlace, *, away_m: npt.ArrayLike) -> FloatArray:
        """Slant length of a strand to a boat so far from the ring, in plan [m]."""
        away: FloatArray = np.asarray(away_m, dtype=np.float64)
        return np.hypot(away, np.maximum(ring.z_m - self.bow_ring_m, 0.0))


@dataclass(frozen=True, slots=True, eq=False)
class FerryHeld:
    """A ferry line made fast at its station.

    Attributes
    ----------
    station : where
    stiffness_n : EA [N]
    slack_m : rope out beyond the straight way to the ring when the other line went; one for each place,
        or one for all [m]
    tension_n : in it at that moment [N]

    Raises
    ------
    OutOfRange
        For what is no number, a slack outside 0 to 300 m or a tension outside 0 to 50 kN.
    """

    station: AnyStation
    stiffness_n: float | FloatArray
    slack_m: npt.ArrayLike = 0.0
    tension_n: npt.ArrayLike = 0.0

    def __post_init__(self) -> None:
        require(_STIFFNESS_N, self.stiffness_n)
        require(_SLACK_M, self.slack_m)
        require(_TENSION_N, self.tension_n)

    def rope_out_m(self, distance_m: FloatArray) -> FloatArray:
        """Unstretched rope from station to ring, the ring so far away [m]."""
        strain = np.asarray(self.tension_n, dtype=np.float64) / np.asarray(self.stiffness_n)
        return np.asarray((distance_m + np.asarray(self.slack_m, dtype=np.float64)) / (1.0 + strain))
