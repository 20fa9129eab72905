"""Longitude and latitude of points in a site's frame."""

from __future__ import annotations

from atlas.frame import Point, SiteFrame, to_lonlat
from atlas.records import LonLat

__all__ = ["lonlat_of"]


def lonlat_of(frame: SiteFrame, point: Point) -> LonLat:
    """Longitude, latitude [degrees] of one point of the site's frame."""
    lon, lat = to_lonlat(frame, [point])[0].tolist()
    return lon, lat
