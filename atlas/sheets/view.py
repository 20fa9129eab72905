"""The site's metres on the page: scale, place and which way round, so that downstream is down the page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import shapely

from atlas.frame import Point, SiteFrame
from atlas.paper import Box
from atlas.records import NearBank


@dataclass(frozen=True, slots=True)
class Extent:
    """Least and greatest x and y in the site's frame [m]."""

    x_0: float
    y_0: float
    x_1: float
    y_1: float

    @classmethod
    def around(cls, points: Iterable[Point]) -> Extent:
        """The extent of points."""
        xs, ys = zip(*points, strict=True)
        return cls(min(xs), min(ys), max(xs), max(ys))

    def with_point(self, point: Point) -> Extent:
        """Grown to hold a point."""
        x, y = point
        return Extent(min(self.x_0, x), min(self.y_0, y), max(self.x_1, x), max(self.y_1, y))

    def distance_m(self, point: Point) -> float:
        """How far a point lies outside."""
        x, y = point
        return max(self.x_0 - x, x - self.x_1, self.y_0 - y, y - self.y_1, 0.0)


@dataclass(frozen=True, slots=True)
class View:
    """Turns the site's metres into millimetres of the page.

    Attributes
    ----------
    frame : what is visible
    mm_per_m : the scale
    across : +1 where the near bank stands at the left of the page (river right), else -1
    """

    frame: Box
    mm_per_m: float
    across: int
    centre_m: Point
    window: shapely.Polygon = field(init=False, repr=False, compare=False)
    """The visible part of the page."""

    def __post_init__(self) -> None:
        """Make the window once: everything drawn is cut to it."""
        frame = self.frame
        window = shapely.box(frame.left_mm, frame.top_mm, frame.right_mm, frame.bottom_mm)
        object.__setattr__(self, "window", window)

    def at(self, point: Point) -> Point:
        """A point of the site on the page [mm]."""
        centre_x, centre_y = self.frame.centre
        return (
            centre_x + self.across * (point[0] - self.centre_m[0]) * self.mm_per_m,
            centre_y + (point[1] - self.centre_m[1]) * self.mm_per_m,
        )

    def line(self, points: Iterable[Point]) -> tuple[Point, ...]:
        """Points of the site on the page."""
        return tuple(self.at(point) for point in points)

    def turned(self, along: Point) -> Point:
        """A direction of the site as a direction of the page."""
        return self.across * along[0], along[1]

    def shows(self, point: Point) -> bool:
        """Whether a point of the site is visible."""
        x, y = self.at(point)
        frame = self.frame
        return frame.left_mm <= x <= frame.right_mm and frame.top_mm <= y <= frame.bottom_mm


def page_side(near_bank: NearBank) -> int:
    """+1 where the near bank is at the left: facing down the page, river right is at the left."""
    return 1 if near_bank is NearBank.RIGHT else -1


def _scale(extent: Extent, frame: Box) -> float:
    across_m, down_m = max(extent.x_1 - extent.x_0, 1.0), max(extent.y_1 - extent.y_0, 1.0)
    return min(frame.width_mm / across_m, frame.height_mm / down_m)


def fit_view(
    site: SiteFrame,
    core: Iterable[Point],
    surroundings: Iterable[Point],
    frame: Box,
    *,
    margin_mm: float,
    least_share: float,
) -> View:
    """The view that shows the rig as large as it goes, and what is near it where that costs little.

    Parameters
    ----------
    core : points of the rig, all of which are shown
    surroundings : dangers and posts; each is taken in while the scale stays over `least_share` of
        the scale of the rig alone
    margin_mm : kept free round the rig for labels
    """
    room = frame.inset(margin_mm)
    extent = Extent.around(core)
    least = least_share * _scale(extent, room)
    for point in sorted(surroundings, key=extent.distance_m):
        wider = extent.with_point(point)
        if _scale(wider, room) >= least:
            extent = wider
    return View(
        frame=frame,
        mm_per_m=_scale(extent, room),
        across=page_side(site.near_bank),
        centre_m=((extent.x_0 + extent.x_1) / 2, (extent.y_0 + extent.y_1) / 2),
    )
