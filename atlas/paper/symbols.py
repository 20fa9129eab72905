"""Signs drawn as paths: no font is asked for them, so none can lack them."""

from __future__ import annotations

import math
from enum import StrEnum

from atlas.paper.boxes import Area, Box, Circle, Item, Line, Point, Polyline, Rect, Stroke
from atlas.paper.colour import BLACK, WHITE, Colour

__all__ = ["Symbol", "arrow_head", "north_arrow", "scale_bar", "symbol"]


class Symbol(StrEnum):
    """Signs that fill a square."""

    TICK_BOX = "tick_box"
    WARNING = "warning"
    CIRCLE_OPEN = "circle_open"
    CIRCLE_FILLED = "circle_filled"
    SQUARE_OPEN = "square_open"
    SQUARE_FILLED = "square_filled"
    DIAMOND_OPEN = "diamond_open"
    DIAMOND_FILLED = "diamond_filled"
    TRIANGLE_OPEN = "triangle_open"
    TRIANGLE_FILLED = "triangle_filled"
    CROSS = "cross"
    CROSSED_CIRCLE = "crossed_circle"


_CORNERS: dict[str, tuple[Point, ...]] = {
    "square": ((-0.44, -0.44), (0.44, -0.44), (0.44, 0.44), (-0.44, 0.44)),
    "diamond": ((0.0, -0.5), (0.5, 0.0), (0.0, 0.5), (-0.5, 0.0)),
    "triangle": ((0.0, -0.46), (0.5, 0.4), (-0.5, 0.4)),
}
"""Outlines in a square of side 1 about its centre, y downward."""

_EXCLAMATION_BAR: tuple[Point, ...] = ((-0.065, -0.2), (0.065, -0.2), (0.04, 0.14), (-0.04, 0.14))
_EXCLAMATION_DOT = (0.0, 0.265, 0.058)
_DOT_CORNERS = 16


def _scaled(points: tuple[Point, ...], *, x_mm: float, y_mm: float, size_mm: float) -> tuple[Point, ...]:
    return tuple((x_mm + size_mm * x, y_mm + size_mm * y) for x, y in points)


