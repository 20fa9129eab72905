"""Laid-out pages to PDF bytes. Draws what it is given where it is given; decides nothing.

Internal links and named destinations are left to `atlas.paper.assemble`, which knows all pages.
"""

from __future__ import annotations

import math
from io import BytesIO
from typing import TYPE_CHECKING, Any

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas

from atlas.paper.boxes import (
    Area,
    Circle,
    Destination,
    Face,
    Line,
    Link,
    Page,
    Polyline,
    QrCode,
    Rect,
    Text,
)
from atlas.paper.colour import BLACK, Colour
from atlas.paper.extent import text_start
from atlas.paper.fonts import MM_PER_PT, FontBook, Run

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from atlas.paper.boxes import Item, Point, Stroke

__all__ = ["draw"]

# Reportlab would write streams as text characters, a quarter larger; there is no argument for it.
rl_config.useA85 = 0


def _pt(length_mm: float) -> float:
    """Points to a thousandth: a third of a micrometre, the same on every machine, short in the file."""
    return round(length_mm / MM_PER_PT, 3)


class _Pen:
    """A reportlab canvas in millimetres with y downward."""

    def __init__(self, canvas: Any, height_mm: float, fonts: FontBook) -> None:  # noqa: ANN401 -- reportlab carries no types
        self.canvas = canvas
        self.height_mm = height_mm
        self.fonts = fonts

    def at(self, point: Point) -> tuple[float, float]:
        return _pt(point[0]), _pt(self.height_mm - point[1])

    def fill_with(self, colour: Colour) -> None:
        if colour.is_grey:
            self.canvas.setFillGray(colour.red)
        else:
            self.canvas.setFillColorRGB(colour.red, colour.green, colour.blue)

    def stroke_with(self, stroke: Stroke) -> None:
        colour = stroke.colour
        if colour.is_grey:
            self.canvas.setStrokeGray(colour.red)
        else:
            self.canvas.setStrokeColorRGB(colour.red, colour.green, colour.blue)
        self.canvas.setLineWidth(_pt(stroke.weight_mm))
        self.canvas.setDash([_pt(length) for length in stroke.dash_mm])

    def rings(self, rings: Iterable[Sequence[Point]], *, closed: bool) -> Any:  # noqa: ANN401 -- reportlab's path
        path = self.canvas.beginPath()
        for ring in rings:
            path.moveTo(*self.at(ring[0]))
            for point in ring[1:]:
                path.lineTo(*self.at(point))
            if closed:
                path.close()
        return path

    def paint(self, path: Any, stroke: Stroke | None, fill: Colour | None) -> None:  # noqa: ANN401 -- reportlab's path
        if fill is not None:
            self.fill_with(fill)
        if stroke is not None:
            self.stroke_with(stroke)
        self.canvas.drawPath(path, stroke=int(stroke is not None), fill=int(fill is not None), fillMode=0)


def _draw_text(pen: _Pen, text: Text) -> None:
    x, y = pen.at(text_start(text, pen.fonts))
    words = pen.canvas.beginText()
    if text.angle_deg:
        turn = math.radians(text.angle_deg)
        cosine, sine = round(math.cos(turn), 6), round(math.sin(turn), 6)
        words.setTextTransform(cosine, sine, -sine, cosine, x, y)
    else:
        words.setTextOrigin(x, y)
    pen.fill_with(text.style.colour)
    for run in pen.fonts.runs(text.text, text.style.face):
        words.setFont(run.font.name, text.style.size_pt)
        words.textOut(run.text)
    pen.canvas.drawText(words)


def _draw_line(pen: _Pen, line: Line) -> None:
    pen.stroke_with(line.stroke)
    pen.canvas.line(*pen.at((line.x1_mm, line.y1_mm)), *pen.at((line.x2_mm, line.y2_mm)))


def _draw_rect(pen: _Pen, rect: Rect) -> None:
    box = rect.box
    path = pen.canvas.beginPath()
    path.rect(*pen.at((box.left_mm, box.bottom_mm)), _pt(box.width_mm), _pt(box.height_mm))
    pen.paint(path, rect.stroke, rect.fill)


def _draw_circle(pen: _Pen, circle: Circle) -> None:
    path = pen.canvas.beginPath()
    path.circle(*pen.at((circle.x_mm, circle.y_mm)), _pt(circle.radius_mm))
    pen.paint(path, circle.stroke, circle.fill)


def _draw_qr_code(pen: _Pen, code: QrCode) -> None:
    side_mm = code.box.width_mm / code.modules
    path = pen.canvas.beginPath()
    for row, column, length in code.runs:
        corner = (code.box.left_mm + column * side_mm, code.box.top_mm + (row + 1) * side_mm)
        path.rect(*pen.at(corner), _pt(length * side_mm), _pt(side_mm))
    pen.paint(path, None, BLACK)


def _draw_link(pen: _Pen, link: Link) -> None:
    if link.url is None:
        return
    corners = (*pen.at((link.box.left_mm, link.box.bottom_mm)), *pen.at((link.box.right_mm, link.box.top_mm)))
    pen.canvas.linkURL(link.url, corners, relative=0, thickness=0)


def _draw_item(pen: _Pen, item: Item) -> None:
    match item:
        case Text():
            _draw_text(pen, item)
        case Line():
            _draw_line(pen, item)
        case Polyline():
            pen.paint(pen.rings((item.points,), closed=item.closed), item.stroke, item.fill)
        case Area():
            pen.paint(pen.rings(item.rings, closed=True), item.stroke, item.fill)
        case Rect():
            _draw_rect(pen, item)
        case Circle():
            _draw_circle(pen, item)
        case QrCode():
            _draw_qr_code(pen, item)
        case Link():
            _draw_link(pen, item)
        case Destination():
            pass


def _used_runs(pages: Sequence[Page], fonts: FontBook) -> Iterable[Run]:
    for page in pages:
        for item in page.items:
            if isinstance(item, Text):
                yield from fonts.runs(item.text, item.style.face)


def draw(pages: Sequence[Page], fonts: FontBook) -> bytes:
    """PDF of laid-out pages; title and language are the first page's.

    Same pages, same bytes. Every font is embedded. Nothing is checked here: see `atlas.paper.check`.
    """
    first = pages[0]
    initial = fonts.face_file(Face.REGULAR)
    target = BytesIO()
    canvas = Canvas(
        target,
        pagesize=(_pt(first.width_mm), _pt(first.height_mm)),
        pageCompression=1,
        invariant=1,
        initialFontName=initial.name,
        lang=first.lang,
    )
    canvas.setTitle(first.title)
    canvas.setViewerPreference("DisplayDocTitle", "true")
    for told in (canvas.setAuthor, canvas.setSubject, canvas.setCreator):
        told("")  # reportlab would write "anonymous"
    used = {run.font.name: run.font for run in _used_runs(pages, fonts)}
    for font in (initial, *used.values()):
        font.prepare(canvas._doc)  # noqa: SLF001 -- reportlab keeps the subsets by document
    for page in pages:
        canvas.setPageSize((_pt(page.width_mm), _pt(page.height_mm)))
        canvas.setLineJoin(1)
        pen = _Pen(canvas, page.height_mm, fonts)
        for item in page.items:
            _draw_item(pen, item)
        canvas.showPage()
    canvas.save()
    return target.getvalue()
