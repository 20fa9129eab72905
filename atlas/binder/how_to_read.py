"""How to read a sheet: a small map of its blocks, lines and signs as they are drawn, signal words."""

from __future__ import annotations

from atlas.binder.samples import (
    ANCHOR_SIGNS,
    LINE_STROKES,
    SIGNALS,
    THING_SAMPLES,
    anchor_sample,
    sample_row,
    signal_sample,
    stroke_sample,
)
from atlas.paper import Align, Box, Cell, Column, Item, LaidOut, Rect, Row
from atlas.paper.pieces import Piece, beside, flow, gap, heading, paragraph, table_row
from atlas.paper.press import BoundPage, Press

__all__ = ["BLOCK_ORDER", "how_to_read"]

BLOCK = "how to read"
BLOCK_ORDER = (
    "head", "stop", "access", "plan", "section", "lines", "track", "rigs", "levels", "anchors", "posts",
    "gear", "contingencies", "cautions", "foot",
)  # fmt: skip
"""Blocks in the order in which a crew needs them."""
_MAP_MM = 76.0
_GAP_MM = 6.0


def _map_items(press: Press, box: Box) -> tuple[list[Item], float]:
    """The template's own blocks, small, each with its number."""
    template = press.template
    scale = box.width_mm / template.page.width_mm
    height_mm = template.page.height_mm * scale
    frame = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=height_mm)
    items: list[Item] = [Rect(box=frame, stroke=press.looks.strokes["frame"], block=BLOCK)]
    cap_mm = press.looks.fonts.heights(press.looks.styles["strong"]).cap_mm
    for number, name in enumerate(BLOCK_ORDER, start=1):
        block = getattr(template.block, name)
        small = Box(
            left_mm=box.left_mm + scale * (template.content_left_mm + block.left_mm),
            top_mm=box.top_mm + scale * (template.page.edge_mm + block.top_mm),
            width_mm=scale * block.width_mm,
            height_mm=scale * block.height_mm,
        )
        items.append(Rect(box=small, stroke=press.looks.strokes["dimension"], block=BLOCK))
        x_mm, y_mm = small.centre
        items += press.line(
            str(number), "strong", x_mm=x_mm, y_mm=y_mm + cap_mm / 2, block=BLOCK, align=Align.CENTRE
        )
    return items, height_mm


def _map(press: Press) -> Piece:
    def lay(box: Box) -> LaidOut:
        items, height_mm = _map_items(press, box)
        return LaidOut(items=tuple(items), height_mm=height_mm, dropped=0)

    return Piece(lay)


def _block_rows(press: Press) -> list[Piece]:
    styles = press.looks.styles
    columns = (Column(style=styles["strong"], width_mm=6.0), Column(style=styles["body"], wraps=True))
    return [
        table_row(
            press,
            columns,
            Row(cells=(Cell(text=str(number)), press.words(f"binder.block.{name}"))),
            block=BLOCK,
        )
        for number, name in enumerate(BLOCK_ORDER, start=1)
    ]


def _lines(press: Press) -> list[Piece]:
    words = press.words
    rows = [
        sample_row(press, stroke_sample(press, stroke, tag), words(f"binder.line.{stroke}"))
        for stroke, tag in LINE_STROKES
    ]
    return [heading(press, words("binder.read.lines"), block=BLOCK), *rows]


def _signs(press: Press) -> list[Piece]:
    words = press.words
    rows = [
        sample_row(press, anchor_sample(press, sign), words(f"binder.anchor.{name}"))
        for name, sign in ANCHOR_SIGNS
    ]
    rows += [
        sample_row(press, sample(press), words(f"binder.thing.{name}")) for name, sample in THING_SAMPLES
    ]
    return [heading(press, words("binder.read.signs"), block=BLOCK), *rows]


def _signals(press: Press) -> list[Piece]:
    words = press.words
    rows = [
        sample_row(press, signal_sample(press, signal), words(f"binder.signal.{signal}"))
        for signal in SIGNALS
    ]
    return [heading(press, words("binder.read.signals"), block=BLOCK), *rows]


def how_to_read(press: Press) -> tuple[BoundPage, ...]:
    """The pages that explain a sheet."""
    words = press.words
    pieces = [
        paragraph(press, words("binder.read.note"), "meta", block=BLOCK),
        gap(4.0),
        beside([_map(press)], _block_rows(press), left_mm=_MAP_MM, gap_mm=_GAP_MM),
        gap(5.0),
        beside([*_lines(press), gap(6.0), *_signals(press)], _signs(press), left_mm=None, gap_mm=_GAP_MM),
    ]
    return flow(
        press,
        pieces,
        title=words("binder.read.title"),
        label=words("binder.label.read"),
        destination="how to read",
        block=BLOCK,
    )
