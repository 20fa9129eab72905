"""Longitude and latitude on a map page: fitted, north up, with its scale bars and its graticule."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from atlas.frame.metres import east_north, lon_lat
from atlas.paper import Box, Point
from atlas.records import LonLat

__all__ = ["GraticuleLine", "MapView", "fit_map", "graticule", "nice_length", "window_degrees"]

LEAST_EXTENT_M: Final = 1500.0
"""A map of one site shows at least so much of its surroundings."""
_MARGIN: Final = 0.07
"""Of the frame's width, kept free round the sites for their labels."""
_MARK_ROOM_MM: Final = 2.5
_LINE_APART_MM: Final = 30.0
_MINUTES: Final = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0)
_M_PER_MINUTE: Final = 1852.0
"""Of latitude: the nautical mile; near enough to choose a spacing."""
_STEPS_ALONG: Final = 12

Floats = NDArray[np.float64]


@lru_cache(maxsize=8192)
def _metres(origin: LonLat, place: LonLat) -> tuple[float, float]:
    """One place about an origin [m]: a site is asked for many times while its label is placed."""
    east, north = east_north(origin, [place])[0].tolist()
    return (east, north)


@dataclass(frozen=True, slots=True)
class MapView:
    """Turns longitude and latitude into millimetres of the page, north up.

    Azimuthal equidistant about the middle of the map: true from there; between two other places at
    r metres the error is r^2 / (6 R^2) of their distance, 0.02 % at 200 km.

    Attributes
    ----------
    frame : what is visible
    origin : the middle
    mm_per_m : the scale
    """

    frame: Box
    origin: LonLat
    mm_per_m: float

    def at(self, places: Sequence[LonLat] | Floats) -> Floats:
        """Places on the page, shape (n, 2) [mm]."""
        metres = east_north(self.origin, places)
        return np.asarray(metres * (self.mm_per_m, -self.mm_per_m) + self.frame.centre)

    def point(self, place: LonLat) -> Point:
        """One place on the page."""
        x_mm, y_mm = _metres(self.origin, place)
        middle_x_mm, middle_y_mm = self.frame.centre
        return (x_mm * self.mm_per_m + middle_x_mm, y_mm * -self.mm_per_m + middle_y_mm)

    def places(self, points_mm: Floats) -> Floats:
        """Inverse of `at`: longitude and latitude, shape (n, 2) [degrees]."""
        metres = (points_mm - np.array(self.frame.centre)) / (self.mm_per_m, -self.mm_per_m)
        return lon_lat(self.origin, metres)

    @property
    def window(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of the frame [mm]."""
        frame = self.frame
        return (frame.left_mm, frame.top_mm, frame.right_mm, frame.bottom_mm)

    def shows(self, place: LonLat) -> bool:
        """Whether a place is inside the frame, with room for its mark."""
        return self.seen([place])[0]

    def seen(self, places: Sequence[LonLat]) -> list[bool]:
        """`shows` of many places."""
        if not places:
            return []
        inner = self.frame.inset(_MARK_ROOM_MM)
        low, high = (inner.left_mm, inner.top_mm), (inner.right_mm, inner.bottom_mm)
        points = self.at(places)
        inside: NDArray[np.bool_] = np.all((points >= low) & (points <= high), axis=1)
        return [bool(one) for one in inside]

    def east_of_origin(self, longitudes: Floats) -> Floats:
        """Degrees east of the middle, -180 to 180: no seam where the date line runs through a county."""
        return np.asarray((longitudes - self.origin[0] + 180.0) % 360.0 - 180.0)


def _middle_and_size(origin: LonLat, places: Sequence[LonLat]) -> tuple[LonLat, tuple[float, float]]:
    metres = east_north(origin, places)
    low, high = metres.min(axis=0), metres.max(axis=0)
    (middle,) = lon_lat(origin, (low + high)[None, :] / 2).tolist()
    width_m, height_m = (high - low).tolist()
    return (middle[0], middle[1]), (width_m, height_m)


def _fitted(places: Sequence[LonLat], frame: Box) -> MapView:
    origin, _ = _middle_and_size(places[0], places)
    origin, (width_m, height_m) = _middle_and_size(origin, places)
    room = frame.inset(_MARGIN * frame.width_mm)
    scale = min(room.width_mm / max(width_m, LEAST_EXTENT_M), room.height_mm / max(height_m, LEAST_EXTENT_M))
    return MapView(frame, origin, scale)


def fit_map(
    core: Sequence[LonLat], wider: Sequence[Sequence[LonLat]], frame: Box, *, least_share: float
) -> MapView:
    """The view that shows all of `core`, and more where that costs little.

    Parameters
    ----------
    core : places of sites, one or more
    wider : groups of further places (a station, a boundary); each is taken in, in their order, while
        the scale stays over `least_share` of that of the sites alone
    """
    view = _fitted(core, frame)
    least, taken = least_share * view.mm_per_m, list(core)
    for group in wider:
        if group and (larger := _fitted([*taken, *group], frame)).mm_per_m >= least:
            view = larger
            taken += group
    return view


def nice_length(most: float) -> float:
    """The greatest of 1, 2, 5 times a power of ten that is not over `most`."""
    power = 10.0 ** math.floor(math.log10(most) + 1e-9)
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= most * (1 + 1e-9))


@dataclass(frozen=True, slots=True)
class GraticuleLine:
    """A meridian or parallel across the map.

    Attributes
    ----------
    meridian : of one longitude, told at the upper edge; else of one latitude, told at the left one
    degrees : its longitude or latitude
    points : on the page
    tick : where it meets that edge; None where it does not
    """

    meridian: bool
    degrees: float
    points: tuple[Point, ...]
    tick: Point | None


def window_degrees(view: MapView) -> tuple[float, float, float, float]:
    """Least and greatest degrees east of the middle, least and greatest latitude, of what is visible."""
    left, top, right, bottom = view.window
    xs, ys = np.linspace(left, right, 9), np.linspace(top, bottom, 9)
    grid = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    places = view.places(grid)
    east = view.east_of_origin(places[:, 0])
    return float(east.min()), float(east.max()), float(places[:, 1].min()), float(places[:, 1].max())


def spacing_minutes(mm_per_minute: float) -> float:
    """Minutes between lines so that they stand far enough apart."""
    apart = (minutes for minutes in _MINUTES if minutes * mm_per_minute >= _LINE_APART_MM)
    return next(apart, _MINUTES[-1])


def _multiples(low: float, high: float, step: float) -> list[float]:
    return [count * step for count in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _drawn(view: MapView, places: Floats, *, meridian: bool, degrees: float) -> list[GraticuleLine]:
    line = shapely.clip_by_rect(shapely.LineString(view.at(places)), *view.window)
    if line.geom_type != "LineString" or line.is_empty:
        return []
    points = tuple((x, y) for x, y in shapely.get_coordinates(line).tolist())
    edge = view.frame.top_mm if meridian else view.frame.left_mm
    axis = 1 if meridian else 0
    tick = min(points, key=lambda point: point[axis])
    return [GraticuleLine(meridian, degrees, points, tick if abs(tick[axis] - edge) < 0.01 else None)]


def graticule(view: MapView) -> tuple[tuple[GraticuleLine, ...], tuple[float, float]]:
    """Meridians and parallels through the map.

    Returns
    -------
    their lines, and the minutes between meridians and between parallels
    """
    west, east, south, north = window_degrees(view)
    longitude, latitude = view.origin
    mm_per_minute = view.mm_per_m * _M_PER_MINUTE
    steps = (
        spacing_minutes(mm_per_minute * max(math.cos(math.radians(latitude)), 1e-6)),
        spacing_minutes(mm_per_minute),
    )
    lines: list[GraticuleLine] = []
    for degrees in _multiples(longitude + west, longitude + east, steps[0] / 60.0):
        along = np.linspace(south, north, _STEPS_ALONG)
        wrapped = (degrees + 180.0) % 360.0 - 180.0
        places = np.column_stack((np.full(len(along), wrapped), along))
        lines += _drawn(view, places, meridian=True, degrees=wrapped)
    for degrees in _multiples(south, north, steps[1] / 60.0):
        along = (np.linspace(longitude + west, longitude + east, _STEPS_ALONG) + 180.0) % 360.0 - 180.0
        places = np.column_stack((along, np.full(len(along), degrees)))
        lines += _drawn(view, places, meridian=False, degrees=degrees)
    return tuple(lines), steps
