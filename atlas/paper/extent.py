"""How much room a laid-out item takes: its box, and for text the turned rectangle of its ink."""

from __future__ import annotations

import math
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np

from atlas.paper.boxes import (
    Align,
    Area,
    Box,
    Circle,
    Destination,
    Line,
    Link,
    Polyline,
    QrCode,
    Rect,
    Text,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from atlas.paper.boxes import Item, Point, Stroke
    from atlas.paper.fonts import FontBook

__all__ = ["Edges", "bounds", "edges", "edges_of", "text_corners", "text_start"]

Drawing = Line | Polyline | Area | Circle | Rect | QrCode | Link | Destination
"""Every item but text."""
Edges = tuple[float, float, float, float]
"""Left, top, right and bottom [mm]."""


def text_start(text: Text, fonts: FontBook) -> Point:
    """Where the baseline of a text begins, whatever its alignment."""
    if text.align is Align.LEFT:
        return text.x_mm, text.y_mm
    back_mm = text.align.share * fonts.width_mm(text.text, text.style)
    turn = math.radians(text.angle_deg)
    return text.x_mm - back_mm * math.cos(turn), text.y_mm + back_mm * math.sin(turn)


def text_corners(text: Text, fonts: FontBook) -> tuple[Point, Point, Point, Point]:
    """Corners of a text: its advance width by the height of its own ink, turned with it.

    Returns
    -------
    tuple of four points
        Beginning and end at the foot, end and beginning at the top [mm].
    """
    width_mm = fonts.width_mm(text.text, text.style)
    above_mm, below_mm = fonts.ink_mm(text.text, text.style)
    x_mm, y_mm = text_start(text, fonts)
    turn = math.radians(text.angle_deg)
    cosine, sine = math.cos(turn), math.sin(turn)

    def at(along_mm: float, up_mm: float) -> Point:
        return x_mm + along_mm * cosine - up_mm * sine, y_mm - along_mm * sine - up_mm * cosine

    return at(0.0, -below_mm), at(width_mm, -below_mm), at(width_mm, above_mm), at(0.0, above_mm)


def _half_mm(stroke: Stroke | None) -> float:
    return stroke.weight_mm / 2 if stroke else 0.0


def _text_edges(text: Text, fonts: FontBook) -> Edges:
    if text.angle_deg:
        return _edges(text_corners(text, fonts), 0.0)
    left_mm, y_mm = text_start(text, fonts)
    above_mm, below_mm = fonts.ink_mm(text.text, text.style)
    return left_mm, y_mm - above_mm, left_mm + fonts.width_mm(text.text, text.style), y_mm + below_mm


def _edges(points: Iterable[Point], grown_mm: float) -> Edges:
    xs, ys = zip(*points, strict=True)
    if not math.isfinite(sum(xs) + sum(ys)):  # min and max would pass over a NaN that does not come first
        return math.nan, math.nan, math.nan, math.nan
    return min(xs) - grown_mm, min(ys) - grown_mm, max(xs) + grown_mm, max(ys) + grown_mm


def _corners(item: Drawing) -> Iterable[Point]:
    """Points between which an item lies, but for the width of its stroke."""
    match item:
        case Line():
            return (item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm)
        case Polyline():
            return item.points
        case Area():
            return chain.from_iterable(item.rings)
        case Rect() | QrCode() | Link():
            return item.box.diagonal
        case Circle() | Destination():
            return ((item.x_mm, item.y_mm),)


def _reach_mm(item: Drawing) -> float:
    """How far the ink reaches beyond the points."""
    match item:
        case Line() | Polyline() | Area() | Rect():
            return _half_mm(item.stroke)
        case Circle():
            return item.radius_mm + _half_mm(item.stroke)
        case _:
            return 0.0


def edges(item: Item, fonts: FontBook) -> Edges:
    """Left, top, right and bottom of all that an item prints, stroke included.

    Not finite where a coordinate is no number.
    """
    if isinstance(item, Text):
        return _text_edges(item, fonts)
    return _edges(_corners(item), _reach_mm(item))


def edges_of(items: Sequence[Item], fonts: FontBook) -> NDArray[np.float64]:
    """`edges` of items, one a row."""
    return np.array([edges(item, fonts) for item in items], dtype=np.float64).reshape(-1, 4)


def bounds(item: Item, fonts: FontBook) -> Box:
    """The upright box round all that an item prints, stroke included; not finite where a place is not."""
    left_mm, top_mm, right_mm, bottom_mm = edges(item, fonts)
    return Box(left_mm=left_mm, top_mm=top_mm, width_mm=right_mm - left_mm, height_mm=bottom_mm - top_mm)
