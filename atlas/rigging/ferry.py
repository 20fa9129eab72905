"""Stations of the tended lines, and the way to them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.rigging.shown import FloatArray

__all__ = ["StationPoint", "toward"]


@dataclass(frozen=True, slots=True)
class StationPoint:
    """A station in the site's frame; z over the survey day's water [m]."""

    x_m: float
    y_m: float
    z_m: float


def toward(
    station: StationPoint, *, x_m: FloatArray, y_m: FloatArray, z_m: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Unit vector from the carriage ring to a station, x, y and z, and the distance [m]."""
    run = (station.x_m - x_m, station.y_m - y_m, station.z_m - z_m)
    distance_m = np.sqrt(run[0] ** 2 + run[1] ** 2 + run[2] ** 2)
    return run[0] / distance_m, run[1] / distance_m, run[2] / distance_m, distance_m
