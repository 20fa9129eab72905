"""Rough distances on the globe: enough to tell a county from the other side of the world."""

from __future__ import annotations

from math import cos, hypot, radians

from atlas.records import LonLat

__all__ = ["distance_km", "exchanged"]

_KM_PER_DEGREE = 111.2


def distance_km(one: LonLat, other: LonLat) -> float:
    """Distance [km] between two places in degrees, within a few per cent up to some 500 km."""
    east = (other[0] - one[0] + 540.0) % 360.0 - 180.0
    middle = radians((one[1] + other[1]) / 2.0)
    return _KM_PER_DEGREE * hypot(east * cos(middle), other[1] - one[1])


def exchanged(place: LonLat) -> LonLat:
    """Longitude taken as latitude, and latitude as longitude."""
    return (place[1], place[0])
