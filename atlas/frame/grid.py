"""A place as crews say it: grid reference, decimal minutes, geo URI; and the grid's lines on a plan."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor, isfinite

import numpy as np
import shapely
from mgrs import MGRS
from numpy.typing import NDArray
from pyproj import Transformer

from atlas.faults import OutOfRange
from atlas.frame.metres import to_lonlat, to_site_xy
from atlas.frame.site_frame import Point, SiteFrame
from atlas.records import LonLat

__all__ = ["DegreesMinutes", "GridLine", "degrees_decimal_minutes", "geo_uri", "usng", "usng_ticks"]

_GRID = MGRS()
GRID_SOUTH_DEG, GRID_NORTH_DEG = -80.0, 84.0
"""The grid's zones end here; beyond lie the polar grids, which are not part of it."""
FULL_DIGITS = 5


@dataclass(frozen=True, slots=True)
class DegreesMinutes:
    """A latitude or longitude: whole degrees, minutes with decimals, and N, S, E or W."""

    degrees: int
    minutes: float
    hemisphere: str


@dataclass(frozen=True, slots=True)
class GridLine:
    """A line of the UTM grid across a plan.

    Attributes
    ----------
    axis : ``easting`` or ``northing``: which of the two is constant along it
    value_m : the constant value, whole metres
    start, end : in the site's frame [m]
    """

    axis: str
    value_m: int
    start: Point
    end: Point


def usng(lonlat: LonLat, *, digits: int = FULL_DIGITS) -> str:
    """US National Grid reference, spaced as in the standard: ``18S UJ 23483 06479``.

    Parameters
    ----------
    lonlat : longitude, latitude [degrees, WGS 84]
    digits : of easting and northing each: 5 for 1 m, 4 for 10 m, 3 for 100 m

    Raises
    ------
    OutOfRange
        Latitude outside -80..84, or digits outside 1..5.

    Notes
    -----
    FGDC-STD-011-2001, United States National Grid, section 3: digits are cut off, never rounded, so
    that a reference names the square the place lies in. WGS 84 and NAD 83 are taken as one. The grid
    library counts a place within 0.5 mm of the next metre as in it.
    """
    if not 1 <= digits <= FULL_DIGITS:
        raise OutOfRange(f"grid reference of {digits} digits; allowed: 1 to {FULL_DIGITS} each way")
    text = _grid_text(lonlat)
    zone, square, easting, northing = text[:-12], text[-12:-10], text[-10:-5], text[-5:]
    return f"{zone} {square} {easting[:digits]} {northing[:digits]}"


def degrees_decimal_minutes(lonlat: LonLat, *, decimals: int = 3) -> tuple[DegreesMinutes, DegreesMinutes]:
    """Latitude, then longitude, in whole degrees and decimal minutes, rounded to the nearest.

    Minutes that round up to 60 are carried into the degrees; 0.001 minute is 1.9 m of latitude.
    """
    longitude, latitude = lonlat
    return (
        _degrees_minutes(latitude, "N", "S", decimals=decimals),
        _degrees_minutes(longitude, "E", "W", decimals=decimals),
    )


def geo_uri(lonlat: LonLat, *, decimals: int = 6) -> str:
    """``geo:latitude,longitude`` in WGS 84, plain decimals; 6 of them are 0.11 m.

    Notes
    -----
    RFC 5870, section 3.3: no plus sign, no exponent; section 3.4.2: 180 degrees without minus sign.
    """
    longitude, latitude = lonlat
    if round(longitude, decimals) == -180.0:
        longitude = 180.0
    return f"geo:{_plain(latitude, decimals=decimals)},{_plain(longitude, decimals=decimals)}"


