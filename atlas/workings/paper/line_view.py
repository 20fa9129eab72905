"""The loaded track line in plan, to scale: tie points, stations, water's edges, carriage, strands, boat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import cos, radians, sin

import shapely

from atlas.paper import (
    Align,
    Box,
    Circle,
    Item,
    LaidOut,
    Line,
    Point,
    Polyline,
    Stroke,
    Text,
    arrow_head,
    label_items,
    place_labels,
    scale_bar,
    text_wish,
)
from atlas.plan import AnchorPlan, SitePlan
from atlas.workings.paper.arrow_view import view_title
from atlas.workings.paper.asked import StateAsked
from atlas.workings.paper.plot import nice_ticks
from atlas.workings.paper.style import BLOCK, Style

__all__ = ["lay_line_plan"]

_SHAPE_POINTS = 25
_TITLE_MM, _SIDE_MM, _ABOVE_MM, _FOOT_MM = 5.0, 26.0, 6.0, 6.0
_HIGHEST_MM = 88.0
_EDGE_M = (-2.0, 3.0)
_BOAT_M = (4.0, 1.8)
_FLOW_MM = 12.0


@dataclass(frozen=True, slots=True)
class _View:
    """Metres of the site on the page; x across, y down the page."""

    left_mm: float
    top_mm: float
    mm_per_m: float
    least_x: float
    least_y: float
    height_mm: float

    def at(self, point: tuple[float, float]) -> Point:
        """A place on the page."""
        return (
            self.left_mm + (point[0] - self.least_x) * self.mm_per_m,
            self.top_mm + (point[1] - self.least_y) * self.mm_per_m,
        )


def _view(points: Sequence[tuple[float, float]], box: Box) -> _View:
    """All points in the box's width, as high as that makes them."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((box.width_mm - 2 * _SIDE_MM) / wide, (_HIGHEST_MM - 2 * _ABOVE_MM) / high)
    left = box.centre[0] - scale * wide / 2
    return _View(left, box.top_mm + _ABOVE_MM, scale, min(xs), min(ys), scale * high + 2 * _ABOVE_MM)


@dataclass(slots=True)
class _Drawing:
    """Items as they are made, and what labels keep clear of."""

    style: Style
    view: _View
    items: list[Item] = field(default_factory=list)
    obstacles: list[shapely.Geometry] = field(default_factory=list)
    labels: list[tuple[str, Point, float]] = field(default_factory=list)

    def path(self, points: Sequence[tuple[float, float]], stroke: str) -> None:
        """A line of the rig."""
        placed = [self.view.at(point) for point in points]
        look = self.style.looks.strokes[stroke]
        self.items.append(Polyline(points=tuple(placed), stroke=look, block=BLOCK, clear_of_text=True))
        self.obstacles.append(shapely.LineString(placed).buffer(0.4))

    def spot(self, at: tuple[float, float], text: str, *, filled: bool) -> None:
        """A point with its name."""
        x, y = self.view.at(at)
        colours = self.style.looks.colours
        fill = colours["ink" if filled else "paper"]
        self.items.append(
            Circle(x_mm=x, y_mm=y, radius_mm=1.1, stroke=Stroke(weight_mm=0.4), fill=fill, block=BLOCK)
        )
        self.labels.append((text, (x, y), 1.3))

    def named(self, frame: Box) -> list[Item]:
        """All names, clear of lines."""
        look = replace(self.style.look("label"), colour=self.style.looks.colours["ink"])
        wishes = [
            text_wish(str(number), text, look, self.style.fonts, points=[point], mark_mm=mark)
            for number, (text, point, mark) in enumerate(self.labels)
        ]
        found = place_labels(wishes, obstacles=self.obstacles, frame=frame, block=BLOCK)
        return [
            item
            for place, (text, _, _) in zip(found, self.labels, strict=True)
            for item in label_items(place, text, look, self.style.fonts, block=BLOCK)
        ]


def _used(plan: SitePlan) -> list[AnchorPlan]:
    return [anchor for anchor in plan.chosen.anchors if anchor.load_n is not None]


def _boat(carriage: tuple[float, float], *, reach_m: float, skew_deg: float) -> list[tuple[float, float]]:
    """Bow, beam and stern of the boat, down the flow from the carriage."""
    along = (sin(radians(skew_deg)), cos(radians(skew_deg)))
    across = (along[1], -along[0])
    shape = ((0.0, 0.0), (0.35, 0.5), (1.0, 0.42), (1.0, -0.42), (0.35, -0.5))
    return [
        (
            carriage[0] + along[0] * (reach_m + back * _BOAT_M[0]) + across[0] * out * _BOAT_M[1],
            carriage[1] + along[1] * (reach_m + back * _BOAT_M[0]) + across[1] * out * _BOAT_M[1],
        )
        for back, out in shape
    ]


