"""The section at the track line: rope empty and loaded, water at two levels, tie heights, clearance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from atlas.paper import Box, Circle, Item, Line, Point, Polyline, Rect
from atlas.plan.results import SitePlan
from atlas.sheets.desk import Desk
from atlas.sheets.map_labels import MapLabel, lay_map_labels
from atlas.sheets.pieces import titled
from atlas.sheets.view import View
from atlas.units import Figure

BLOCK = "section"
_EXAGGERATIONS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)
_SHARE_OF_PLAN = 0.5
"""The section keeps the plan's scale where the span fills at least this share of the width."""
_HEAD_MM = 5.0
"""Kept over the higher tie point for its label."""
_BELOW_MM = 4.5
"""Kept under the survey day's water for its label."""
_TIE_MM = 1.1


@dataclass(frozen=True, slots=True)
class SectionScale:
    """Metres along and over the water to millimetres of the page."""

    frame: Box
    left_mm: float
    """Where x = 0 stands."""
    across_mm_m: float
    """Signed: negative where the near bank is at the right."""
    up_mm_m: float
    base_mm: float
    """Where the survey day's water stands."""
    times: float
    """How much heights are stretched."""

    def at(self, x_m: float, height_m: float) -> Point:
        """A point of the section on the page."""
        return self.left_mm + self.across_mm_m * x_m, self.base_mm - self.up_mm_m * height_m


def least_clearance(plan: SitePlan) -> tuple[float, float]:
    """The judged case with least to spare at the planning stage: its clearance and the one needed [m]."""
    judged = [case for case in plan.chosen.planning.cases if case.judged]
    worst = min(judged, key=lambda case: case.clearance_m - case.clearance_needed_m)
    return worst.clearance_m, worst.clearance_needed_m


def section_scale(desk: Desk, frame: Box, view: View) -> SectionScale:
    """The plan's scale across where that serves, else a wider one; heights stretched by a round number."""
    site, rule = desk.plan.frame, desk.template.block.section
    across_mm_m = view.mm_per_m
    left_mm, _ = view.at((0.0, 0.0))
    if site.span_m * across_mm_m < _SHARE_OF_PLAN * frame.width_mm:
        across_mm_m = (frame.width_mm - 2 * rule.label_margin_mm) / site.span_m
        left_mm = frame.centre[0] - view.across * across_mm_m * site.span_m / 2
    tallest_m = max(site.near_tie_height_m, site.far_tie_height_m)
    room_mm = frame.height_mm - _HEAD_MM - _BELOW_MM
    fitting = [
        times
        for times in _EXAGGERATIONS
        if times <= rule.exaggeration_most and times * across_mm_m * tallest_m <= room_mm
    ]
    times = max(fitting, default=room_mm / (across_mm_m * tallest_m))
    return SectionScale(
        frame=frame,
        left_mm=left_mm,
        across_mm_m=view.across * across_mm_m,
        up_mm_m=times * across_mm_m,
        base_mm=frame.bottom_mm - _BELOW_MM,
        times=times,
    )


def _edges(plan: SitePlan) -> tuple[Point, Point]:
    """Near and far edge of the planning stage's water along the track line, its growth shared by both banks [m]."""
    site, row = plan.frame, plan.chosen.planning
    grown_m = max(0.0, row.width_m - site.width_m) / 2
    return (site.near_edge_x_m - grown_m, row.rise_m), (site.far_edge_x_m + grown_m, row.rise_m)


def _clip(points: Sequence[Point], frame: Box) -> list[tuple[Point, ...]]:
    window = shapely.box(frame.left_mm, frame.top_mm, frame.right_mm, frame.bottom_mm)
    cut = shapely.LineString(points).intersection(window)
    return [tuple((float(x), float(y)) for x, y in part.coords) for part in shapely.get_parts(cut) if part.length > 0]


