"""Ground in plan: what nobody stands on while lines are loaded, hatched; what the boat can be held in."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from atlas.paper import Area, Item, Polyline, bounds
from atlas.plan.crew_results import Ground
from atlas.sheets.desk import Desk
from atlas.sheets.plan_things import shape_on_page
from atlas.sheets.view import View

BLOCK = "plan"
_STEP_MM = 2.2
"""Between two strokes of the hatching, along the frame."""
_TEXT_ROOM_MM = 0.7
_SHORTEST_MM = 0.8


def on_page(view: View, ground: Ground) -> shapely.Geometry:
    """A ground on the page, cut to the frame."""
    polygons = [
        shapely.make_valid(shapely.Polygon(view.line(shell), [view.line(hole) for hole in holes]))
        for shell, *holes in ground
    ]
    return shapely.union_all(polygons).intersection(view.window)


def hatching(area: shapely.Geometry) -> list[shapely.LineString]:
    """Strokes rising to the right through an area, of one grid wherever it lies."""
    if area.is_empty:
        return []
    left_mm, top_mm, right_mm, bottom_mm = area.bounds
    first = int((left_mm + top_mm) // _STEP_MM) + 1
    last = int((right_mm + bottom_mm) // _STEP_MM) + 1
    strokes = shapely.MultiLineString(
        [
            [(sum_mm - bottom_mm, bottom_mm), (sum_mm - top_mm, top_mm)]
            for sum_mm in (number * _STEP_MM for number in range(first, last))
        ]
    )
    inside = shapely.get_parts(strokes.intersection(area))
    return [part for part in inside if part.geom_type == "LineString" and part.length >= _SHORTEST_MM]


def lay_reached(desk: Desk, view: View) -> list[Item]:
    """The part of the work areas in which the boat can be held: paper white; the rest stays water."""
    answers = desk.plan.chosen.answers
    if answers is None:
        grounds = [shape_on_page(view, area) for area in desk.plan.frame.work_areas]
    else:
        grounds = [on_page(view, () if answers.reached is None else answers.reached.ground)]
    return [
        Area(
            rings=tuple(
                tuple((float(x), float(y)) for x, y in ring.coords)
                for ring in (polygon.exterior, *polygon.interiors)
            ),
            fill=desk.colours["work_area"],
            block=BLOCK,
        )
        for polygon in shapely.get_parts(grounds)
        if isinstance(polygon, shapely.Polygon)
    ]


def lay_no_go(
    desk: Desk, view: View, labels: Sequence[Item], panels: Sequence[shapely.Geometry]
) -> list[Item]:
    """No-go ground about loaded lines hatched, but for the work area, panels and the room about labels."""
    answers = desk.plan.chosen.answers
    if answers is None:
        return []
    areas = [shape_on_page(view, area) for area in desk.plan.frame.work_areas]
    texts = [
        shapely.box(
            box.left_mm - _TEXT_ROOM_MM,
            box.top_mm - _TEXT_ROOM_MM,
            box.right_mm + _TEXT_ROOM_MM,
            box.bottom_mm + _TEXT_ROOM_MM,
        )
        for box in (bounds(item, desk.fonts) for item in labels)
    ]
    ground = on_page(view, answers.no_go.loaded)
    left = shapely.difference(ground, shapely.union_all([*areas, *texts, *panels]))
    stroke = desk.strokes["no_go"]
    return [
        Polyline(
            points=tuple((float(x), float(y)) for x, y in line.coords),
            stroke=stroke,
            block=BLOCK,
            clear_of_text=True,
        )
        for line in hatching(left)
    ]
