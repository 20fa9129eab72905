"""Ticks of the national grid on the frame of the plan, so that a place on it can be told by radio."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from atlas.frame import GridLine, Point, usng_ticks
from atlas.paper import Align, Item, Text
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import segment
from atlas.sheets.view import View

BLOCK = "plan"
_SPACINGS_M = (10, 20, 50, 100, 200, 500)
_LEAST_MM = 21.0
"""Between two grid lines on the page: room for a tick's figures and something between."""
_TICK_MM = 1.8
_GAP_MM = 0.7
_CORNER_MM = 3.0
"""Ticks keep off the frame's corners."""
_FIGURES = 100_000
"""Eastings and northings are told within their square of 100 km."""


@dataclass(frozen=True, slots=True)
class Tick:
    """A tick from the frame inward, its figures and the room they take."""

    start: Point
    end: Point
    text: Text | None
    room: shapely.Polygon | None

    @property
    def taken(self) -> list[shapely.Geometry]:
        """What other things keep clear of."""
        ink = shapely.LineString([self.start, self.end])
        return [ink] if self.room is None else [ink, self.room]


def grid_spacing_m(mm_per_m: float) -> int:
    """The least spacing whose lines stand far enough apart on the page."""
    return next((spacing for spacing in _SPACINGS_M if spacing * mm_per_m >= _LEAST_MM), _SPACINGS_M[-1])


def _bounds_m(view: View) -> tuple[float, float, float, float]:
    """The frame in the site's metres."""
    frame = view.frame
    half_x, half_y = frame.width_mm / 2 / view.mm_per_m, frame.height_mm / 2 / view.mm_per_m
    x, y = view.centre_m
    return x - half_x, y - half_y, x + half_x, y + half_y


def tick_text(desk: Desk, line: GridLine) -> str:
    """Five figures and which of the two they are: what a reference to the metre is made of."""
    figures = f"{line.value_m % _FIGURES:05d}"
    return desk.words(f"sheet.plan.{line.axis}", first=figures[:2], last=figures[2:])


def _text(desk: Desk, line: GridLine, end: Point, inward: Point) -> Text:
    """The figures beyond a tick's end."""
    style = desk.styles["column"]
    cap_mm = desk.fonts.heights(style).cap_mm
    x, y = end
    if inward[1] > 0:  # from the upper edge
        place, align = (x, y + _GAP_MM + cap_mm), Align.CENTRE
    elif inward[1] < 0:
        place, align = (x, y - _GAP_MM), Align.CENTRE
    else:
        align = Align.LEFT if inward[0] > 0 else Align.RIGHT
        place = (x + _GAP_MM * inward[0], y + cap_mm / 2)
    return Text(
        x_mm=place[0], y_mm=place[1], text=tick_text(desk, line), style=style, align=align, block=BLOCK
    )


def _inward(view: View, point: Point) -> Point | None:
    """Which way is inward at a point of the frame; None near its corners."""
    frame, (x, y) = view.frame, point
    off_sides = frame.left_mm + _CORNER_MM < x < frame.right_mm - _CORNER_MM
    off_ends = frame.top_mm + _CORNER_MM < y < frame.bottom_mm - _CORNER_MM
    if off_sides and not off_ends:
        return (0.0, 1.0 if y < frame.centre[1] else -1.0)
    if off_ends and not off_sides:
        return (1.0 if x < frame.centre[0] else -1.0, 0.0)
    return None


def _room(desk: Desk, text: Text) -> shapely.Polygon:
    width_mm = desk.fonts.width_mm(text.text, text.style)
    left_mm = text.x_mm - text.align.share * width_mm
    cap_mm = desk.fonts.heights(text.style).cap_mm
    return shapely.box(
        left_mm - _GAP_MM, text.y_mm - cap_mm - _GAP_MM, left_mm + width_mm + _GAP_MM, text.y_mm + _GAP_MM
    )


def _stroke(start: Point, end: Point) -> shapely.LineString:
    """A tick as a line."""
    return shapely.LineString([start, end])


def _ends(view: View, line: GridLine) -> list[tuple[Point, Point, Point]]:
    """Where a grid line meets the frame, each with the tick's end and its direction; the upper left first."""
    found = []
    for point in sorted((view.at(line.start), view.at(line.end)), key=lambda point: (point[1], point[0])):
        inward = _inward(view, point)
        if inward is not None:
            end = (point[0] + _TICK_MM * inward[0], point[1] + _TICK_MM * inward[1])
            found.append((point, end, inward))
    return found


def grid_ticks(
    desk: Desk, view: View, busy: Sequence[shapely.Geometry], panels: Sequence[shapely.Geometry]
) -> list[Tick]:
    """Ticks where grid lines meet the frame; figures at the first end of each line with room for them.

    Parameters
    ----------
    busy : what no figures may stand on
    panels : of north arrow and scale bar, where there are no ticks at all
    """
    lines = usng_ticks(desk.plan.frame, _bounds_m(view), spacing_m=grid_spacing_m(view.mm_per_m))
    ends = [
        [one for one in _ends(view, line) if not shapely.intersects(_stroke(*one[:2]), panels).any()]
        for line in lines
    ]
    in_the_way = shapely.STRtree([*busy, *panels])
    ticks: list[Tick] = []
    rooms: list[shapely.Polygon] = []
    for line, own in zip(lines, ends, strict=True):
        told = False
        for start, end, inward in own:
            others = [_stroke(*one[:2]) for found in ends for one in found if one[0] != start]
            text = _text(desk, line, end, inward)
            room = _room(desk, text)
            told_here = (
                not told
                and view.window.contains(room)
                and not len(in_the_way.query(room, predicate="intersects"))
                and not any(room.intersects(other) for other in (*rooms, *others))
            )
            if told_here:
                told = True
                rooms.append(room)
            ticks.append(Tick(start, end, text if told_here else None, room if told_here else None))
    return ticks


def lay_ticks(desk: Desk, ticks: list[Tick]) -> list[Item]:
    """Ticks and their figures."""
    items: list[Item] = []
    for tick in ticks:
        items.append(segment(desk, tick.start, tick.end, stroke="grid", block=BLOCK))
        if tick.text is not None:
            items.append(tick.text)
    return items