def _water(desk: Desk, scale: SectionScale) -> list[Item]:
    """Tint under the planning level, both water lines, and the banks between them."""
    plan = desk.plan
    site = plan.frame
    (near_x, rise_m), (far_x, _) = _edges(plan)
    frame = scale.frame
    bottom_mm = frame.bottom_mm
    near_low, far_low = scale.at(site.near_edge_x_m, 0.0), scale.at(site.far_edge_x_m, 0.0)
    near_high, far_high = scale.at(near_x, rise_m), scale.at(far_x, rise_m)
    body = (near_high, far_high, far_low, (far_low[0], bottom_mm), (near_low[0], bottom_mm), near_low)
    items: list[Item] = [Polyline(points=body, closed=True, fill=desk.colours["water"], block=BLOCK)]
    levels = [("water_planning", near_high, far_high)]
    if near_high != near_low:
        levels.append(("water_survey", near_low, far_low))
    items += [
        Line(x1_mm=a[0], y1_mm=a[1], x2_mm=b[0], y2_mm=b[1], stroke=desk.strokes[stroke], block=BLOCK, clear_of_text=True)
        for stroke, a, b in levels
    ]
    for low, high in ((near_low, near_high), (far_low, far_high)):
        items.append(Polyline(points=((low[0], bottom_mm), low, high), stroke=desk.strokes["bank"], block=BLOCK, clear_of_text=True))
    return items


def _rope(desk: Desk, scale: SectionScale) -> tuple[list[Item], list[shapely.Geometry]]:
    profile = desk.plan.chosen.profile
    items: list[Item] = []
    ink: list[shapely.Geometry] = []
    for heights, stroke in ((profile.unloaded_m, "track_empty"), (profile.loaded_m, "track_loaded")):
        points = [scale.at(x, height) for x, height in zip(profile.x_m, heights, strict=True)]
        for path in _clip(points, scale.frame):
            items.append(Polyline(points=path, stroke=desk.strokes[stroke], block=BLOCK, clear_of_text=True))
            ink.append(shapely.LineString(path).buffer(desk.strokes[stroke].weight_mm / 2))
    return items, ink


def _ties(desk: Desk, scale: SectionScale) -> tuple[list[Item], list[MapLabel]]:
    """Tie points on their heights over the planning level."""
    plan = desk.plan
    site, rise_m = plan.frame, plan.chosen.planning.rise_m
    items: list[Item] = []
    labels = []
    for tag, x_m, height_m in (
        (site.track_near_tag, 0.0, site.near_tie_height_m),
        (site.track_far_tag, site.span_m, site.far_tie_height_m),
    ):
        x_mm, y_mm = scale.at(x_m, height_m)
        _, level_mm = scale.at(x_m, rise_m)
        items.append(
            Line(x1_mm=x_mm, y1_mm=y_mm, x2_mm=x_mm, y2_mm=level_mm, stroke=desk.strokes["dimension"], block=BLOCK, clear_of_text=True)
        )
        items.append(
            Line(x1_mm=x_mm - 1.2, y1_mm=level_mm, x2_mm=x_mm + 1.2, y2_mm=level_mm, stroke=desk.strokes["dimension"], block=BLOCK)
        )
        items.append(Circle(x_mm=x_mm, y_mm=y_mm, radius_mm=_TIE_MM, fill=desk.colours["ink"], block=BLOCK))
        height = desk.first(Figure.TIE_HEIGHT, height_m - rise_m)
        labels.append(
            MapLabel(f"tie {tag}", ((x_mm, y_mm),), ((tag, "map_strong"), (height, "map_label")), mark_mm=_TIE_MM)
        )
    return items, labels


