"""Grounds on the plan: where nobody stands while lines are loaded, and where the boat is not held."""

from __future__ import annotations

from math import ceil, hypot

import shapely

from atlas.frame import PlacedShape
from atlas.paper import Area, Item, Line
from atlas.plan.crew_results import Ground
from atlas.sheets.desk import Desk
from atlas.sheets.plan_things import shape_on_page
from atlas.sheets.view import View

BLOCK = "plan"
_HATCH_MM = 1.3
"""Between two lines of a hatching."""
_LEAST_MM2 = 1.0
"""Smaller grounds are slivers between two outlines."""


def ground_on_page(view: View, ground: Ground) -> shapely.Geometry:
    """Polygons of the site, together, as far as the frame shows them."""
    polygons = [
        shapely.make_valid(shapely.Polygon(view.line(shell), [view.line(hole) for hole in holes]))
        for shell, *holes in ground
    ]
    return shapely.union_all(polygons).intersection(view.window)


def _polygons(geometry: shapely.Geometry) -> list[shapely.Polygon]:
    parts = shapely.get_parts(geometry).tolist()
    return [part for part in parts if part.geom_type == "Polygon" and part.area > _LEAST_MM2]


def no_go_on_page(desk: Desk, view: View, water: shapely.Geometry) -> list[shapely.Polygon]:
    """The dry ground on which nobody stands; over the water the lines themselves show it."""
    answers = desk.plan.chosen.answers
    if answers is None:
        return []
    return _polygons(ground_on_page(view, answers.no_go.loaded).difference(water))


def lay_no_go(desk: Desk, grounds: list[shapely.Polygon]) -> list[Item]:
    """Toned, with a dotted edge."""
    tone, edge = desk.colours["no_go"], desk.strokes["no_go"]
    return [
        Area(
            rings=tuple(
                tuple((float(x), float(y)) for x, y in ring.coords[:-1])
                for ring in (part.exterior, *part.interiors)
            ),
            fill=tone,
            stroke=edge,
            block=BLOCK,
        )
        for part in grounds
    ]


def _reached(desk: Desk) -> tuple[Ground, float]:
    """Where in the work area the boat can be held, and its share; 1 where that is not known."""
    rig = desk.plan.chosen
    reached = None if rig.answers is None else rig.answers.reached
    return ((), 1.0) if reached is None else (reached.ground, reached.share)


def reached_share(desk: Desk) -> float:
    """Of the work area, where the boat can be held; 1 where that is not known."""
    return _reached(desk)[1]


def hatching(part: shapely.Polygon) -> list[shapely.Geometry]:
    """Lines up to the right across a polygon, cut to it."""
    left, top, right, bottom = part.bounds
    reach = right - left + bottom - top
    step = _HATCH_MM * hypot(1.0, 1.0)
    starts = [left + number * step for number in range(1, ceil(reach / step))]
    lines = shapely.linestrings([((x, top), (x - (bottom - top), bottom)) for x in starts])
    cut = shapely.get_parts(shapely.intersection(lines, part)).tolist()
    return [line for line in cut if line.geom_type == "LineString" and line.length > 0]


def lay_out_of_reach(desk: Desk, view: View, area: PlacedShape) -> list[Item]:
    """Hatching on the part of a work area in which the boat is not held."""
    ground, share = _reached(desk)
    if share >= 1.0:
        return []
    missed = shape_on_page(view, area).difference(ground_on_page(view, ground))
    stroke = desk.strokes["out_of_reach"]
    return [
        Line(x1_mm=x1, y1_mm=y1, x2_mm=x2, y2_mm=y2, stroke=stroke, block=BLOCK)
        for part in _polygons(missed)
        for (x1, y1), (x2, y2) in (line.coords for line in hatching(part))
    ]
