"""North arrow and scale bar: in those corners of the plan where least is in the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
import shapely

from atlas.paper import Align, Box, Item, Text, north_arrow, scale_bar
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import lay_runs
from atlas.sheets.view import View
from atlas.units import Figure, UnitSystem

BLOCK = "plan"
_INSET_MM = 1.5
_CLEAR_MM = 1.5
_PANEL_MM = 0.8
"""Kept clear of water and banks round a corner's panel."""
_NORTH_BOX_MM = 14.0
_NEEDLE_MM = 9.0
_LETTER_MM = 6.0
"""From the needle's middle to the middle of its letter."""
_SCALE_STEPS = 4
_SCALE_MOST_MM = 34.0
_SCALE_BOX_HEIGHT_MM = 6.2
_SCALE_LENGTHS = {
    UnitSystem.US: (2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0),
    UnitSystem.SI: (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0),
}
"""Lengths of one field of the bar, in feet or metres."""
_METRES = {UnitSystem.US: 0.3048, UnitSystem.SI: 1.0}
_EDGE_STEPS = 8
"""Places tried along an edge beside its corners."""


@dataclass(frozen=True, slots=True)
class Corners:
    """Where north arrow and scale bar stand, and the bar's field on the page and its whole length."""

    north: Box
    scale: Box
    field_mm: float
    length_m: float

    @property
    def panels(self) -> list[shapely.Polygon]:
        """Both boxes, for what has to keep clear of them."""
        return [as_polygon(box.inset(-_PANEL_MM)) for box in (self.north, self.scale)]

    def panels_over(self, banks: Sequence[shapely.Geometry]) -> list[shapely.Polygon]:
        """Those boxes that a bank would run through: the river is left out there."""
        return [panel for panel in self.panels if shapely.intersects(panel, banks).any()]


def as_polygon(box: Box) -> shapely.Polygon:
    """A box as geometry."""
    return shapely.box(box.left_mm, box.top_mm, box.right_mm, box.bottom_mm)


def north_deg(downstream_azimuth_deg: float) -> float:
    """Where north lies, clockwise from straight up the page: downstream is straight down."""
    return (180.0 - downstream_azimuth_deg) % 360.0


def scale_field(system: UnitSystem, mm_per_m: float) -> float:
    """Length of one field of the bar [m]: the longest round one that leaves the bar short enough."""
    metres = [length * _METRES[system] for length in _SCALE_LENGTHS[system]]
    fitting = [length_m for length_m in metres if length_m * mm_per_m * _SCALE_STEPS <= _SCALE_MOST_MM]
    return max(fitting, default=metres[0])


def _places(frame: Box, corners: str, *, width_mm: float, height_mm: float) -> list[Box]:
    """Boxes along the frame's edges: its corners in the order named, then all the way round.

    `corners` names them by two letters each, parted by spaces: upper or lower, left or right.
    """
    inner = frame.inset(_INSET_MM)
    right_mm, low_mm = inner.right_mm - width_mm, inner.bottom_mm - height_mm
    lefts = {"l": inner.left_mm, "r": right_mm}
    tops = {"u": inner.top_mm, "l": low_mm}
    places = [(lefts[name[1]], tops[name[0]]) for name in corners.split()]
    steps = [step / _EDGE_STEPS for step in range(1, _EDGE_STEPS)]
    across = [inner.left_mm + step * (right_mm - inner.left_mm) for step in steps]
    down = [inner.top_mm + step * (low_mm - inner.top_mm) for step in steps]
    places += [(left_mm, top_mm) for top_mm in (low_mm, inner.top_mm) for left_mm in across]
    places += [(left_mm, top_mm) for left_mm in (inner.left_mm, right_mm) for top_mm in down]
    return [
        Box(left_mm=left_mm, top_mm=top_mm, width_mm=width_mm, height_mm=height_mm)
        for left_mm, top_mm in places
    ]


def _quietest(boxes: list[Box], busy: Sequence[shapely.Geometry]) -> Box:
    """The first box with nothing in the way, else the first with the least."""
    corners = np.array([box.diagonal for box in boxes]).reshape(-1, 4)
    polygons = shapely.box(*(corners + np.array([-_CLEAR_MM, -_CLEAR_MM, _CLEAR_MM, _CLEAR_MM])).T)
    met, _ = shapely.STRtree(busy).query(polygons, predicate="intersects")
    met_by = frozenset(met.tolist())
    clear = next((box for number, box in enumerate(boxes) if number not in met_by), None)
    if clear is not None:
        return clear
    areas = shapely.area(shapely.intersection(polygons, shapely.union_all(busy))).round(3)
    return boxes[int(areas.argmin())]


def choose_corners(desk: Desk, view: View, busy: Sequence[shapely.Geometry]) -> Corners:
    """Places for arrow and bar: where nothing speaks against it the upper left and the lower left."""
    field_m = scale_field(desk.system, view.mm_per_m)
    length_m = field_m * _SCALE_STEPS
    words_mm = desk.width_mm(desk.show(Figure.SPAN, length_m).both, "map_label")
    width_mm = max(length_m * view.mm_per_m, words_mm)
    scale = _quietest(
        _places(view.frame, "ll lr ul ur", width_mm=width_mm, height_mm=_SCALE_BOX_HEIGHT_MM), busy
    )
    north = _quietest(
        _places(view.frame, "ul ur lr ll", width_mm=_NORTH_BOX_MM, height_mm=_NORTH_BOX_MM),
        [*busy, as_polygon(scale)],
    )
    return Corners(north, scale, field_m * view.mm_per_m, length_m)


def _lay_scale(desk: Desk, corners: Corners) -> list[Item]:
    box = corners.scale
    bar = scale_bar(
        x_mm=box.left_mm, y_mm=box.bottom_mm - 1.3, step_mm=corners.field_mm, steps=_SCALE_STEPS, block=BLOCK
    )
    shown = desk.show(Figure.SPAN, corners.length_m)
    words = lay_runs(
        desk, [(shown.both, "map_label")], x_mm=box.left_mm, y_mm=box.bottom_mm - 2.3, width_mm=box.width_mm,
        block=BLOCK,
    )  # fmt: skip
    return [*bar, *words]


def _lay_north(desk: Desk, box: Box) -> list[Item]:
    """The needle, its letter beyond its tip."""
    x_mm, y_mm = box.centre
    turn = north_deg(desk.plan.frame.downstream_azimuth_deg)
    needle = north_arrow(x_mm=x_mm, y_mm=y_mm, length_mm=_NEEDLE_MM, north_deg=turn, block=BLOCK)
    style = desk.styles["map_strong"]
    letter = Text(
        x_mm=x_mm + _LETTER_MM * sin(radians(turn)),
        y_mm=y_mm - _LETTER_MM * cos(radians(turn)) + desk.fonts.heights(style).cap_mm / 2,
        text=desk.words("sheet.plan.north"),
        style=style,
        align=Align.CENTRE,
        block=BLOCK,
    )
    return [*needle, letter]


def lay_corners(desk: Desk, corners: Corners) -> list[Item]:
    """North arrow and scale bar."""
    return [*_lay_north(desk, corners.north), *_lay_scale(desk, corners)]