def _clearance(desk: Desk, scale: SectionScale) -> tuple[list[Item], MapLabel, list[shapely.Geometry]]:
    """The least clearance as a dimension from the planning level to the lowest of the carriage."""
    plan, words = desk.plan, desk.words
    profile = plan.chosen.profile
    x_mm, top_mm = scale.at(profile.carriage_x_m, profile.lowest_m)
    _, rope_mm = scale.at(profile.carriage_x_m, profile.carriage_height_m)
    _, foot_mm = scale.at(profile.carriage_x_m, plan.chosen.planning.rise_m)
    stroke = desk.strokes["dimension"]
    got_m, needed_m = least_clearance(plan)
    items: list[Item] = [
        Line(x1_mm=x_mm, y1_mm=rope_mm, x2_mm=x_mm, y2_mm=top_mm, stroke=desk.strokes["ferry_near"], block=BLOCK),
        Circle(x_mm=x_mm, y_mm=rope_mm, radius_mm=_TIE_MM, stroke=desk.strokes["ferry_near"], fill=desk.colours["paper"], block=BLOCK),
        Line(x1_mm=x_mm, y1_mm=top_mm, x2_mm=x_mm, y2_mm=foot_mm, stroke=stroke, block=BLOCK, clear_of_text=True),
    ]
    for y_mm in (top_mm, foot_mm):
        items.append(Line(x1_mm=x_mm - 1.2, y1_mm=y_mm, x2_mm=x_mm + 1.2, y2_mm=y_mm, stroke=stroke, block=BLOCK))
    runs = (
        (words("sheet.section.clearance", got=desk.first(Figure.CLEARANCE, got_m)), "map_strong"),
        (words("sheet.section.clearance_needed", needed=desk.first(Figure.CLEARANCE_NEEDED, needed_m)), "map_label"),
    )
    middle_mm = (top_mm + foot_mm) / 2
    label = MapLabel("clearance", ((x_mm, middle_mm),), runs, mark_mm=0.5)
    ink = [shapely.LineString([(x_mm, rope_mm), (x_mm, foot_mm)]).buffer(0.3), shapely.Point(x_mm, rope_mm).buffer(_TIE_MM)]
    return items, label, ink


def _water_labels(desk: Desk, scale: SectionScale) -> list[MapLabel]:
    plan, words = desk.plan, desk.words
    site, row = plan.frame, plan.chosen.planning
    planning = words("sheet.section.water_planning")
    if row.stage_m is not None:
        planning = words("sheet.section.water_planning_stage", stage=desk.first(Figure.STAGE, row.stage_m))
    labels = []
    for key, text, height_m in (("planning level", planning, row.rise_m), ("survey day", words("sheet.section.water_survey"), 0.0)):
        shares = (0.8, 0.7, 0.6, 0.3, 0.2)
        points = tuple(scale.at(site.near_edge_x_m + share * site.width_m, height_m) for share in shares)
        labels.append(MapLabel(key, points, ((text, "water_label"),), mark_mm=0.3))
    return labels if row.rise_m > 0 else labels[:1]


def lay_section(desk: Desk, view: View) -> list[Item]:
    """The block of the section."""
    box = desk.box(desk.template.block.section)
    words = desk.words
    _, room = titled(desk, box, "", block=BLOCK)
    scale = section_scale(desk, room, view)
    times = f"{scale.times:g}"
    stretched = words("sheet.section.exaggerated", times=times) if scale.times != 1 else words("sheet.section.same_scale")
    note = words("sheet.separator").join((words("sheet.section.note"), stretched))
    items, _ = titled(desk, box, words("sheet.section.title"), block=BLOCK, note=note)
    items += _water(desk, scale)
    rope, ink = _rope(desk, scale)
    ties, labels = _ties(desk, scale)
    clearance, clearance_label, dimension = _clearance(desk, scale)
    items += [*rope, *clearance, *ties]
    (near_x, rise_m), (far_x, _) = _edges(desk.plan)
    site = desk.plan.frame
    waters = [
        shapely.LineString([scale.at(near_x, rise_m), scale.at(far_x, rise_m)]).buffer(0.2),
        shapely.LineString([scale.at(site.near_edge_x_m, 0.0), scale.at(site.far_edge_x_m, 0.0)]).buffer(0.15),
    ]
    tie_ink = [
        shapely.LineString([scale.at(x, height), scale.at(x, rise_m)]).buffer(0.1)
        for x, height in ((0.0, site.near_tie_height_m), (site.span_m, site.far_tie_height_m))
    ]
    inner = room.inset(0.2)
    fixed = [*ink, *dimension, *waters, *tie_ink]
    tie_items, taken = lay_map_labels(desk, labels, fixed, inner, BLOCK)
    others = [clearance_label, *_water_labels(desk, scale)]
    other_items, _ = lay_map_labels(desk, others, [*fixed, *taken], inner, BLOCK)
    items += [*tie_items, *other_items]
    items.append(Rect(box=room, stroke=desk.strokes["frame"], block=BLOCK, clear_of_text=True))
    return items