def _dot() -> tuple[Point, ...]:
    x, y, radius = _EXCLAMATION_DOT
    turns = (2 * math.pi * corner / _DOT_CORNERS for corner in range(_DOT_CORNERS))
    return tuple((x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns)


def _warning(*, x_mm: float, y_mm: float, size_mm: float, colour: Colour, block: str) -> tuple[Item, ...]:
    """A filled triangle with an exclamation mark left out of it."""
    rings = tuple(
        _scaled(ring, x_mm=x_mm, y_mm=y_mm, size_mm=size_mm)
        for ring in (_CORNERS["triangle"], _EXCLAMATION_BAR, _dot())
    )
    return (Area(rings=rings, fill=colour, block=block),)


def _cross(*, x_mm: float, y_mm: float, reach_mm: float, stroke: Stroke, block: str) -> tuple[Item, ...]:
    return tuple(
        Line(
            x1_mm=x_mm - reach_mm,
            y1_mm=y_mm - slope * reach_mm,
            x2_mm=x_mm + reach_mm,
            y2_mm=y_mm + slope * reach_mm,
            stroke=stroke,
            block=block,
        )
        for slope in (1, -1)
    )


def symbol(
    kind: Symbol, *, x_mm: float, y_mm: float, size_mm: float, colour: Colour = BLACK, block: str = ""
) -> tuple[Item, ...]:
    """A sign about a centre, in a square of the given side; open ones are white inside."""
    weight_mm = max(0.18, 0.09 * size_mm)
    stroke = Stroke(weight_mm=weight_mm, colour=colour)
    outer_mm = (size_mm - weight_mm) / 2
    match kind:
        case Symbol.WARNING:
            return _warning(x_mm=x_mm, y_mm=y_mm, size_mm=size_mm, colour=colour, block=block)
        case Symbol.CROSS:
            return _cross(x_mm=x_mm, y_mm=y_mm, reach_mm=0.4 * size_mm, stroke=stroke, block=block)
        case Symbol.TICK_BOX:
            side_mm = 2 * outer_mm
            box = Box(left_mm=x_mm - outer_mm, top_mm=y_mm - outer_mm, width_mm=side_mm, height_mm=side_mm)
            return (Rect(box=box, stroke=stroke, fill=WHITE, block=block),)
        case Symbol.CIRCLE_OPEN | Symbol.CIRCLE_FILLED | Symbol.CROSSED_CIRCLE:
            fill = colour if kind is Symbol.CIRCLE_FILLED else WHITE
            ring = Circle(x_mm=x_mm, y_mm=y_mm, radius_mm=outer_mm, stroke=stroke, fill=fill, block=block)
            if kind is not Symbol.CROSSED_CIRCLE:
                return (ring,)
            reach_mm = outer_mm * math.sqrt(0.5)
            return (ring, *_cross(x_mm=x_mm, y_mm=y_mm, reach_mm=reach_mm, stroke=stroke, block=block))
        case _:
            shape, _, state = kind.value.partition("_")
            points = _scaled(_CORNERS[shape], x_mm=x_mm, y_mm=y_mm, size_mm=size_mm - weight_mm)
            fill = colour if state == "filled" else WHITE
            return (Polyline(points=points, closed=True, stroke=stroke, fill=fill, block=block),)


def arrow_head(
    *,
    tip: Point,
    toward_deg: float,
    length_mm: float,
    width_mm: float,
    colour: Colour = BLACK,
    block: str = "",
) -> Polyline:
    """A filled head whose tip is at a point; `toward_deg` clockwise from straight up the page."""
    turn = math.radians(toward_deg)
    ahead = (math.sin(turn), -math.cos(turn))
    side = (ahead[1], -ahead[0])
    points = tuple(
        (tip[0] - back * ahead[0] + out * side[0], tip[1] - back * ahead[1] + out * side[1])
        for back, out in (
            (0.0, 0.0),
            (length_mm, width_mm / 2),
            (0.78 * length_mm, 0.0),
            (length_mm, -width_mm / 2),
        )
    )
    return Polyline(points=points, closed=True, fill=colour, block=block)


def north_arrow(
    *, x_mm: float, y_mm: float, length_mm: float, north_deg: float, block: str = ""
) -> tuple[Item, ...]:
    """A needle about its middle, one half filled; `north_deg` clockwise from straight up the page."""
    turn = math.radians(north_deg)
    ahead, half_mm, out_mm = (math.sin(turn), -math.cos(turn)), length_mm / 2, length_mm * 0.2

    def at(along_mm: float, across_mm: float) -> Point:
        return (
            x_mm + along_mm * ahead[0] - across_mm * ahead[1],
            y_mm + along_mm * ahead[1] + across_mm * ahead[0],
        )

    tip, notch = at(half_mm, 0.0), at(-0.55 * half_mm, 0.0)
    stroke = Stroke(weight_mm=0.18)
    return tuple(
        Polyline(
            points=(tip, at(-half_mm, across), notch), closed=True, stroke=stroke, fill=fill, block=block
        )
        for across, fill in ((-out_mm, BLACK), (out_mm, WHITE))
    )


def scale_bar(
    *, x_mm: float, y_mm: float, step_mm: float, steps: int, height_mm: float = 1.2, block: str = ""
) -> tuple[Item, ...]:
    """Fields of equal length, black and white in turn, from a top left corner."""
    stroke = Stroke(weight_mm=0.18)
    return tuple(
        Rect(
            box=Box(left_mm=x_mm + step * step_mm, top_mm=y_mm, width_mm=step_mm, height_mm=height_mm),
            stroke=stroke,
            fill=WHITE if step % 2 else BLACK,
            block=block,
        )
        for step in range(steps)
    )
