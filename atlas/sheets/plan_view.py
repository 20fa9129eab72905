"""The plan view: to scale, downstream down the page, everything that stands about the rig, and its labels."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from math import atan2, degrees

import shapely

from atlas.faults import BlockOverrun
from atlas.frame import SiteFrame
from atlas.paper import Box, Item, Point, Rect, Span, lay_text, lines_height_mm, wrap_spans
from atlas.plan.rig_results import RigPlan
from atlas.plan.tether_results import TetherRig
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.map_labels import MapLabel, grown, lay_map_labels
from atlas.sheets.pieces import titled
from atlas.sheets.plan_corners import Corners, as_polygon, choose_corners, lay_corners
from atlas.sheets.plan_grid import Tick, grid_ticks, lay_ticks
from atlas.sheets.plan_grounds import lay_no_go, lay_out_of_reach, no_go_on_page
from atlas.sheets.plan_labels import (
    anchor_labels,
    bank_names,
    danger_labels,
    line_labels,
    post_labels,
    shown_anchors,
    work_area_labels,
)
from atlas.sheets.plan_rig import RigInPlan, boat_alone, boat_outline, lay_rig, rig_in_plan, rig_points
from atlas.sheets.plan_things import (
    ANCHOR_MM,
    POST_MM,
    anchor_point,
    beyond_text,
    lay_anchor,
    lay_danger,
    lay_post,
    lay_work_area,
    shape_on_page,
)
from atlas.sheets.plan_water import (
    River,
    flow_direction,
    lay_arrows,
    lay_water,
    place_arrows,
    river_on_page,
    without,
)
from atlas.sheets.tether_plan import tether_in_plan, tether_points
from atlas.sheets.view import View, fit_view

BLOCK = "plan"
_UNDER_GAP_MM = 0.3
_MARGINS = (1.0, 1.7, 2.4)
"""Times of the template's margin that are tried."""
_FIT_TRIES = 3
"""A smaller frame may push one thing more beyond it."""
_LABEL_INSET_MM = 0.8
_ARROW_INK_MM = 0.9
_CARRIAGE_INK_MM = 1.6
_DANGER_INK_MM = 0.4
_BANK_INK_MM = 0.1
_OUTLINE_INK_MM = 0.15


class Crowd(Enum):
    """How much of what the drawing itself and the lists tell the labels leave out."""

    NONE = 0
    SOME = 1
    """Posts, and the names of flow and work area."""
    MUCH = 2
    """The lengths of lines, and anchors without a line, too."""
    GREAT = 3
    """What dangers are, too."""


_LINES_BARE = (Crowd.MUCH, Crowd.GREAT)


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything of the plan placed on the page, before its labels."""

    view: View
    whole_river: River
    river: River
    """Without the corners' panels."""
    rig: RigInPlan
    corners: Corners
    no_go: list[shapely.Polygon]
    ticks: list[Tick]
    arrows: list[shapely.LineString]
    ink: list[shapely.Geometry]
    """Lines, carriage, boat and dangers: what no label may cover."""
    banks: list[shapely.Geometry]
    outlines: list[shapely.Geometry]
    """Edges of work areas."""


def rig_on_plan(site: SiteFrame, rig: RigPlan) -> RigInPlan:
    """Lines and boat of any rig; of one that no drawing is known for, the boat alone."""
    if isinstance(rig, TrackLineRig):
        return rig_in_plan(site, rig)
    if isinstance(rig, TetherRig):
        return tether_in_plan(site, rig)
    return boat_alone(site)


def points_of_rig(site: SiteFrame, rig: RigPlan) -> list[Point]:
    """What a plan of a rig must show."""
    if isinstance(rig, TrackLineRig):
        return rig_points(site, rig)
    if isinstance(rig, TetherRig):
        return tether_points(site, rig)
    return [(site.near_edge_x_m, 0.0), (site.far_edge_x_m, 0.0), *(anchor.at for anchor in rig.anchors)]


def rig_ink(desk: Desk, view: View, rig: RigInPlan) -> list[shapely.Geometry]:
    """The ink of the rig's lines, carriage and boat on the page."""
    lines = [shapely.LineString(view.line(path)) for _, _, path in rig.lines]
    half_mm = [desk.strokes[stroke].weight_mm / 2 for _, stroke, _ in rig.lines]
    boat = shapely.Polygon(boat_outline(view, rig))
    carriage = [] if rig.carriage is None else [shapely.Point(view.at(rig.carriage))]
    return [*grown([*lines, *carriage], [*half_mm, *[_CARRIAGE_INK_MM] * len(carriage)]), boat]


