"""The plan view: to scale, downstream down the page, everything that stands about the rig, and its labels."""

from __future__ import annotations

from math import atan2, cos, degrees, radians, sin

import shapely

from atlas.paper import (
    Align,
    Box,
    Item,
    Point,
    Rect,
    Span,
    Stroke,
    Text,
    lay_text,
    lines_height_mm,
    north_arrow,
    scale_bar,
    wrap_spans,
)
from atlas.sheets.desk import Desk
from atlas.sheets.lines import tag_of
from atlas.sheets.map_labels import MapLabel, lay_map_labels
from atlas.sheets.pieces import lay_runs, titled
from atlas.sheets.plan_rig import RigInPlan, boat_outline, lay_rig, rig_in_plan
from atlas.sheets.plan_things import (
    ANCHOR_MM,
    DANGER_MM,
    POST_MM,
    anchor_point,
    beyond_text,
    danger_name,
    danger_place,
    lay_anchor,
    lay_danger,
    lay_post,
    lay_work_area,
    shape_on_page,
)
from atlas.sheets.plan_water import (
    flow_direction,
    lay_arrows,
    lay_water,
    place_arrows,
    river_on_page,
)
from atlas.sheets.posts import post_name
from atlas.sheets.view import View, fit_view
from atlas.units import Figure, UnitSystem

BLOCK = "plan"
_ALONG = (0.5, 0.35, 0.65, 0.22, 0.78, 0.42, 0.58)
"""Where along a line its label may stand, best first."""
_NORTH_MM = 9.0
_NORTH_BOX_MM = (13.0, 13.0)
_NORTH_WORD_MM = 6.0
"""From the needle's middle to the middle of its letter."""
_SCALE_STEPS = 4
_SCALE_MOST_MM = 34.0
_SCALE_BOX_HEIGHT_MM = 6.2
_SCALE_LENGTHS = {UnitSystem.US: (2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0), UnitSystem.SI: (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)}
"""Lengths of one field of the bar, in feet or metres."""
_METRES = {UnitSystem.US: 0.3048, UnitSystem.SI: 1.0}
_INSET_MM = 1.5


def north_deg(downstream_azimuth_deg: float) -> float:
    """Where north lies, clockwise from straight up the page: downstream is straight down."""
    return (180.0 - downstream_azimuth_deg) % 360.0


def _surroundings(desk: Desk) -> list[Point]:
    plan = desk.plan
    return [anchor_point(danger.shape) for danger in plan.frame.dangers] + [post.at for post in plan.posts]


def rig_geometry(desk: Desk, view: View, rig: RigInPlan) -> list[shapely.Geometry]:
    """The ink of the rig's lines, carriage and boat on the page."""
    lines = [
        shapely.LineString(view.line(path)).buffer(desk.strokes[stroke].weight_mm / 2) for _, stroke, path in rig.lines
    ]
    return [*lines, shapely.Polygon(boat_outline(view, rig)), shapely.Point(view.at(rig.carriage)).buffer(1.6)]


def _needed(desk: Desk, line: str) -> str:
    needed_m = next((plan.needed_m for plan in desk.plan.chosen.lines if plan.line == line), None)
    return "" if needed_m is None else desk.first(Figure.NEEDED_LENGTH, needed_m)


def _line_labels(desk: Desk, view: View, rig: RigInPlan) -> list[MapLabel]:
    labels = []
    for name, _, path in rig.lines:
        if name == "empty":
            continue
        on_page = shapely.LineString(view.line(path if name != "up-down" else path[:2]))
        points = [on_page.interpolate(share, normalized=True) for share in _ALONG]
        needed = _needed(desk, name)
        labels.append(
            MapLabel(
                key=name,
                points=tuple((point.x, point.y) for point in points),
                runs=((needed, "map_label"),) if needed else (),
                tag=tag_of(desk, name),
                mark_mm=0.6,
            )
        )
    return labels


def _anchor_labels(desk: Desk, view: View) -> list[MapLabel]:
    labels = []
    for anchor in desk.plan.chosen.anchors:
        runs = [(anchor.tag, "map_strong")]
        if anchor.do_not_use:
            runs.append((desk.words("sheet.anchors.do_not_use"), "map_label"))
        labels.append(MapLabel(f"anchor {anchor.tag}", (view.at(anchor.at),), tuple(runs), mark_mm=ANCHOR_MM / 2))
    return labels


