"""Samples of the lines and signs of a sheet, drawn with the sheet's own strokes and symbols."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import shapely

from atlas.paper import (
    Align,
    Box,
    Circle,
    Column,
    Item,
    LaidOut,
    Line,
    Polyline,
    Rect,
    Row,
    Symbol,
    arrow_head,
    symbol,
)
from atlas.paper.pieces import Piece, table_row
from atlas.paper.press import Press
from atlas.sheets.lines import lay_tag
from atlas.sheets.plan_grounds import hatching
from atlas.sheets.plan_rig import carriage_sign

__all__ = [
    "ANCHOR_SIGNS",
    "LINE_STROKES",
    "SIGNALS",
    "THING_SAMPLES",
    "Sample",
    "anchor_sample",
    "sample_row",
    "signal_sample",
    "stroke_sample",
]

Sample = Callable[[Box], list[Item]]
"""Draws a sample about the middle of a box."""

BLOCK = "how to read"
_SAMPLE_MM = 25.0
_STROKE_MM = 13.0
_SIGN_MM = 3.2
_SIGNAL_MM = (17.0, 4.0)
_FIELD_MM = (13.0, 3.6)

LINE_STROKES: tuple[tuple[str, str | None], ...] = (
    ("track_loaded", "track"),
    ("track_empty", None),
    ("ferry_near", "ferry-near"),
    ("ferry_far", "ferry-far"),
    ("up_down", "up-down"),
)
"""Strokes of the rig's lines, and the line whose tag stands on it."""

ANCHOR_SIGNS = (
    ("track", Symbol.TRIANGLE_FILLED),
    ("ferry", Symbol.SQUARE_FILLED),
    ("up_down", Symbol.DIAMOND_FILLED),
    ("on_scene", Symbol.SQUARE_OPEN),
    ("out", Symbol.CROSSED_CIRCLE),
)
"""What a sign of an anchor says, and the sign."""

SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")
_WHITE_ON = frozenset({"DANGER", "NOTICE"})


def sample_row(press: Press, sample: Sample, text: str) -> Piece:
    """A sample with what it means."""
    column = press.looks.styles["body"]
    columns = (Column(style=column, width_mm=_SAMPLE_MM), Column(style=column, wraps=True))
    words = table_row(press, columns, Row(cells=("", text)), block=BLOCK)

    def lay(box: Box) -> LaidOut:
        laid = words.lay(box)
        room = replace(box, width_mm=_SAMPLE_MM, height_mm=laid.height_mm)
        return replace(laid, items=(*laid.items, *sample(room)))

    return Piece(lay)


def _stroke_line(press: Press, stroke: str, box: Box) -> Line:
    y_mm = box.centre[1]
    left_mm = box.left_mm + _SAMPLE_MM - _STROKE_MM - 1.5
    return Line(
        x1_mm=left_mm,
        y1_mm=y_mm,
        x2_mm=left_mm + _STROKE_MM,
        y2_mm=y_mm,
        stroke=press.looks.strokes[stroke],
        block=BLOCK,
    )


def stroke_sample(press: Press, stroke: str, line: str | None = None) -> Sample:
    """A stroke, and before it the tag of its line."""

    def draw(box: Box) -> list[Item]:
        items: list[Item] = [_stroke_line(press, stroke, box)]
        if line is not None:
            tag = press.words(f"sheet.line_tag.{line}")
            items += lay_tag(press.looks, tag, x_mm=box.left_mm + 4.5, y_mm=box.centre[1], block=BLOCK)
        return items

    return draw


def anchor_sample(press: Press, sign: Symbol) -> Sample:
    """A sign as it stands on the plan."""

    def draw(box: Box) -> list[Item]:
        middle = {"x_mm": box.left_mm + _SAMPLE_MM / 2, "y_mm": box.centre[1]}
        return list(symbol(sign, **middle, size_mm=_SIGN_MM, colour=press.looks.colours["ink"], block=BLOCK))

    return draw