def _signs(desk: Desk, view: View) -> list[shapely.Geometry]:
    """Signs of anchors and posts."""
    anchors = [view.at(anchor.at) for anchor in shown_anchors(desk, view)]
    posts = [view.at(post.at) for post in desk.plan.posts if view.shows(post.at)]
    reach_mm = [ANCHOR_MM / 2] * len(anchors) + [POST_MM] * len(posts)
    return grown(shapely.points([*anchors, *posts]).tolist(), reach_mm)


def _require_clear_scale(scene: Scene) -> None:
    """Raise `BlockOverrun` where the scale's figures would stand upon a line, a danger or the boat."""
    struck = shapely.intersection(as_polygon(scene.corners.scale), scene.ink)
    over_mm = max((shape.bounds[3] - shape.bounds[1] for shape in struck if not shape.is_empty), default=0.0)
    if over_mm > 0.0:
        raise BlockOverrun(BLOCK, over_mm, "no room for the scale")


def plan_scene(desk: Desk, view: View) -> Scene:
    """Water, rig, corners and flow arrows, each clear of what came before."""
    site = desk.plan.frame
    rig = rig_on_plan(site, desk.plan.chosen)
    river = river_on_page(site, view)
    visible = [shape_on_page(view, danger.shape) for danger in site.dangers]
    dangers = grown([shape for shape in visible if not shape.is_empty], _DANGER_INK_MM)
    areas = [shape_on_page(view, area) for area in site.work_areas]
    ink = [*rig_ink(desk, view, rig), *dangers]
    busy = [*ink, *_signs(desk, view), *areas]
    banks = grown(river.banks, _BANK_INK_MM)
    corners = choose_corners(desk, view, [*busy, *banks])
    ticks = grid_ticks(desk, view, [*busy, *banks], corners.panels)
    rooms = [taken for tick in ticks for taken in tick.taken]
    return Scene(
        view=view,
        no_go=no_go_on_page(desk, view, river.water),
        ticks=ticks,
        whole_river=river,
        river=without(river, corners.panels_over(banks)),
        rig=rig,
        corners=corners,
        arrows=place_arrows(site, view, river, [*busy, *rooms, *corners.panels]),
        ink=ink,
        banks=banks,
        outlines=grown([area.boundary for area in areas if area.geom_type == "Polygon"], _OUTLINE_INK_MM),
    )


def _flow_label(desk: Desk, scene: Scene) -> list[MapLabel]:
    if not scene.arrows:
        return []
    (x1, y1), (x2, y2) = scene.arrows[0].coords
    runs = ((desk.words("sheet.plan.flow"), "water_label"),)
    return [MapLabel("flow", (((x1 + x2) / 2, (y1 + y2) / 2),), runs, mark_mm=_LABEL_INSET_MM)]


def _lay_labels(desk: Desk, scene: Scene, crowd: Crowd) -> list[Item]:
    """Every label that the crowd leaves room for."""
    view, river = scene.view, scene.whole_river
    labels = [
        *anchor_labels(desk, view, sparse=crowd is not Crowd.NONE, used_alone=crowd in _LINES_BARE),
        *line_labels(desk, view, scene.rig, lengths=crowd not in _LINES_BARE),
    ]
    if crowd is not Crowd.GREAT:
        labels += danger_labels(desk, view)
    if crowd is Crowd.NONE:
        labels += [*post_labels(desk, view), *work_area_labels(desk, view), *_flow_label(desk, scene)]
    obstacles = [
        *scene.ink,
        *scene.outlines,
        *scene.corners.panels,
        *(taken for tick in scene.ticks for taken in tick.taken),
        *scene.banks,
        *grown(scene.arrows, _ARROW_INK_MM),
    ]
    names = bank_names(desk, view, river, [*obstacles, *_signs(desk, view)])
    obstacles += [place for _, place in names]
    items = lay_map_labels(desk, labels, obstacles, view.frame.inset(_LABEL_INSET_MM), BLOCK)
    return [*(text for text, _ in names), *items]