def _other_labels(desk: Desk, view: View, rig: RigInPlan) -> list[MapLabel]:
    labels = []
    for number, danger in enumerate(desk.plan.frame.dangers):
        place = danger_place(view, danger)
        if place is not None:
            name = danger_name(desk, danger)
            labels.append(MapLabel(f"danger {number} {name}", (place,), ((name, "map_strong"),), mark_mm=DANGER_MM / 2))
    for number, post in enumerate(desk.plan.posts):
        if view.shows(post.at):
            name = post_name(desk, post)
            labels.append(MapLabel(f"post {number} {name}", (view.at(post.at),), ((name, "map_label"),), mark_mm=POST_MM / 2))
    for number, area in enumerate(desk.plan.frame.work_areas):
        visible = shape_on_page(view, area)
        if not visible.is_empty:
            inside = visible.representative_point()
            words = desk.words("sheet.plan.work_area")
            edge = visible.exterior if visible.geom_type == "Polygon" else visible
            points = [(inside.x, inside.y)]
            if edge.geom_type in ("LinearRing", "LineString"):
                points = [(p.x, p.y) for p in (edge.interpolate(share, normalized=True) for share in (0.0, 0.2, 0.4, 0.6, 0.8))]
            labels.append(MapLabel(f"work area {number}", tuple(points), ((words, "water_label"),), mark_mm=0.4))
    return labels


def _corners(frame: Box, width_mm: float, height_mm: float) -> list[Box]:
    inner = frame.inset(_INSET_MM)
    return [
        Box(left_mm=left_mm, top_mm=top_mm, width_mm=width_mm, height_mm=height_mm)
        for left_mm in (inner.right_mm - width_mm, inner.left_mm)
        for top_mm in (inner.top_mm, inner.bottom_mm - height_mm)
    ]


def _as_polygon(box: Box) -> shapely.Polygon:
    return shapely.box(box.left_mm, box.top_mm, box.right_mm, box.bottom_mm)


def _quietest(boxes: list[Box], busy: shapely.Geometry) -> Box:
    """The corner where least is in the way."""
    return min(boxes, key=lambda box: _as_polygon(box).intersection(busy).area)


def _scale_field(desk: Desk, view: View) -> tuple[float, float]:
    """Length of one field of the scale bar: in the county's unit, and on the page [mm]."""
    metres = _METRES[desk.system]
    lengths = _SCALE_LENGTHS[desk.system]
    fitting = [
        length for length in lengths if length * metres * view.mm_per_m * _SCALE_STEPS <= _SCALE_MOST_MM
    ]
    length = max(fitting, default=lengths[0])
    return length, length * metres * view.mm_per_m


def _lay_scale(desk: Desk, box: Box, length: float, step_mm: float) -> list[Item]:
    metres = length * _METRES[desk.system] * _SCALE_STEPS
    shown = desk.show(Figure.SPAN, metres)
    items = list(
        scale_bar(
            x_mm=box.left_mm, y_mm=box.bottom_mm - 1.3, step_mm=step_mm, steps=_SCALE_STEPS, height_mm=1.2, block=BLOCK
        )
    )
    items += lay_runs(
        desk, [(shown.both, "map_label")], x_mm=box.left_mm, y_mm=box.bottom_mm - 2.3, width_mm=60, block=BLOCK
    )
    return items


def _lay_north(desk: Desk, box: Box) -> list[Item]:
    """The needle, its letter beyond its tip."""
    x_mm, y_mm = box.centre
    turn = north_deg(desk.plan.frame.downstream_azimuth_deg)
    needle = north_arrow(x_mm=x_mm, y_mm=y_mm, length_mm=_NORTH_MM, north_deg=turn, block=BLOCK)
    style = desk.styles["map_strong"]
    cap_mm = desk.fonts.heights(style).cap_mm
    letter = Text(
        x_mm=x_mm + _NORTH_WORD_MM * sin(radians(turn)),
        y_mm=y_mm - _NORTH_WORD_MM * cos(radians(turn)) + cap_mm / 2,
        text=desk.words("sheet.plan.north"),
        style=style,
        align=Align.CENTRE,
        block=BLOCK,
    )
    return [*needle, letter]


def plan_frame(desk: Desk, room: Box, beyond: str) -> Box:
    """The visible frame: what is left over the line that tells what lies beyond."""
    if not beyond:
        return room
    style = desk.styles["small"]
    lines = wrap_spans((Span(beyond, style),), room.width_mm, desk.fonts)
    return Box(
        left_mm=room.left_mm,
        top_mm=room.top_mm,
        width_mm=room.width_mm,
        height_mm=room.height_mm - lines_height_mm(lines, desk.fonts) - 0.3,
    )


