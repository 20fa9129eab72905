"""Drawings of one state: the track line in plan and section to scale, and the forces on the carriage."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import shapely

from atlas.paper import (
    Align,
    Box,
    Circle,
    Item,
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
from atlas.plan import SitePlan
from atlas.workings.paper.forces import Force
from atlas.workings.paper.plot import nice_ticks
from atlas.workings.paper.state_chapters import StateAsked
from atlas.workings.paper.style import BLOCK, Style

__all__ = ["lay_forces", "lay_line_plan"]

_HEAD_MM, _HEAD_WIDE_MM = 2.6, 1.7
_LEAST_ARROW_MM = 4.0
_MARGIN_MM = 12.0
_TITLE_MM = 5.0
_SHAPE_POINTS = 25

Flat = Callable[[Force], tuple[float, float]]
"""A force as seen in a view: across to the right and up the page [N]."""


@dataclass(frozen=True, slots=True)
class _Arrow:
    """A force in a view, from the carriage to its tip."""

    tip: Point
    text: str


def _title(style: Style, text: str, box: Box) -> Text:
    look = style.look("strong")
    return Text(x_mm=box.left_mm, y_mm=box.top_mm + 3.2, text=text, style=look, block=BLOCK)


def _arrow_items(centre: Point, tip: Point, stroke: Stroke) -> list[Item]:
    across, down = tip[0] - centre[0], tip[1] - centre[1]
    toward = math.degrees(math.atan2(across, -down))
    shaft = Line(
        x1_mm=centre[0],
        y1_mm=centre[1],
        x2_mm=tip[0],
        y2_mm=tip[1],
        stroke=stroke,
        block=BLOCK,
        clear_of_text=True,
    )
    return [
        shaft,
        arrow_head(tip=tip, toward_deg=toward, length_mm=_HEAD_MM, width_mm=_HEAD_WIDE_MM, block=BLOCK),
    ]


def _spread(arrows: Sequence[tuple[float, float]], box: Box) -> tuple[float, Point]:
    """Millimetres a newton, and the carriage's place, so that all arrows lie in the box."""
    xs, ys = [0.0, *(x for x, _ in arrows)], [0.0, *(y for _, y in arrows)]
    wide, high = max(max(xs) - min(xs), 1e-6), max(max(ys) - min(ys), 1e-6)
    inner = box.inset(_MARGIN_MM)
    scale = min(inner.width_mm / wide, inner.height_mm / high)
    x = inner.centre[0] - scale * (max(xs) + min(xs)) / 2
    y = inner.centre[1] + scale * (max(ys) + min(ys)) / 2
    return scale, (x, y)


def _force_scale(style: Style, mm_a_newton: float, box: Box) -> list[Item]:
    """A bar of a round force."""
    ticks = nice_ticks(0.0, 22.0 / mm_a_newton, most=2)
    step_n = ticks[1]
    length_mm = step_n * mm_a_newton
    bar = scale_bar(x_mm=box.left_mm, y_mm=box.bottom_mm - 2.0, step_mm=length_mm / 2, steps=2, block=BLOCK)
    label = Text(
        x_mm=box.left_mm + length_mm + 1.2,
        y_mm=box.bottom_mm - 0.6,
        text=f"{step_n:g} N",
        style=style.look("column"),
        block=BLOCK,
    )
    return [*bar, label]


def lay_forces(
    style: Style, forces: Sequence[Force], box: Box, *, title: str, flat: Flat
) -> tuple[Item, ...]:
    """Forces as arrows from the carriage, to one scale, each with its name and size.

    A force that the view sees end on, or too short to be drawn, is told under the drawing.
    """
    words, look = style.words, style.look("label")
    look = replace(look, colour=style.looks.colours["ink"])
    drawn = [(force, flat(force)) for force in forces]
    room = Box(
        left_mm=box.left_mm,
        top_mm=box.top_mm + _TITLE_MM,
        width_mm=box.width_mm,
        height_mm=box.height_mm - _TITLE_MM - 8.0,
    )
    scale, centre = _spread([size for _, size in drawn], room)
    items: list[Item] = [_title(style, title, box)]
    obstacles: list[shapely.Geometry] = [shapely.Point(centre).buffer(1.4)]
    labels: list[tuple[str, list[Point]]] = []
    short = []
    for force, (right, up) in drawn:
        tip = (centre[0] + scale * right, centre[1] - scale * up)
        told = words(
            "derivation.force.label", name=words(f"derivation.force.{force.code}"), size=f"{force.size_n:.0f}"
        )
        if math.hypot(tip[0] - centre[0], tip[1] - centre[1]) < _LEAST_ARROW_MM:
            short.append(told)
            continue
        items += _arrow_items(centre, tip, Stroke(weight_mm=0.5))
        obstacles.append(shapely.LineString([centre, tip]).buffer(0.6))
        shares = (1.0, 0.8, 0.6)
        labels.append(
            (
                told,
                [
                    (centre[0] + s * (tip[0] - centre[0]), centre[1] + s * (tip[1] - centre[1]))
                    for s in shares
                ],
            )
        )
    items.append(
        Circle(x_mm=centre[0], y_mm=centre[1], radius_mm=1.1, fill=style.looks.colours["ink"], block=BLOCK)
    )
    wishes = [
        text_wish(str(k), text, look, style.fonts, points=points, mark_mm=0.5)
        for k, (text, points) in enumerate(labels)
    ]
    placed = place_labels(wishes, obstacles=obstacles, frame=room, block=BLOCK)
    for place, (text, _) in zip(placed, labels, strict=True):
        items += label_items(place, text, look, style.fonts, block=BLOCK)
    items += _force_scale(style, scale, replace(room, height_mm=room.height_mm + 3.0))
    if short:
        told = words("derivation.force.short", list="; ".join(short))
        items.append(
            Text(
                x_mm=box.left_mm, y_mm=box.bottom_mm - 0.8, text=told, style=style.look("column"), block=BLOCK
            )
        )
    return tuple(items)