def _lay_scene(desk: Desk, scene: Scene, crowd: Crowd) -> list[Item]:
    """Everything but the labels, from what lies lowest to what lies on top."""
    plan, view = desk.plan, scene.view
    x, y = view.turned(flow_direction(plan.frame))
    posts = plan.posts if crowd is Crowd.NONE else ()
    return [
        *lay_no_go(desk, scene.no_go),
        *lay_water(desk, scene.river),
        *(item for area in plan.frame.work_areas for item in lay_work_area(desk, view, area)),
        *(item for area in plan.frame.work_areas for item in lay_out_of_reach(desk, view, area)),
        *lay_arrows(desk, scene.arrows, degrees(atan2(x, -y))),
        *(item for danger in plan.frame.dangers for item in lay_danger(desk, view, danger)),
        *lay_rig(desk, view, scene.rig),
        *(item for anchor in shown_anchors(desk, view) for item in lay_anchor(view, anchor)),
        *(item for post in posts for item in lay_post(desk, view, post)),
        *lay_corners(desk, scene.corners),
        *lay_ticks(desk, scene.ticks),
        Rect(box=view.frame, stroke=desk.strokes["frame"], block=BLOCK, clear_of_text=True),
    ]


def plan_view(desk: Desk, frame: Box, margin: float = 1.0) -> View:
    """The view of this site in a frame; `margin` in times of the template's."""
    rule, plan = desk.template.block.plan, desk.plan
    surroundings: list[Point] = [anchor_point(danger.shape) for danger in plan.frame.dangers]
    surroundings += [post.at for post in plan.posts]
    surroundings += [anchor.at for anchor in plan.chosen.anchors]
    return fit_view(
        plan.frame,
        points_of_rig(plan.frame, plan.chosen),
        surroundings,
        frame,
        margin_mm=margin * rule.label_margin_mm,
        least_share=rule.shrink_for_surroundings,
    )


def _fitted(desk: Desk, room: Box, margin: float) -> tuple[View, str]:
    """The view, and what lies beyond it; the lines that tell take their height from the frame."""
    view, beyond = plan_view(desk, room, margin), ""
    for _ in range(_FIT_TRIES):
        told = beyond_text(desk, view)
        if told == beyond:
            break
        beyond = told
        lines = wrap_spans((Span(beyond, desk.styles["small"]),), room.width_mm, desk.fonts)
        told_mm = lines_height_mm(lines, desk.fonts) + _UNDER_GAP_MM
        view = plan_view(desk, replace(room, height_mm=room.height_mm - told_mm), margin)
    return view, beyond


def _lay_in(
    desk: Desk, room: Box, margin: float, crowd: Crowd, *, clear_scale: bool
) -> tuple[list[Item], View]:
    view, beyond = _fitted(desk, room, margin)
    scene = plan_scene(desk, view)
    if clear_scale:
        _require_clear_scale(scene)
    items = [*_lay_scene(desk, scene, crowd), *_lay_labels(desk, scene, crowd)]
    if beyond:
        under = room.below(view.frame.height_mm + _UNDER_GAP_MM)
        items += lay_text(beyond, desk.styles["small"], under, desk.fonts, block=BLOCK)
    return items, view


def lay_plan(desk: Desk) -> tuple[list[Item], View]:
    """The block of the plan view, and the view, whose scale across the section shares.

    Where labels or the scale find no room, the drawing is made smaller to give them some; then posts and
    the names of flow and work area are left out, and "do not use" is left to the sign and the table; then
    lengths are left to the list of lines and spare anchors to their table, at last dangers to their signs.

    Raises
    ------
    BlockOverrun
        A label found no place in any of that; names it.
    """
    box = desk.box(desk.template.block.plan)
    words = desk.words
    notes = [words("sheet.plan.note")]
    if desk.plan.chosen.answers is not None:
        notes.insert(0, words("sheet.plan.no_go_note"))
    note = words("sheet.separator").join(notes)
    items, room = titled(desk, box, words("sheet.plan.title"), block=BLOCK, note=note)
    tries = [(margin, Crowd.NONE, True) for margin in _MARGINS]
    tries += [(margin, crowd, False) for crowd in Crowd for margin in _MARGINS]
    last = tries.pop()
    for margin, crowd, clear_scale in tries:
        try:
            drawing, view = _lay_in(desk, room, margin, crowd, clear_scale=clear_scale)
        except BlockOverrun:
            continue
        return [*items, *drawing], view
    margin, crowd, clear_scale = last
    drawing, view = _lay_in(desk, room, margin, crowd, clear_scale=clear_scale)
    return [*items, *drawing], view
