"""Stations of the tended lines, and the way to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from atlas.rigging.shown import FloatArray

__all__ = ["AnyStation", "StationPoint", "StationPoints", "toward"]


@dataclass(frozen=True, slots=True)
class StationPoint:
    """A station in the site's frame; z over the survey day's water [m]."""

    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True, slots=True, eq=False)
class StationPoints:
    """One station of each of many sites, in their own frames; arrays of one shape [m]."""

    x_m: FloatArray
    y_m: FloatArray
    z_m: FloatArray

    @classmethod
    def of(cls, stations: Sequence[StationPoint]) -> StationPoints:
        """Of sites one below the other, shape (sites, 1)."""
        places = np.array([(one.x_m, one.y_m, one.z_m) for one in stations], dtype=np.float64)
        return cls(*(places[:, axis : axis + 1] for axis in range(3)))


AnyStation: TypeAlias = StationPoint | StationPoints
"""One station, or that of each of many sites."""


def toward(
    station: AnyStation, *, x_m: FloatArray, y_m: FloatArray, z_m: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Unit vector from the carriage ring to a station, x, y and z, and the distance; broadcasts [m]."""
    run = (station.x_m - x_m, station.y_m - y_m, station.z_m - z_m)
    distance_m = np.sqrt(run[0] ** 2 + run[1] ** 2 + run[2] ** 2)
    return run[0] / distance_m, run[1] / distance_m, run[2] / distance_m, distance_m