@dataclass(frozen=True, slots=True)
class _View:
    """Metres of the site on the page; x across, y down the page."""

    left_mm: float
    top_mm: float
    mm_per_m: float
    least_x: float
    least_y: float

    def at(self, x: float, y: float) -> Point:
        """A place on the page."""
        return (
            self.left_mm + (x - self.least_x) * self.mm_per_m,
            self.top_mm + (y - self.least_y) * self.mm_per_m,
        )


def _view(points: Sequence[tuple[float, float]], box: Box) -> _View:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide, high = max(xs) - min(xs), max(max(ys) - min(ys), 1.0)
    scale = min(box.width_mm / wide, box.height_mm / high)
    left = box.left_mm + (box.width_mm - scale * wide) / 2
    return _View(left, box.top_mm + (box.height_mm - scale * high) / 2, scale, min(xs), min(ys))


def lay_line_plan(
    style: Style, plan: SitePlan, asked: StateAsked, box: Box, *, title: str
) -> tuple[Item, ...]:
    """The loaded track line in plan, to scale, with tie points, water's edges, stations and carriage."""
    strokes, words = style.looks.strokes, style.words
    shape = asked.line.loaded_shape(asked.track, points_a_side=_SHAPE_POINTS)
    line = list(zip(shape.at_m.ravel().tolist(), shape.downstream_m.ravel().tolist(), strict=True))
    frame = plan.frame
    used = [anchor for anchor in plan.chosen.anchors if anchor.load_n is not None]
    carriage = (asked.place.at_m, float(asked.track.downstream_m))
    room = Box(
        left_mm=box.left_mm + 16.0,
        top_mm=box.top_mm + _TITLE_MM + 4.0,
        width_mm=box.width_mm - 32.0,
        height_mm=box.height_mm - _TITLE_MM - 14.0,
    )
    view = _view([*line, *(anchor.at for anchor in used), (0.0, frame.reach_down_m)], room)
    items: list[Item] = [_title(style, title, box)]
    obstacles: list[shapely.Geometry] = []

    def path(points: Sequence[tuple[float, float]], stroke: Stroke) -> None:
        placed = [view.at(*point) for point in points]
        items.append(Polyline(points=tuple(placed), stroke=stroke, block=BLOCK, clear_of_text=True))
        obstacles.append(shapely.LineString(placed).buffer(0.4))

    path([(0.0, 0.0), (frame.span_m, 0.0)], strokes["track_empty"])
    path(line, strokes["track_loaded"])
    for edge_m in (frame.near_edge_x_m, frame.far_edge_x_m):
        path([(edge_m, -1.0), (edge_m, 2.0)], strokes["bank"])
    labels: list[tuple[str, list[Point], float]] = []
    for anchor in used:
        if "track" not in anchor.uses or anchor.tag not in (frame.track_near_tag, frame.track_far_tag):
            stroke = strokes["up_down"] if "up_down" in anchor.uses else strokes["ferry_near"]
            path([anchor.at, carriage], stroke)
        x, y = view.at(*anchor.at)
        items.append(Circle(x_mm=x, y_mm=y, radius_mm=1.0, fill=style.looks.colours["ink"], block=BLOCK))
        told = words("derivation.force.label", name=anchor.tag, size=f"{anchor.load_n:.0f}")
        labels.append((told, [(x, y)], 1.2))
    x, y = view.at(*carriage)
    items.append(
        Circle(
            x_mm=x,
            y_mm=y,
            radius_mm=1.3,
            stroke=Stroke(weight_mm=0.4),
            fill=style.looks.colours["paper"],
            block=BLOCK,
        )
    )
    place = words(
        "derivation.force.carriage",
        x=f"{carriage[0]:.2f}",
        y=f"{carriage[1]:.2f}",
        z=f"{float(asked.track.height_m):.2f}",
    )
    labels.append((place, [(x, y)], 1.5))
    look = replace(style.look("label"), colour=style.looks.colours["ink"])
    wishes = [
        text_wish(str(k), text, look, style.fonts, points=points, mark_mm=mark)
        for k, (text, points, mark) in enumerate(labels)
    ]
    found = place_labels(
        wishes,
        obstacles=obstacles,
        frame=replace(box, top_mm=box.top_mm + _TITLE_MM, height_mm=box.height_mm - _TITLE_MM - 6.0),
        block=BLOCK,
    )
    for spot, (text, _, _) in zip(found, labels, strict=True):
        items += label_items(spot, text, look, style.fonts, block=BLOCK)
    return (*items, *_length_scale(style, view.mm_per_m, box))


def _length_scale(style: Style, mm_per_m: float, box: Box) -> list[Item]:
    step = nice_ticks(0.0, 30.0 / mm_per_m, most=2)[1]
    bar = scale_bar(
        x_mm=box.left_mm, y_mm=box.bottom_mm - 2.4, step_mm=step * mm_per_m / 2, steps=2, block=BLOCK
    )
    text = Text(
        x_mm=box.left_mm + step * mm_per_m + 1.2,
        y_mm=box.bottom_mm - 1.0,
        text=f"{step:g} m",
        style=style.look("column"),
        align=Align.LEFT,
        block=BLOCK,
    )
    return [*bar, text]
