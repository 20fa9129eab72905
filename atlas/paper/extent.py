"""How much room a laid-out item takes: its box, and for text the turned rectangle of its ink."""

from __future__ import annotations

import math
from itertools import chain
from typing import TYPE_CHECKING

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
    from collections.abc import Iterable

    from atlas.paper.boxes import Item, Point, Stroke
    from atlas.paper.fonts import FontBook

__all__ = ["bounds", "text_corners", "text_start"]


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


def _around(points: Iterable[Point], grown_mm: float) -> Box:
    xs, ys = zip(*points, strict=True)
    if not math.isfinite(sum(xs) + sum(ys)):  # min and max would pass over a NaN that does not come first
        return Box(left_mm=math.nan, top_mm=math.nan, width_mm=math.nan, height_mm=math.nan)
    left_mm, top_mm = min(xs), min(ys)
    box = Box(left_mm=left_mm, top_mm=top_mm, width_mm=max(xs) - left_mm, height_mm=max(ys) - top_mm)
    return box.inset(-grown_mm)


def _half_mm(stroke: Stroke | None) -> float:
    return stroke.weight_mm / 2 if stroke else 0.0


def bounds(item: Item, fonts: FontBook) -> Box:
    """The upright box round all that an item prints, stroke included; NaN where a coordinate is no number."""
    grown_mm = 0.0
    points: Iterable[Point]
    match item:
        case Text():
            points = text_corners(item, fonts)
        case Line():
            points = ((item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm))
            grown_mm = _half_mm(item.stroke)
        case Polyline():
            points, grown_mm = item.points, _half_mm(item.stroke)
        case Area():
            points, grown_mm = chain.from_iterable(item.rings), _half_mm(item.stroke)
        case Circle():
            points, grown_mm = ((item.x_mm, item.y_mm),), item.radius_mm + _half_mm(item.stroke)
        case Rect():
            box = item.box
            points = ((box.left_mm, box.top_mm), (box.right_mm, box.bottom_mm))
            grown_mm = _half_mm(item.stroke)
        case QrCode() | Link():
            return item.box
        case Destination():
            points = ((item.x_mm, item.y_mm),)
    return _around(points, grown_mm)
