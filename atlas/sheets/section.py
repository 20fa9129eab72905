"""The section at the track line: rope empty and loaded, water at two levels, tie heights, clearance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from atlas.paper import Box, Circle, Item, Point, Polyline, Rect
from atlas.plan.results import SitePlan
from atlas.sheets.desk import Desk
from atlas.sheets.map_labels import MapLabel, grown, lay_map_labels
from atlas.sheets.pieces import TITLE_MM, segment, titled
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
TIE_MM = 1.1
_FOOT_MM = 1.2
_DIMENSION_INK_MM = 0.3
STEM_INK_MM = 0.1
LABEL_INSET_MM = 0.3


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

    def at(self, place: Point) -> Point:
        """A place along and over the water [m] on the page [mm]."""
        x_m, height_m = place
        return self.left_mm + self.across_mm_m * x_m, self.base_mm - self.up_mm_m * height_m


def least_clearance(plan: SitePlan) -> tuple[float, float]:
    """The judged case with least to spare at the planning stage: its clearance and the one needed [m]."""
    judged = [case for case in plan.track_line.planning.cases if case.judged]
    worst = min(judged, key=lambda case: case.clearance_m - case.clearance_needed_m)
    return worst.clearance_m, worst.clearance_needed_m


def section_scale(desk: Desk, frame: Box, view: View) -> SectionScale:
    """As `scaled_section`, with the tie points in view."""
    site = desk.plan.frame
    ties = [(0.0, site.near_tie_height_m), (site.span_m, site.far_tie_height_m)]
    return scaled_section(desk, frame, view, ties)


def scaled_section(desk: Desk, frame: Box, view: View, ends: Sequence[Point]) -> SectionScale:
    """The plan's scale across where that serves, else a wider one; heights stretched by a round number.

    Parameters
    ----------
    ends : place along and height of what is tied on either bank [m]
    """
    rule = desk.template.block.section
    from_m, to_m = min(x for x, _ in ends), max(x for x, _ in ends)
    across_mm_m = view.mm_per_m
    left_mm, _ = view.at((0.0, 0.0))
    if (to_m - from_m) * across_mm_m < _SHARE_OF_PLAN * frame.width_mm:
        across_mm_m = (frame.width_mm - 2 * rule.label_margin_mm) / (to_m - from_m)
        left_mm = frame.centre[0] - view.across * across_mm_m * (from_m + to_m) / 2
    tallest_m = max(height for _, height in ends)
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
    """Near and far edge of the planning stage's water, its growth shared by both banks [m]."""
    site, row = plan.frame, plan.chosen.planning
    grown_m = max(0.0, row.width_m - site.width_m) / 2
    return (site.near_edge_x_m - grown_m, row.rise_m), (site.far_edge_x_m + grown_m, row.rise_m)


def _window(frame: Box) -> shapely.Polygon:
    return shapely.box(frame.left_mm, frame.top_mm, frame.right_mm, frame.bottom_mm)


def _clip(points: Sequence[Point], frame: Box) -> list[tuple[Point, ...]]:
    """The visible parts of a line."""
    cut = shapely.LineString(points).intersection(_window(frame))
    return [
        tuple((float(x), float(y)) for x, y in part.coords)
        for part in shapely.get_parts(cut)
        if part.geom_type == "LineString" and part.length > 0
    ]


@dataclass(frozen=True, slots=True)
class RiverInSection:
    """The river across the section on the page: its visible body, and each line with its stroke."""

    bodies: tuple[tuple[Point, ...], ...]
    lines: tuple[tuple[str, tuple[Point, ...]], ...]

    def ink(self, desk: Desk) -> list[shapely.Geometry]:
        """What no label may cross."""
        half_mm = [desk.strokes[stroke].weight_mm / 2 for stroke, _ in self.lines]
        return grown([shapely.LineString(path) for _, path in self.lines], half_mm)


