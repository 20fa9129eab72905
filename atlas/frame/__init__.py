"""Longitude and latitude to the site's own metres."""

from atlas.frame.build import site_frame
from atlas.frame.grid import (
    DegreesMinutes,
    GridLine,
    degrees_decimal_minutes,
    geo_uri,
    usng,
    usng_ticks,
)
from atlas.frame.metres import geodesic_m, to_lonlat, to_site_xy
from atlas.frame.problems import FrameProblem
from atlas.frame.site_frame import (
    PlacedAnchor,
    PlacedDanger,
    PlacedPost,
    PlacedShape,
    Point,
    SiteFrame,
)
from atlas.frame.stations import Station, Stations, stations

__all__ = [
    "DegreesMinutes",
    "FrameProblem",
    "GridLine",
    "PlacedAnchor",
    "PlacedDanger",
    "PlacedPost",
    "PlacedShape",
    "Point",
    "SiteFrame",
    "Station",
    "Stations",
    "degrees_decimal_minutes",
    "geo_uri",
    "geodesic_m",
    "site_frame",
    "stations",
    "to_lonlat",
    "to_site_xy",
    "usng",
    "usng_ticks",
]
