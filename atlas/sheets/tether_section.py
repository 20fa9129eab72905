"""The section of a rig without a track line: stations on their heights, bow lines, water at two levels."""

from __future__ import annotations

import shapely

from atlas.paper import Circle, Item, Line, Point, Rect
from atlas.plan.rig_results import AnchorPlan
from atlas.plan.tether_results import TetherRig
from atlas.sheets.desk import Desk
from atlas.sheets.map_labels import MapLabel, lay_map_labels
from atlas.sheets.pieces import TITLE_MM, titled
from atlas.sheets.section import (
    BLOCK,
    LABEL_INSET_MM,
    STEM_INK_MM,
    TIE_MM,
    SectionScale,
    lay_river,
    river_in_section,
    scaled_section,
    stem,
    water_labels,
)
from atlas.sheets.tether_plan import tether_in_plan
from atlas.sheets.view import View
from atlas.units import Figure

__all__ = ["lay_station_section"]

_RING_MM = 0.8


def _stations(desk: Desk) -> list[AnchorPlan]:
    """Loaded anchors and stations; of a tether those of its bow lines."""
    rig = desk.plan.chosen
    loaded = [anchor for anchor in rig.anchors if anchor.load_n]
    return [anchor for anchor in loaded if "bow" in anchor.uses] or loaded


def _bow_lines(
    desk: Desk, scale: SectionScale, stations: list[AnchorPlan]
) -> tuple[list[Item], list[shapely.Geometry], list[MapLabel]]:
    """The bow lines to the boat's ring, seen from downriver; nothing of another rig."""
    plan = desk.plan
    rig = plan.chosen
    if not isinstance(rig, TetherRig):
        return [], [], []
    bow = tether_in_plan(plan.frame, rig).boat
    ring = scale.at((bow[0], rig.planning.rise_m + rig.bow_ring_m))
    items: list[Item] = []
    ink: list[shapely.Geometry] = []
    for station in stations:
        stroke = desk.strokes["bow_near" if station.bank == "near" else "bow_far"]
        x_mm, y_mm = scale.at((station.at[0], station.height_m))
        items.append(
            Line(
                x1_mm=x_mm,
                y1_mm=y_mm,
                x2_mm=ring[0],
                y2_mm=ring[1],
                stroke=stroke,
                block=BLOCK,
                clear_of_text=True,
            )
        )
        ink.append(shapely.LineString([(x_mm, y_mm), ring]).buffer(stroke.weight_mm / 2))
    edge, paper = desk.strokes["ferry_near"], desk.colours["paper"]
    items.append(Circle(x_mm=ring[0], y_mm=ring[1], radius_mm=_RING_MM, stroke=edge, fill=paper, block=BLOCK))
    ink.append(shapely.Point(ring).buffer(_RING_MM))
    label = MapLabel("bow", (ring,), ((desk.words("sheet.section.bow"), "map_label"),), mark_mm=_RING_MM)
    return items, ink, [label]


def _ties(
    desk: Desk, scale: SectionScale, stations: list[AnchorPlan]
) -> tuple[list[Item], list[shapely.Geometry], list[MapLabel]]:
    """Stations on their heights over the planning level."""
    rise_m = desk.plan.chosen.planning.rise_m
    items: list[Item] = []
    ink: list[shapely.Geometry] = []
    labels = []
    for station in stations:
        tie: Point = scale.at((station.at[0], station.height_m))
        foot = scale.at((station.at[0], rise_m))
        items += stem(desk, tie, foot)
        items.append(
            Circle(x_mm=tie[0], y_mm=tie[1], radius_mm=TIE_MM, fill=desk.colours["ink"], block=BLOCK)
        )
        ink.append(shapely.LineString([tie, foot]).buffer(STEM_INK_MM))
        height = desk.first(Figure.TIE_HEIGHT, station.height_planning_m)
        runs = ((station.tag, "map_strong"), (height, "map_label"))
        labels.append(MapLabel(f"station {station.tag}", (tie,), runs, mark_mm=TIE_MM))
    return items, ink, labels


def lay_station_section(desk: Desk, view: View) -> list[Item]:
    """The block of the section, of a rig without a track line."""
    box = desk.box(desk.template.block.section)
    words, stations = desk.words, _stations(desk)
    places = [(station.at[0], station.height_m) for station in stations]
    scale = scaled_section(desk, box.below(TITLE_MM), view, places)
    stretched = words("sheet.section.same_scale")
    if scale.times != 1:
        stretched = words("sheet.section.exaggerated", times=f"{scale.times:g}")
    note = words("sheet.separator").join((words("sheet.section.note"), stretched))
    items, room = titled(desk, box, words("sheet.section.stations"), block=BLOCK, note=note)
    river = river_in_section(desk.plan, scale)
    lines, line_ink, line_labels = _bow_lines(desk, scale, stations)
    ties, tie_ink, tie_labels = _ties(desk, scale, stations)
    items += [*lay_river(desk, river), *lines, *ties]
    fixed = [*line_ink, *tie_ink, *river.ink(desk)]
    labels = [*tie_labels, *line_labels, *water_labels(desk, scale)]
    frame = Rect(box=room, stroke=desk.strokes["frame"], block=BLOCK, clear_of_text=True)
    return [*items, *lay_map_labels(desk, labels, fixed, room.inset(LABEL_INSET_MM), BLOCK), frame]