def _danger(press: Press) -> Sample:
    def draw(box: Box) -> list[Item]:
        middle = {"x_mm": box.left_mm + _SAMPLE_MM / 2, "y_mm": box.centre[1]}
        red = press.looks.colours["danger"]
        return list(symbol(Symbol.WARNING, **middle, size_mm=_SIGN_MM, colour=red, block=BLOCK))

    return draw


def _post(press: Press) -> Sample:
    def draw(box: Box) -> list[Item]:
        return [
            Circle(
                x_mm=box.left_mm + _SAMPLE_MM / 2,
                y_mm=box.centre[1],
                radius_mm=1.0,
                stroke=press.looks.strokes["bank"],
                fill=press.looks.colours["paper"],
                block=BLOCK,
            )
        ]

    return draw


def _carriage(press: Press) -> Sample:
    def draw(box: Box) -> list[Item]:
        x_mm, y_mm = box.left_mm + _SAMPLE_MM / 2, box.centre[1]
        return carriage_sign(press.looks, x_mm=x_mm, y_mm=y_mm, block=BLOCK)

    return draw


def _flow(press: Press) -> Sample:
    def draw(box: Box) -> list[Item]:
        line = _stroke_line(press, "flow", box)
        head = arrow_head(
            tip=(line.x2_mm, line.y2_mm),
            toward_deg=90.0,
            length_mm=3.2,
            width_mm=2.4,
            colour=press.looks.strokes["flow"].colour,
            block=BLOCK,
        )
        return [line, head]

    return draw


def _field(box: Box) -> shapely.Polygon:
    """A field about the middle of a sample."""
    middle_mm = box.left_mm + _SAMPLE_MM / 2
    across_mm, down_mm = (size / 2 for size in _FIELD_MM)
    y_mm = box.centre[1]
    return shapely.box(middle_mm - across_mm, y_mm - down_mm, middle_mm + across_mm, y_mm + down_mm)


def _no_go(press: Press) -> Sample:
    def draw(box: Box) -> list[Item]:
        looks = press.looks
        ring = tuple((float(x), float(y)) for x, y in _field(box).exterior.coords[:-1])
        tone, edge = looks.colours["no_go"], looks.strokes["no_go"]
        return [Polyline(points=ring, closed=True, fill=tone, stroke=edge, block=BLOCK)]

    return draw


def _out_of_reach(press: Press) -> Sample:
    def draw(box: Box) -> list[Item]:
        stroke = press.looks.strokes["out_of_reach"]
        return [
            Polyline(points=tuple(line.coords), stroke=stroke, block=BLOCK) for line in hatching(_field(box))
        ]

    return draw


def _of_stroke(stroke: str) -> Callable[[Press], Sample]:
    return lambda press: stroke_sample(press, stroke)


THING_SAMPLES: tuple[tuple[str, Callable[[Press], Sample]], ...] = (
    ("danger", _danger),
    ("carriage", _carriage),
    ("post", _post),
    ("work_area", _of_stroke("work_area")),
    ("out_of_reach", _out_of_reach),
    ("no_go", _no_go),
    ("flow", _flow),
    ("bank", _of_stroke("bank")),
    ("bank_guessed", _of_stroke("bank_guessed")),
    ("water_planning", _of_stroke("water_planning")),
    ("water_survey", _of_stroke("water_survey")),
)
"""Other things of plan and section."""


def signal_sample(press: Press, signal: str) -> Sample:
    """A signal word on its colour."""

    def draw(box: Box) -> list[Item]:
        looks = press.looks
        width_mm, height_mm = _SIGNAL_MM
        middle_mm = box.left_mm + _SAMPLE_MM / 2
        field = Box(
            left_mm=middle_mm - width_mm / 2,
            top_mm=box.centre[1] - height_mm / 2,
            width_mm=width_mm,
            height_mm=height_mm,
        )
        style = replace(
            looks.styles["signal"], colour=looks.colours["paper" if signal in _WHITE_ON else "ink"]
        )
        base_mm = box.centre[1] + looks.fonts.heights(style).cap_mm / 2
        return [
            Rect(box=field, fill=looks.colours[signal.lower()], block=BLOCK),
            *press.styled(signal, style, x_mm=middle_mm, y_mm=base_mm, block=BLOCK, align=Align.CENTRE),
        ]

    return draw