def river_in_section(plan: SitePlan, scale: SectionScale) -> RiverInSection:
    """Water under the planning level, both water lines, and the banks between them."""
    site, frame = plan.frame, scale.frame
    (near_x, rise_m), (far_x, _) = _edges(plan)
    near_low, far_low = scale.at((site.near_edge_x_m, 0.0)), scale.at((site.far_edge_x_m, 0.0))
    near_high, far_high = scale.at((near_x, rise_m)), scale.at((far_x, rise_m))
    near_bed, far_bed = (near_low[0], frame.bottom_mm), (far_low[0], frame.bottom_mm)
    body = shapely.Polygon((near_high, far_high, far_low, far_bed, near_bed, near_low))
    visible = shapely.get_parts(shapely.make_valid(body).intersection(_window(frame)))
    bodies = tuple(
        tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
        for part in visible
        if part.geom_type == "Polygon"
    )
    lines = [
        ("water_planning", (near_high, far_high)),
        ("bank", (near_bed, near_low, near_high)),
        ("bank", (far_bed, far_low, far_high)),
    ]
    if rise_m > 0:
        lines.insert(1, ("water_survey", (near_low, far_low)))
    return RiverInSection(
        bodies, tuple((stroke, part) for stroke, path in lines for part in _clip(path, frame))
    )


def lay_river(desk: Desk, river: RiverInSection) -> list[Item]:
    """Water, its lines and the banks."""
    tint = desk.colours["water"]
    bodies = [Polyline(points=body, closed=True, fill=tint, block=BLOCK) for body in river.bodies]
    lines = [
        Polyline(points=path, stroke=desk.strokes[stroke], block=BLOCK, clear_of_text=True)
        for stroke, path in river.lines
    ]
    return [*bodies, *lines]


def _rope(desk: Desk, scale: SectionScale) -> tuple[list[Item], list[shapely.Geometry]]:
    profile = desk.plan.track_line.profile
    items: list[Item] = []
    drawn: list[shapely.Geometry] = []
    half_mm: list[float] = []
    for heights, stroke in ((profile.unloaded_m, "track_empty"), (profile.loaded_m, "track_loaded")):
        points = [scale.at((x, height)) for x, height in zip(profile.x_m, heights, strict=True)]
        for path in _clip(points, scale.frame):
            items.append(Polyline(points=path, stroke=desk.strokes[stroke], block=BLOCK, clear_of_text=True))
            drawn.append(shapely.LineString(path))
            half_mm.append(desk.strokes[stroke].weight_mm / 2)
    return items, grown(drawn, half_mm)


def stem(desk: Desk, top: Point, foot: Point) -> list[Item]:
    """A dimension from a height down to the planning level, with a foot."""
    x_mm, y_mm = foot
    ends = ((x_mm - _FOOT_MM, y_mm), (x_mm + _FOOT_MM, y_mm))
    return [
        segment(desk, top, foot, stroke="dimension", block=BLOCK),
        segment(desk, *ends, stroke="dimension", block=BLOCK, clear_of_text=False),
    ]


def _ties(desk: Desk, scale: SectionScale) -> tuple[list[Item], list[MapLabel]]:
    """Tie points on their heights over the planning level."""
    site, rise_m = desk.plan.frame, desk.plan.chosen.planning.rise_m
    items: list[Item] = []
    labels = []
    for tag, x_m, height_m in (
        (site.track_near_tag, 0.0, site.near_tie_height_m),
        (site.track_far_tag, site.span_m, site.far_tie_height_m),
    ):
        tie = scale.at((x_m, height_m))
        items += stem(desk, tie, scale.at((x_m, rise_m)))
        items.append(
            Circle(x_mm=tie[0], y_mm=tie[1], radius_mm=TIE_MM, fill=desk.colours["ink"], block=BLOCK)
        )
        height = desk.first(Figure.TIE_HEIGHT, height_m - rise_m)
        runs = ((tag, "map_strong"), (height, "map_label"))
        labels.append(MapLabel(f"tie {tag}", (tie,), runs, mark_mm=TIE_MM))
    return items, labels


def _clearance_text(desk: Desk, got_m: float) -> str:
    """How high over the water, or how far under it."""
    shown = desk.first(Figure.CLEARANCE, got_m)
    if shown.startswith("-"):
        return desk.words("sheet.section.clearance_drowned", depth=shown.removeprefix("-"))
    return desk.words("sheet.section.clearance", got=shown)