def plan_view(desk: Desk, frame: Box) -> View:
    """The view of this site in a frame."""
    rule = desk.template.block.plan
    return fit_view(
        desk.plan.frame,
        desk.plan.chosen,
        _surroundings(desk),
        frame,
        margin_mm=rule.label_margin_mm,
        least_share=rule.shrink_for_surroundings,
    )


def _fitted(desk: Desk, room: Box) -> tuple[Box, View, str]:
    """Frame, view, and what lies beyond it; the line that tells takes its height from the frame."""
    view = plan_view(desk, room)
    beyond = beyond_text(desk, view)
    frame = plan_frame(desk, room, beyond)
    if frame != room:
        view = plan_view(desk, frame)
        beyond = beyond_text(desk, view)
    return frame, view, beyond


def lay_plan(desk: Desk) -> tuple[list[Item], View]:
    """The block of the plan view, and the view, whose scale across the section shares."""
    box = desk.box(desk.template.block.plan)
    words, site = desk.words, desk.plan.frame
    items, room = titled(desk, box, words("sheet.plan.title"), block=BLOCK, note=words("sheet.plan.note"))
    frame, view, beyond = _fitted(desk, room)
    rig = rig_in_plan(site, desk.plan.chosen)
    river = river_on_page(site, view)
    items += lay_water(desk, river)
    for area in site.work_areas:
        items += lay_work_area(desk, view, area)
    for danger in site.dangers:
        items += lay_danger(desk, view, danger)

    lines = rig_geometry(desk, view, rig)
    signs = [shapely.Point(view.at(anchor.at)).buffer(ANCHOR_MM / 2) for anchor in desk.plan.chosen.anchors]
    signs += [shapely.Point(view.at(post.at)).buffer(POST_MM) for post in desk.plan.posts if view.shows(post.at)]
    dangers = [geometry.buffer(0.4) for danger in site.dangers if not (geometry := shape_on_page(view, danger.shape)).is_empty]
    areas = [shape_on_page(view, area).buffer(0.2) for area in site.work_areas]
    busy = shapely.unary_union([*lines, *signs, *dangers, *areas])
    north = _quietest(_corners(frame, *_NORTH_BOX_MM), busy)
    length, step_mm = _scale_field(desk, view)
    scale_mm = max(step_mm * _SCALE_STEPS, desk.width_mm(desk.show(Figure.SPAN, length * _METRES[desk.system] * _SCALE_STEPS).both, "map_label"))
    free = [corner for corner in _corners(frame, scale_mm, _SCALE_BOX_HEIGHT_MM) if not _as_polygon(corner).intersects(_as_polygon(north))]
    scale = _quietest(free[::-1], busy)
    fixed = [_as_polygon(north), _as_polygon(scale)]
    arrows = place_arrows(site, view, river, shapely.unary_union([busy, *fixed]))
    x, y = view.turned(flow_direction(site))
    items += lay_arrows(desk, arrows, degrees(atan2(x, -y)))
    items += lay_rig(desk, view, rig)
    for anchor in desk.plan.chosen.anchors:
        items += lay_anchor(view, anchor)
    for post in desk.plan.posts:
        items += lay_post(desk, view, post)
    items += _lay_north(desk, north)
    items += _lay_scale(desk, scale, length, step_mm)
    banks = [line.buffer(0.1) for line in (*river.surveyed, *river.guessed) if not line.is_empty]
    outlines = [area.boundary.buffer(0.15) for area in areas]
    labels = [*_anchor_labels(desk, view), *_line_labels(desk, view, rig), *_other_labels(desk, view, rig)]
    if arrows:
        (x1, y1), (x2, y2) = arrows[0].coords
        middle = ((x1 + x2) / 2, (y1 + y2) / 2)
        labels.append(MapLabel("flow", (middle,), ((words("sheet.plan.flow"), "water_label"),), mark_mm=0.8))
    obstacles = [*lines, *dangers, *fixed, *banks, *outlines, *(arrow.buffer(0.9) for arrow in arrows)]
    items += lay_map_labels(desk, labels, obstacles, frame.inset(0.8), BLOCK)
    items.append(Rect(box=frame, stroke=_frame_stroke(desk), block=BLOCK, clear_of_text=True))
    if beyond:
        under = Box(
            left_mm=frame.left_mm, top_mm=frame.bottom_mm + 0.3, width_mm=frame.width_mm,
            height_mm=box.bottom_mm - frame.bottom_mm,
        )  # fmt: skip
        items += lay_text(beyond, desk.styles["small"], under, desk.fonts, block=BLOCK)
    return items, view


def _frame_stroke(desk: Desk) -> Stroke:
    return desk.strokes["frame"]