def usng_ticks(
    frame: SiteFrame, bounds: tuple[float, float, float, float], *, spacing_m: int
) -> tuple[GridLine, ...]:
    """Lines of the grid over a plan, eastings first, each by rising value.

    Parameters
    ----------
    frame : the site
    bounds : least x, least y, greatest x, greatest y of the plan [m]
    spacing_m : between lines, such as 10, 50 or 100 [m]

    Notes
    -----
    In the zone of the near track tie point. Grid lines are drawn straight: over 1 km they bend by
    less than 5 mm.
    """
    zone = _utm(frame.origin)
    corners = _to_utm(frame, zone, _outline(bounds))
    (east_0, north_0), (east_1, north_1) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    lines = []
    for easting in _multiples(east_0, east_1, spacing_m):
        ends = ((easting, north_0 - spacing_m), (easting, north_1 + spacing_m))
        lines += _grid_line(frame, zone, "easting", easting, ends, bounds)
    for northing in _multiples(north_0, north_1, spacing_m):
        ends = ((east_0 - spacing_m, northing), (east_1 + spacing_m, northing))
        lines += _grid_line(frame, zone, "northing", northing, ends, bounds)
    return tuple(lines)


def _grid_text(lonlat: LonLat) -> str:
    """Zone, band, square and five digits each way, unspaced."""
    longitude, latitude = lonlat
    if not (GRID_SOUTH_DEG <= latitude < GRID_NORTH_DEG and isfinite(longitude)):
        allowed = f"{GRID_SOUTH_DEG:g} to {GRID_NORTH_DEG:g} degrees"
        raise OutOfRange(f"no grid zone at latitude {latitude:g}; allowed: {allowed}")
    return str(_GRID.toMGRS(latitude, longitude, MGRSPrecision=FULL_DIGITS))


def _degrees_minutes(angle: float, positive: str, negative: str, *, decimals: int) -> DegreesMinutes:
    """Rounded as a whole number of the last decimal of a minute, so that 60 can be carried."""
    units_per_degree = 60 * 10**decimals
    degrees, rest = divmod(round(abs(angle) * units_per_degree), units_per_degree)
    return DegreesMinutes(degrees, rest / 10**decimals, negative if angle < 0.0 else positive)


def _plain(angle: float, *, decimals: int) -> str:
    """Fixed decimals without a minus before zero."""
    return f"{round(angle, decimals) + 0.0:.{decimals}f}"


@lru_cache(maxsize=64)
def _transformer(zone: int, *, south: bool) -> Transformer:
    """WGS 84 to the UTM zone; kept, because making one costs milliseconds."""
    return Transformer.from_crs("EPSG:4326", f"EPSG:{(32700 if south else 32600) + zone}", always_xy=True)


def _utm(lonlat: LonLat) -> Transformer:
    """The zone in which the grid reference of a place is written."""
    return _transformer(int(_grid_text(lonlat)[:-13]), south=lonlat[1] < 0.0)


def _to_utm(frame: SiteFrame, zone: Transformer, xy: NDArray[np.float64]) -> NDArray[np.float64]:
    lonlat = to_lonlat(frame, xy)
    return np.column_stack(zone.transform(lonlat[:, 0], lonlat[:, 1]))


def _outline(bounds: tuple[float, float, float, float]) -> NDArray[np.float64]:
    """The four corners, shape (4, 2)."""
    x_0, y_0, x_1, y_1 = bounds
    return np.array(((x_0, y_0), (x_0, y_1), (x_1, y_0), (x_1, y_1)))


def _multiples(least: float, most: float, spacing_m: int) -> list[int]:
    """Whole multiples of the spacing inside [least, most]."""
    return [count * spacing_m for count in range(ceil(least / spacing_m), floor(most / spacing_m) + 1)]


def _grid_line(
    frame: SiteFrame,
    zone: Transformer,
    axis: str,
    value_m: int,
    ends: tuple[tuple[float, float], tuple[float, float]],
    bounds: tuple[float, float, float, float],
) -> list[GridLine]:
    """The part of one grid line inside the plan, or nothing."""
    eastings, northings = np.array(ends).T
    lonlat = np.column_stack(zone.transform(eastings, northings, direction="INVERSE"))
    line = shapely.clip_by_rect(shapely.LineString(to_site_xy(frame, lonlat)), *bounds)
    if line.length == 0.0:
        return []
    start, end = shapely.get_coordinates(line).tolist()
    return [GridLine(axis, value_m, tuple(start), tuple(end))]