def _rig(drawing: _Drawing, plan: SitePlan, asked: StateAsked, strand_m: float) -> None:
    """Track line empty and loaded, ferry lines, up-down line, strands and boat."""
    frame, words = plan.frame, drawing.style.words
    shape = asked.line.loaded_shape(asked.track, points_a_side=_SHAPE_POINTS)
    loaded = list(zip(shape.at_m.ravel().tolist(), shape.downstream_m.ravel().tolist(), strict=True))
    carriage = (asked.place.at_m, float(asked.track.downstream_m))
    drawing.path([(0.0, 0.0), (frame.span_m, 0.0)], "track_empty")
    for anchor in _used(plan):
        told = words("derivation.force.label", name=anchor.tag, size=f"{anchor.load_n:.0f}")
        for use in anchor.uses:
            if use != "track":
                stroke = "up_down" if use == "up_down" else f"ferry_{anchor.bank}"
                drawing.path([anchor.at, carriage], stroke)
        drawing.spot(anchor.at, told, filled=anchor.surveyed)
    if asked.case.drag_n > 0.0:
        boat = _boat(carriage, reach_m=strand_m, skew_deg=frame.skew_deg)
        drawing.path([carriage, boat[0]], "up_down")
        drawing.path([*boat, boat[0]], "ferry_near")
    drawing.path(loaded, "track_loaded")
    place = words(
        "derivation.force.carriage",
        x=f"{carriage[0]:.2f}",
        y=f"{carriage[1]:.2f}",
        z=f"{float(asked.track.height_m):.2f}",
    )
    drawing.spot(carriage, place, filled=False)


def _banks(drawing: _Drawing, plan: SitePlan) -> None:
    for name, edge_m in (("near", plan.frame.near_edge_x_m), ("far", plan.frame.far_edge_x_m)):
        drawing.path([(edge_m, _EDGE_M[0]), (edge_m, _EDGE_M[1])], "bank")
        place = drawing.view.at((edge_m, _EDGE_M[0]))
        drawing.labels.append((drawing.style.words(f"derivation.force.edge_{name}"), place, 0.4))


def _flow(style: Style, skew_deg: float, place: Point) -> list[Item]:
    """An arrow along the flow, its tip at a place."""
    turn = radians(skew_deg)
    tail = (place[0] - _FLOW_MM * sin(turn), place[1] - _FLOW_MM * cos(turn))
    stroke = style.looks.strokes["flow"]
    head = arrow_head(
        tip=place,
        toward_deg=180.0 - skew_deg,
        length_mm=3.0,
        width_mm=2.0,
        colour=stroke.colour,
        block=BLOCK,
    )
    shaft = Line(x1_mm=tail[0], y1_mm=tail[1], x2_mm=place[0], y2_mm=place[1], stroke=stroke, block=BLOCK)
    text = Text(
        x_mm=place[0] + 2.5,
        y_mm=(place[1] + tail[1]) / 2,
        text=style.words("derivation.force.flow"),
        style=style.look("water_label"),
        block=BLOCK,
    )
    return [shaft, head, text]


def _length_scale(style: Style, mm_per_m: float, *, left_mm: float, foot_mm: float) -> list[Item]:
    step = nice_ticks(0.0, 30.0 / mm_per_m, most=2)[1]
    length_mm = step * mm_per_m
    bar = scale_bar(x_mm=left_mm, y_mm=foot_mm - 2.4, step_mm=length_mm / 2, steps=2, block=BLOCK)
    text = Text(
        x_mm=left_mm + length_mm + 1.2,
        y_mm=foot_mm - 1.0,
        text=f"{step:g} m",
        style=style.look("column"),
        align=Align.LEFT,
        block=BLOCK,
    )
    return [*bar, text]


def lay_line_plan(
    style: Style, plan: SitePlan, asked: StateAsked, box: Box, *, title: str, strand_m: float
) -> LaidOut:
    """The state in plan, from the top of a box as high as it needs.

    Parameters
    ----------
    strand_m : horizontal length of the strands to the boat
    """
    carriage = (asked.place.at_m, float(asked.track.downstream_m))
    boat = _boat(carriage, reach_m=strand_m, skew_deg=plan.frame.skew_deg)
    points = [(0.0, _EDGE_M[0]), (plan.frame.span_m, _EDGE_M[1]), carriage]
    points += [anchor.at for anchor in _used(plan)]
    points += boat if asked.case.drag_n > 0.0 else []
    view = _view(points, box.below(_TITLE_MM))
    drawing = _Drawing(style, view)
    _banks(drawing, plan)
    _rig(drawing, plan, asked, strand_m)
    frame = replace(box.below(_TITLE_MM), height_mm=view.height_mm)
    foot_mm = frame.bottom_mm + _FOOT_MM
    tip = (box.left_mm + 6.0, frame.top_mm + _FLOW_MM + 2.0)
    items = [
        view_title(style, title, box),
        *drawing.items,
        *drawing.named(frame.inset(0.0)),
        *_flow(style, plan.frame.skew_deg, tip),
        *_length_scale(style, view.mm_per_m, left_mm=box.left_mm, foot_mm=foot_mm),
    ]
    return LaidOut(items=tuple(items), height_mm=foot_mm - box.top_mm)