def _clearance(desk: Desk, scale: SectionScale) -> tuple[list[Item], MapLabel, list[shapely.Geometry]]:
    """The least clearance as a dimension from the lowest of the carriage to the planning level."""
    plan, words = desk.plan, desk.words
    profile = plan.track_line.profile
    x_m = profile.carriage_x_m
    rope, low = scale.at((x_m, profile.carriage_height_m)), scale.at((x_m, profile.lowest_m))
    foot = scale.at((x_m, plan.chosen.planning.rise_m))
    got_m, needed_m = least_clearance(plan)
    edge, paper = desk.strokes["ferry_near"], desk.colours["paper"]
    head = ((low[0] - _FOOT_MM, low[1]), (low[0] + _FOOT_MM, low[1]))
    items: list[Item] = [
        segment(desk, rope, low, stroke="ferry_near", block=BLOCK, clear_of_text=False),
        Circle(x_mm=rope[0], y_mm=rope[1], radius_mm=TIE_MM, stroke=edge, fill=paper, block=BLOCK),
        segment(desk, *head, stroke="dimension", block=BLOCK, clear_of_text=False),
        *stem(desk, low, foot),
    ]
    needed = desk.first(Figure.CLEARANCE_NEEDED, needed_m)
    runs = (
        (_clearance_text(desk, got_m), "map_strong"),
        (words("sheet.section.clearance_needed", needed=needed), "map_label"),
    )
    middle = (foot[0], (low[1] + foot[1]) / 2)
    label = MapLabel("clearance", (middle, foot), runs, mark_mm=0.5)
    ink = grown([shapely.LineString([rope, foot]), shapely.Point(rope)], [_DIMENSION_INK_MM, TIE_MM])
    return items, label, ink


def water_labels(desk: Desk, scale: SectionScale) -> list[MapLabel]:
    """Names of the two water lines; of one where they are the same."""
    plan, words = desk.plan, desk.words
    site, row = plan.frame, plan.chosen.planning
    planning = words("sheet.section.water_planning")
    if row.stage_m is not None:
        planning = words("sheet.section.water_planning_stage", stage=desk.first(Figure.STAGE, row.stage_m))
    labels = []
    for key, text, height_m in (
        ("planning level", planning, row.rise_m),
        ("survey day", words("sheet.section.water_survey"), 0.0),
    ):
        shares = (0.8, 0.7, 0.6, 0.3, 0.2)
        tried = (scale.at((site.near_edge_x_m + share * site.width_m, height_m)) for share in shares)
        points = tuple(point for point in tried if scale.frame.left_mm < point[0] < scale.frame.right_mm)
        labels.append(MapLabel(key, points, ((text, "water_label"),), mark_mm=0.3))
    return labels if row.rise_m > 0 else labels[:1]


def lay_section(desk: Desk, view: View) -> list[Item]:
    """The block of the section."""
    box = desk.box(desk.template.block.section)
    words, site, rise_m = desk.words, desk.plan.frame, desk.plan.chosen.planning.rise_m
    scale = section_scale(desk, box.below(TITLE_MM), view)
    stretched = words("sheet.section.same_scale")
    if scale.times != 1:
        stretched = words("sheet.section.exaggerated", times=f"{scale.times:g}")
    note = words("sheet.separator").join((words("sheet.section.note"), stretched))
    items, room = titled(desk, box, words("sheet.section.title"), block=BLOCK, note=note)
    river = river_in_section(desk.plan, scale)
    rope, ink = _rope(desk, scale)
    ties, tie_labels = _ties(desk, scale)
    clearance, clearance_label, dimension = _clearance(desk, scale)
    items += [*lay_river(desk, river), *rope, *clearance, *ties]
    stems = [
        shapely.LineString([scale.at((x, height)), scale.at((x, rise_m))])
        for x, height in ((0.0, site.near_tie_height_m), (site.span_m, site.far_tie_height_m))
    ]
    fixed = [*ink, *dimension, *river.ink(desk), *grown(stems, STEM_INK_MM)]
    inner = room.inset(LABEL_INSET_MM)
    labels = [*tie_labels, clearance_label, *water_labels(desk, scale)]
    frame = Rect(box=room, stroke=desk.strokes["frame"], block=BLOCK, clear_of_text=True)
    return [*items, *lay_map_labels(desk, labels, fixed, inner, BLOCK), frame]
