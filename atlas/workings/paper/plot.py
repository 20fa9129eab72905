"""Graphs on paper: axes with round ticks, curves told apart by weight and dash, labels placed clear."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import shapely

from atlas.paper import (
    Align,
    Box,
    Colour,
    Item,
    Line,
    Point,
    Polyline,
    Rect,
    Span,
    Stroke,
    TextStyle,
    label_items,
    place_labels,
    place_line,
    text_wish,
)
from atlas.workings.paper.style import BLOCK, Style
from atlas.workings.paper.typeset import MINUS

__all__ = ["Axes", "Curve", "Plot", "lay_plot", "nice_ticks"]

_LEFT_MM, _RIGHT_MM, _TOP_MM, _FOOT_MM = 13.0, 2.0, 5.5, 9.0
_TICK_MM = 1.2
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


def nice_ticks(low: float, high: float, *, most: int = 7) -> list[float]:
    """Round numbers from at most `low` to at least `high`."""
    rough = max(high - low, 1e-9) / most
    unit = 10.0 ** math.floor(math.log10(rough))
    step = next(unit * one for one in _STEPS if unit * one >= rough * (1.0 - 1e-9))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [step * k for k in range(first, last + 1)]


def _tick_texts(ticks: Sequence[float]) -> list[str]:
    step = ticks[1] - ticks[0]
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    if abs(step * 10**decimals - round(step * 10**decimals)) > 1e-6:
        decimals += 1
    return [f"{tick:.{decimals}f}".replace("-", MINUS) if tick else "0" for tick in ticks]


@dataclass(frozen=True, slots=True)
class Curve:
    """Points joined by lines, with a name beside it where it has one; marks at the points where asked.

    Attributes
    ----------
    joined : False for marks alone
    hollow : marks are drawn as outlines
    """

    name: str
    points: tuple[tuple[float, float], ...]
    stroke: Stroke
    marks: bool = False
    joined: bool = True
    hollow: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """A graph before it is laid out.

    Attributes
    ----------
    levels, places : horizontal and vertical lines with their names
    band : from, to, name: shaded across the graph
    """

    title: str
    x_title: str
    y_title: str
    curves: tuple[Curve, ...]
    levels: tuple[tuple[str, float], ...] = ()
    places: tuple[tuple[str, float], ...] = ()
    band: tuple[float, float, str] | None = None
    from_zero: bool = True


@dataclass(frozen=True, slots=True)
class Axes:
    """Where numbers lie on the page."""

    box: Box
    x_ticks: tuple[float, ...]
    y_ticks: tuple[float, ...]

    def at(self, x: float, y: float) -> Point:
        """A point of the graph on the page."""
        across = (x - self.x_ticks[0]) / (self.x_ticks[-1] - self.x_ticks[0])
        up = (y - self.y_ticks[0]) / (self.y_ticks[-1] - self.y_ticks[0])
        return self.box.left_mm + across * self.box.width_mm, self.box.bottom_mm - up * self.box.height_mm

    def holds(self, x: float, y: float) -> bool:
        """Whether a point lies on the graph."""
        return self.x_ticks[0] <= x <= self.x_ticks[-1] and self.y_ticks[0] <= y <= self.y_ticks[-1]


@dataclass(slots=True)
class _Drawing:
    """Items of a graph as they are made, what labels must keep clear of, and the labels wished for."""

    style: Style
    axes: Axes
    items: list[Item] = field(default_factory=list)
    obstacles: list[shapely.Geometry] = field(default_factory=list)
    labels: list[tuple[str, str, list[Point]]] = field(default_factory=list)

    def line(self, points: Sequence[Point], stroke: Stroke) -> None:
        """A line no label may stand on."""
        self.items.append(Polyline(points=tuple(points), stroke=stroke, block=BLOCK, clear_of_text=True))
        self.obstacles.append(shapely.LineString(points).buffer(stroke.weight_mm / 2))

    def label(self, text: str, points: Sequence[Point]) -> None:
        """A name to be placed near one of some points."""
        self.labels.append((f"{len(self.labels)}", text, list(points)))

    def placed(self) -> list[Item]:
        """All labels in their places."""
        look = self.style.look("label")
        look = replace(look, colour=self.style.looks.colours["ink"])
        wishes = [
            text_wish(key, text, look, self.style.fonts, points=points, mark_mm=0.6)
            for key, text, points in self.labels
        ]
        found = place_labels(wishes, obstacles=self.obstacles, frame=self.axes.box.inset(0.6), block=BLOCK)
        paper = self.style.looks.colours["paper"]
        patches = [Rect(box=place.box.inset(-0.3), fill=paper, block=BLOCK) for place in found]
        return patches + [
            item
            for place, (_, text, _) in zip(found, self.labels, strict=True)
            for item in label_items(place, text, look, self.style.fonts, block=BLOCK)
        ]


def _text(style: Style, text: str, look: TextStyle, place: Point, align: Align) -> tuple[Item, ...]:
    return place_line(
        (Span(text, look),), x_mm=place[0], y_mm=place[1], fonts=style.fonts, block=BLOCK, align=align
    )


def _axes_of(plot: Plot, box: Box) -> Axes:
    xs = [x for curve in plot.curves for x, _ in curve.points] + [x for _, x in plot.places]
    ys = [y for curve in plot.curves for _, y in curve.points] + [y for _, y in plot.levels]
    if plot.band is not None:
        ys += plot.band[:2]
    low_x, low_y = (0.0, 0.0) if plot.from_zero else (min(xs), min(0.0, *ys))
    inner = Box(
        left_mm=box.left_mm + _LEFT_MM,
        top_mm=box.top_mm + _TOP_MM,
        width_mm=box.width_mm - _LEFT_MM - _RIGHT_MM,
        height_mm=box.height_mm - _TOP_MM - _FOOT_MM,
    )
    return Axes(inner, tuple(nice_ticks(low_x, max(xs))), tuple(nice_ticks(low_y, max(ys), most=6)))


def _lay_axes(style: Style, plot: Plot, axes: Axes) -> list[Item]:
    box, hairline, small = axes.box, style.hairline, style.look("column")
    items: list[Item] = []
    for tick, text in zip(axes.x_ticks, _tick_texts(axes.x_ticks), strict=True):
        x, y = axes.at(tick, axes.y_ticks[0])
        items.append(
            Line(x1_mm=x, y1_mm=box.top_mm, x2_mm=x, y2_mm=y + _TICK_MM, stroke=hairline, block=BLOCK)
        )
        items += _text(style, text, small, (x, y + _TICK_MM + 2.7), Align.CENTRE)
    for tick, text in zip(axes.y_ticks, _tick_texts(axes.y_ticks), strict=True):
        x, y = axes.at(axes.x_ticks[0], tick)
        items.append(
            Line(x1_mm=x - _TICK_MM, y1_mm=y, x2_mm=box.right_mm, y2_mm=y, stroke=hairline, block=BLOCK)
        )
        items += _text(style, text, small, (x - _TICK_MM - 0.6, y + 0.95), Align.RIGHT)
    items.append(Rect(box=box, stroke=Stroke(weight_mm=0.25), block=BLOCK))
    items += _text(style, plot.y_title, small, (box.left_mm - _LEFT_MM + 0.5, box.top_mm - 2.2), Align.LEFT)
    items += _text(style, plot.x_title, small, (box.right_mm, box.bottom_mm + 7.6), Align.RIGHT)
    items += _text(style, plot.title, style.look("strong"), (box.centre[0], box.top_mm - 2.0), Align.CENTRE)
    return items


def _clipped(points: Sequence[tuple[float, float]], axes: Axes) -> list[tuple[float, float]]:
    """The first stretch of a curve that lies on the graph, cut where it leaves it."""
    window = shapely.box(axes.x_ticks[0], axes.y_ticks[0], axes.x_ticks[-1], axes.y_ticks[-1])
    inside = shapely.LineString(points).intersection(window)
    parts = [part for part in getattr(inside, "geoms", [inside]) if part.geom_type == "LineString"]
    return [(float(x), float(y)) for x, y in parts[0].coords] if parts else []


def _lay_marks(drawing: _Drawing, curve: Curve) -> None:
    """A small square at every point that lies on the graph."""
    paper = drawing.style.looks.colours["paper"]
    for x, y in (drawing.axes.at(*point) for point in curve.points if drawing.axes.holds(*point)):
        box = Box(left_mm=x - 0.7, top_mm=y - 0.7, width_mm=1.4, height_mm=1.4)
        drawing.items.append(
            Rect(box=box, stroke=Stroke(weight_mm=0.3), fill=paper, block=BLOCK, clear_of_text=True)
            if curve.hollow
            else Rect(box=box, fill=curve.stroke.colour, block=BLOCK, clear_of_text=True)
        )
        drawing.obstacles.append(shapely.box(x - 0.7, y - 0.7, x + 0.7, y + 0.7))


def _lay_curve(drawing: _Drawing, curve: Curve) -> None:
    if not curve.joined:
        _lay_marks(drawing, curve)
        return
    points = [drawing.axes.at(*point) for point in _clipped(curve.points, drawing.axes)]
    if len(points) < 2:
        return
    drawing.line(points, curve.stroke)
    if curve.marks:
        _lay_marks(drawing, curve)
    if not curve.name:
        return
    along = shapely.LineString(points)
    shares = (0.8, 0.7, 0.6, 0.9, 0.5, 0.4, 0.3)
    drawing.label(curve.name, [(p.x, p.y) for p in (along.interpolate(s, normalized=True) for s in shares)])


def _lay_lines(drawing: _Drawing, plot: Plot) -> None:
    axes, box = drawing.axes, drawing.axes.box
    limit = Stroke(weight_mm=0.5, dash_mm=(2.4, 1.0))
    place = Stroke(weight_mm=0.35, dash_mm=(0.8, 0.8))
    for name, level in plot.levels:
        y = axes.at(axes.x_ticks[0], level)[1]
        drawing.line([(box.left_mm, y), (box.right_mm, y)], limit)
        drawing.label(name, [(box.left_mm + share * box.width_mm, y) for share in (0.12, 0.25, 0.4, 0.6)])
    for name, at in plot.places:
        x = axes.at(at, axes.y_ticks[0])[0]
        drawing.line([(x, box.top_mm), (x, box.bottom_mm)], place)
        drawing.label(
            name, [(x, box.bottom_mm - share * box.height_mm) for share in (0.1, 0.2, 0.35, 0.6, 0.8)]
        )


def _band_item(plot: Plot, axes: Axes, shade: Colour) -> list[Item]:
    if plot.band is None:
        return []
    low, high, _ = plot.band
    top = axes.at(axes.x_ticks[0], high)[1]
    foot = axes.at(axes.x_ticks[0], low)[1]
    box = Box(left_mm=axes.box.left_mm, top_mm=top, width_mm=axes.box.width_mm, height_mm=foot - top)
    return [Rect(box=box, fill=shade, block=BLOCK)]


def lay_plot(style: Style, plot: Plot, box: Box) -> tuple[Item, ...]:
    """A graph in a box: band, grid, lines, curves, then labels where nothing else stands.

    Raises
    ------
    BlockOverrun
        A label finds no place.
    """
    axes = _axes_of(plot, box)
    drawing = _Drawing(style, axes)
    drawing.items += _band_item(plot, axes, style.looks.colours["land"])
    drawing.items += _lay_axes(style, plot, axes)
    _lay_lines(drawing, plot)
    for curve in plot.curves:
        _lay_curve(drawing, curve)
    if plot.band is not None:
        low, high, name = plot.band
        y = axes.at(axes.x_ticks[0], (low + high) / 2)[1]
        drawing.label(
            name, [(axes.box.left_mm + share * axes.box.width_mm, y) for share in (0.05, 0.15, 0.3, 0.5, 0.7)]
        )
    return (*drawing.items, *drawing.placed())
