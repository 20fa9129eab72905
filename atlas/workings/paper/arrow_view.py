"""Forces on the carriage as arrows in one view, to one scale, each with its name and size."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import shapely

from atlas.paper import (
    Box,
    Circle,
    Item,
    LaidOut,
    Line,
    Point,
    Stroke,
    Text,
    arrow_head,
    label_items,
    place_labels,
    scale_bar,
    text_wish,
)
from atlas.workings.paper.entry_pieces import text_items
from atlas.workings.paper.forces import Force
from atlas.workings.paper.plot import nice_ticks
from atlas.workings.paper.style import BLOCK, Style

__all__ = ["Flat", "lay_forces", "view_title"]

_HEAD_MM, _HEAD_WIDE_MM = 2.6, 1.7
_LEAST_ARROW_MM = 4.0
_SIDE_MM, _ABOVE_MM = 12.0, 8.0
_TITLE_MM, _FOOT_MM = 5.0, 5.0
_HIGHEST_MM = 70.0
_SCALE_BAR_MM = 22.0

Flat = Callable[[Force], tuple[float, float]]
"""A force as seen in a view: across to the right and up the page [N]."""


def view_title(style: Style, text: str, box: Box) -> Text:
    """The name of a view, over it."""
    look = style.look("strong")
    return Text(x_mm=box.left_mm, y_mm=box.top_mm + 3.2, text=text, style=look, block=BLOCK)


def _arrow(centre: Point, tip: Point) -> list[Item]:
    across, down = tip[0] - centre[0], tip[1] - centre[1]
    toward = math.degrees(math.atan2(across, -down))
    shaft = Line(
        x1_mm=centre[0],
        y1_mm=centre[1],
        x2_mm=tip[0],
        y2_mm=tip[1],
        stroke=Stroke(weight_mm=0.5),
        block=BLOCK,
        clear_of_text=True,
    )
    head = arrow_head(tip=tip, toward_deg=toward, length_mm=_HEAD_MM, width_mm=_HEAD_WIDE_MM, block=BLOCK)
    return [shaft, head]


def _fitted(arrows: Sequence[tuple[float, float]], box: Box) -> tuple[float, Point, float]:
    """Millimetres a newton, the carriage's place, and the height taken, margins with it."""
    xs, ys = [0.0, *(x for x, _ in arrows)], [0.0, *(y for _, y in arrows)]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = min(
        (box.width_mm - 2 * _SIDE_MM) / max(wide, 1e-6), (_HIGHEST_MM - 2 * _ABOVE_MM) / max(high, 1e-6)
    )
    x = box.centre[0] - scale * (max(xs) + min(xs)) / 2
    y = box.top_mm + _ABOVE_MM + scale * max(ys)
    return scale, (x, y), scale * high + 2 * _ABOVE_MM


def _force_scale(style: Style, mm_a_newton: float, *, left_mm: float, foot_mm: float) -> list[Item]:
    """A bar of a round force."""
    step_n = nice_ticks(0.0, _SCALE_BAR_MM / mm_a_newton, most=2)[1]
    length_mm = step_n * mm_a_newton
    bar = scale_bar(x_mm=left_mm, y_mm=foot_mm - 2.0, step_mm=length_mm / 2, steps=2, block=BLOCK)
    label = Text(
        x_mm=left_mm + length_mm + 1.2,
        y_mm=foot_mm - 0.6,
        text=f"{step_n:g} N",
        style=style.look("column"),
        block=BLOCK,
    )
    return [*bar, label]


def _names(style: Style, forces: Sequence[Force]) -> list[str]:
    words = style.words
    return [
        words(
            "derivation.force.label",
            name=words(f"derivation.force.{force.code}"),
            size=f"{force.size_n:.0f}",
        )
        for force in forces
    ]


def _labelled(
    style: Style, arrows: Sequence[tuple[str, Point]], centre: Point, frame: Box
) -> tuple[Item, ...]:
    """Names of arrows, clear of all of them."""
    look = replace(style.look("label"), colour=style.looks.colours["ink"])
    obstacles = [shapely.Point(centre).buffer(1.4)]
    obstacles += [shapely.LineString([centre, tip]).buffer(0.6) for _, tip in arrows]
    wishes = []
    for number, (text, tip) in enumerate(arrows):
        along = [
            tuple(c + share * (t - c) for c, t in zip(centre, tip, strict=True)) for share in (1.0, 0.8, 0.6)
        ]
        points = [(x, y) for x, y in along]
        wishes.append(text_wish(str(number), text, look, style.fonts, points=points, mark_mm=0.5))
    placed = place_labels(wishes, obstacles=obstacles, frame=frame, block=BLOCK)
    return tuple(
        item
        for place, (text, _) in zip(placed, arrows, strict=True)
        for item in label_items(place, text, look, style.fonts, block=BLOCK)
    )


def lay_forces(style: Style, forces: Sequence[Force], box: Box, *, title: str, flat: Flat) -> LaidOut:
    """Forces as arrows from the carriage, from the top of a box as high as they need.

    A force that the view sees end on, or that is too short to be drawn, is told under the drawing.
    """
    sizes = [flat(force) for force in forces]
    scale, centre, height_mm = _fitted(sizes, box.below(_TITLE_MM))
    frame = replace(box.below(_TITLE_MM), height_mm=height_mm)
    tips = [(centre[0] + scale * right, centre[1] - scale * up) for right, up in sizes]
    named = list(zip(_names(style, forces), tips, strict=True))
    drawn = [(text, tip) for text, tip in named if math.dist(tip, centre) >= _LEAST_ARROW_MM]
    short = [text for text, tip in named if math.dist(tip, centre) < _LEAST_ARROW_MM]
    items: list[Item] = [view_title(style, title, box)]
    for _, tip in drawn:
        items += _arrow(centre, tip)
    ink = style.looks.colours["ink"]
    items.append(Circle(x_mm=centre[0], y_mm=centre[1], radius_mm=1.1, fill=ink, block=BLOCK))
    items += _labelled(style, drawn, centre, frame)
    foot_mm = frame.bottom_mm + _FOOT_MM
    items += _force_scale(style, scale, left_mm=box.left_mm, foot_mm=foot_mm)
    if short:
        told = style.words("derivation.force.short", list="; ".join(short))
        below = replace(box, top_mm=foot_mm + 0.8)
        texts, told_mm = text_items(style, told, "column", below)
        items += texts
        foot_mm += 0.8 + told_mm
    return LaidOut(items=tuple(items), height_mm=foot_mm - box.top_mm)
