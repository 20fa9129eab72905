"""Longitude and latitude of points in a site's frame, and true bearings of its directions."""

from __future__ import annotations

from math import atan2, cos, degrees, radians, sin

from atlas.frame import Point, SiteFrame, to_lonlat
from atlas.records import LonLat

__all__ = ["bearing_deg", "lonlat_of"]


def lonlat_of(frame: SiteFrame, point: Point) -> LonLat:
    """Longitude, latitude [degrees] of one point of the site's frame."""
    lon, lat = to_lonlat(frame, [point])[0].tolist()
    return lon, lat


def bearing_deg(frame: SiteFrame, *, along: float, downstream: float) -> float:
    """True bearing of a direction of the site's frame, 0 to 360 [degrees]."""
    x, y = radians(frame.x_azimuth_deg), radians(frame.downstream_azimuth_deg)
    east = along * sin(x) + downstream * sin(y)
    north = along * cos(x) + downstream * cos(y)
    return degrees(atan2(east, north)) % 360.0
