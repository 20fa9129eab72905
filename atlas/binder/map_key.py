"""What stands round a map: its graticule's figures, scale bars, north, and the key of its signs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from atlas.binder.map_frame import GraticuleLine, MapView, nice_length
from atlas.binder.map_layers import layer_stroke
from atlas.binder.map_sites import BLOCK, Verdict, other_sign, sign_of, station_sign
from atlas.frame.grid import degrees_decimal_minutes
from atlas.paper import (
    Align,
    Box,
    Item,
    Line,
    Point,
    Polyline,
    Rect,
    Span,
    Text,
    lines_height_mm,
    north_arrow,
    place_lines,
    scale_bar,
    spans_width_mm,
    wrap_spans,
)
from atlas.paper.press import Press, settable
from atlas.records import Layer
from atlas.units import UnitSystem

__all__ = ["GUTTER_MM", "KeyEntry", "key_entries", "key_height_mm", "lay_graticule", "lay_key"]

GUTTER_MM: Final = 4.4
"""Beside and over a map, for the figures of its graticule."""
_SCALE_MM: Final = 60.0
_BAR_MOST_MM: Final = 44.0
_SIGN_ROOM_MM: Final = 11.0
_ROW_MM: Final = 4.4
_TOP_MM: Final = 2.6
_NOTE_GAP_MM: Final = 1.2
_TICK_MM, _FIGURE_OFF_MM = 0.9, 1.5
_LEAST_HEIGHT_MM: Final = 15.0
_METRES: Final = {"miles": 1609.344, "kilometres": 1000.0}
"""The international mile: 5,280 ft of 0.3048 m, exactly (NIST SP 811, appendix B)."""

Sample = Callable[[Point], Sequence[Item]]


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """A sign drawn about a point, and what it means."""

    sample: Sample
    text: str


def _layer_sample(press: Press, layer: Layer) -> Sample:
    stroke, half_mm = layer_stroke(press, layer), _SIGN_ROOM_MM / 2 - 1.5

    def draw(at: Point) -> Sequence[Item]:
        ends = ((at[0] - half_mm, at[1]), (at[0] + half_mm, at[1]))
        return [Polyline(points=ends, stroke=stroke, block=BLOCK)]

    return draw


def key_entries(
    press: Press, verdicts: Sequence[Verdict], layers: Sequence[Layer], *, stations: bool, others: bool
) -> tuple[KeyEntry, ...]:
    """The signs of a map: those that stand on it and no others."""

    def verdict_sample(verdict: Verdict) -> Sample:
        return lambda at: sign_of(press, verdict, at)

    words = press.words
    entries = [
        KeyEntry(verdict_sample(verdict), words(f"binder.map.{verdict.value}"))
        for verdict in Verdict
        if verdict in verdicts
    ]
    if others:
        entries.append(KeyEntry(lambda at: other_sign(press, at), words("binder.map.other_site")))
    if stations:
        entries.append(KeyEntry(lambda at: station_sign(press, at), words("binder.map.station")))
    told = [(layer, settable(layer.name, press, "note")) for layer in layers]
    return (*entries, *(KeyEntry(_layer_sample(press, layer), name) for layer, name in told))


@dataclass(frozen=True, slots=True)
class _Row:
    entry: KeyEntry
    lines: tuple[tuple[Span, ...], ...]
    height_mm: float


def _rows(press: Press, entries: Sequence[KeyEntry], width_mm: float) -> list[_Row]:
    style, fonts = press.looks.styles["note"], press.looks.fonts
    rows = []
    for entry in entries:
        lines = wrap_spans((Span(entry.text, style),), width_mm - _SIGN_ROOM_MM, fonts)
        rows.append(_Row(entry, lines, max(_ROW_MM, lines_height_mm(lines, fonts) + 0.4)))
    return rows


def _columns(press: Press, entries: Sequence[KeyEntry], column: Box) -> tuple[list[list[_Row]], float]:
    """Two columns of rows, and the width of one."""
    width_mm = (column.width_mm - _SCALE_MM) / 2
    rows = _rows(press, entries, width_mm)
    half = (len(rows) + 1) // 2
    return [rows[:half], rows[half:]], width_mm


def _notes(press: Press, notes: Sequence[str], width_mm: float) -> tuple[tuple[Span, ...], ...]:
    style, fonts = press.looks.styles["note"], press.looks.fonts
    return tuple(line for note in notes for line in wrap_spans((Span(note, style),), width_mm, fonts))


def _table_height_mm(columns: Sequence[Sequence[_Row]]) -> float:
    return max(_LEAST_HEIGHT_MM, *(sum(row.height_mm for row in rows) for rows in columns))


def key_height_mm(press: Press, entries: Sequence[KeyEntry], notes: Sequence[str]) -> float:
    """How high scale, key and notes are under a map."""
    columns, _ = _columns(press, entries, press.column)
    told_mm = lines_height_mm(_notes(press, notes, press.column.width_mm), press.looks.fonts)
    return _TOP_MM + _table_height_mm(columns) + _NOTE_GAP_MM + told_mm + 1.0


def _lay_row(press: Press, row: _Row, box: Box) -> list[Item]:
    items: list[Item] = [*row.entry.sample((box.left_mm + _SIGN_ROOM_MM / 2, box.top_mm + _ROW_MM / 2))]
    style, fonts = press.looks.styles["note"], press.looks.fonts
    heights = fonts.heights(style)
    top_mm = box.top_mm + (_ROW_MM + heights.cap_mm) / 2 - heights.ascent_mm
    room = replace(box, left_mm=box.left_mm + _SIGN_ROOM_MM, top_mm=top_mm)
    items += place_lines(row.lines, room, fonts, block=BLOCK)
    return items


def _lay_bar(press: Press, view: MapView, unit: str, *, left_mm: float, top_mm: float) -> list[Item]:
    """One scale bar with its length at the end."""
    mm_per_unit = view.mm_per_m * _METRES[unit]
    length = nice_length(_BAR_MOST_MM / mm_per_unit)
    steps = 4 if f"{length:e}"[0] == "2" else 5
    length_mm = length * mm_per_unit
    bar = {"x_mm": left_mm, "y_mm": top_mm, "step_mm": length_mm / steps}
    text = press.words(f"binder.map.{unit}", count=f"{length:g}")
    base_mm = top_mm + 0.6 + press.looks.fonts.heights(press.looks.styles["label"]).cap_mm / 2
    return [
        *scale_bar(**bar, steps=steps, block=BLOCK),
        *press.line(text, "label", x_mm=left_mm + length_mm + 1.5, y_mm=base_mm, block=BLOCK),
    ]


def _lay_scale(press: Press, view: MapView, box: Box) -> list[Item]:
    units = ["miles", "kilometres"]
    if press.county.units != UnitSystem.US.value:
        units.reverse()
    left_mm = box.left_mm + 8.0
    place = {"x_mm": box.left_mm + 2.4, "y_mm": box.top_mm + 4.5}
    items: list[Item] = [*north_arrow(**place, length_mm=8.0, north_deg=0.0, block=BLOCK)]
    north = {"x_mm": box.left_mm + 2.4, "y_mm": box.top_mm + 11.8}
    items += press.line(press.words("binder.map.north"), "strong", **north, block=BLOCK, align=Align.CENTRE)
    for number, unit in enumerate(units):
        items += _lay_bar(press, view, unit, left_mm=left_mm, top_mm=box.top_mm + 2.2 + 5.4 * number)
    return items


def lay_key(
    press: Press, view: MapView, entries: Sequence[KeyEntry], notes: Sequence[str], box: Box
) -> list[Item]:
    """Scale and north at the left, the key beside them, notes below."""
    room = box.below(_TOP_MM)
    items = _lay_scale(press, view, room)
    columns, width_mm = _columns(press, entries, box)
    for number, rows in enumerate(columns):
        top_mm = room.top_mm
        for row in rows:
            place = Box(
                left_mm=room.left_mm + _SCALE_MM + number * width_mm,
                top_mm=top_mm,
                width_mm=width_mm,
                height_mm=row.height_mm,
            )
            items += _lay_row(press, row, place)
            top_mm += row.height_mm
    told = _notes(press, notes, box.width_mm)
    items += place_lines(
        told, room.below(_table_height_mm(columns) + _NOTE_GAP_MM), press.looks.fonts, block=BLOCK
    )
    return items


def _angle(press: Press, line: GraticuleLine, minutes: float) -> str:
    longitude, latitude = (line.degrees, 0.0) if line.meridian else (0.0, line.degrees)
    decimals = 0 if minutes >= 1.0 else 1
    north, east = degrees_decimal_minutes((longitude, latitude), decimals=decimals)
    angle = east if line.meridian else north
    if minutes >= 60.0:
        return press.words("binder.map.angle_whole", degrees=angle.degrees, hemisphere=angle.hemisphere)
    told = f"{angle.minutes:0{3 + decimals if decimals else 2}.{decimals}f}"
    return press.words("binder.map.angle", degrees=angle.degrees, minutes=told, hemisphere=angle.hemisphere)


def _figure(press: Press, view: MapView, line: GraticuleLine, text: str) -> list[Item]:
    """The figure of a line outside the frame; none where it would reach past a corner."""
    if line.tick is None:
        return []
    style, frame = press.looks.styles["column"], view.frame
    half_mm = spans_width_mm((Span(text, style),), press.looks.fonts) / 2
    x_mm, y_mm = line.tick
    if line.meridian:
        if not frame.left_mm + half_mm < x_mm < frame.right_mm - half_mm:
            return []
        at = {"x_mm": x_mm, "y_mm": frame.top_mm - _FIGURE_OFF_MM}
        return [Text(**at, text=text, style=style, align=Align.CENTRE, block=BLOCK)]
    if not frame.top_mm + half_mm < y_mm < frame.bottom_mm - half_mm:
        return []
    at = {"x_mm": frame.left_mm - _FIGURE_OFF_MM, "y_mm": y_mm}
    return [Text(**at, text=text, style=style, align=Align.CENTRE, angle_deg=90.0, block=BLOCK)]


def lay_graticule(
    press: Press, view: MapView, lines: Sequence[GraticuleLine], minutes: tuple[float, float]
) -> tuple[list[Item], list[Item]]:
    """Lines under everything; the frame and the figures over it."""
    hair = press.looks.strokes["hairline"]
    under: list[Item] = [Polyline(points=line.points, stroke=hair, block=BLOCK) for line in lines]
    over: list[Item] = [Rect(box=view.frame, stroke=press.looks.strokes["rule"], block=BLOCK)]
    for line in lines:
        over += _figure(press, view, line, _angle(press, line, minutes[0 if line.meridian else 1]))
        if line.tick is not None:
            x_mm, y_mm = line.tick
            ends = (x_mm, y_mm - _TICK_MM) if line.meridian else (x_mm - _TICK_MM, y_mm)
            stroke = press.looks.strokes["dimension"]
            over.append(
                Line(x1_mm=x_mm, y1_mm=y_mm, x2_mm=ends[0], y2_mm=ends[1], stroke=stroke, block=BLOCK)
            )
    return under, over
