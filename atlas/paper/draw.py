"""Laid-out pages to PDF bytes. Draws what it is given where it is given; decides nothing.

The operators are ISO 32000-1's. Internal links and named destinations are left to
`atlas.paper.assemble`, which knows all pages.
"""

from __future__ import annotations

import math
import zlib
from itertools import pairwise
from typing import TYPE_CHECKING
from urllib.parse import quote

from atlas.paper.boxes import (
    Area,
    Circle,
    Destination,
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
from atlas.paper.fonts import MM_PER_PT, FontBook
from atlas.paper.lettering import Lettering
from atlas.paper.pdffile import Sheet, pdf_file

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from atlas.paper.boxes import Item, Point, Stroke

__all__ = ["draw"]

_PT = 1 / MM_PER_PT
_ARC = 4 / 3 * (math.sqrt(2) - 1)
"""Reach of the handles of a quarter circle as a Bezier curve, in radii."""
_URL_MARKS = ":/?#[]@!$&'()*+,;=%~-._"
"""What an address may hold as it is (RFC 3986, 2.2 and 2.3)."""


def _number(value: float) -> str:
    """Hundredths of a point: 4 micrometres, the same on every machine, short in the file."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _paint(colour: Colour, *, stroke: bool) -> str:
    if colour.is_grey:
        return f"{colour.red:.3g} {'G' if stroke else 'g'}"
    shares = " ".join(f"{share:.4g}" for share in (colour.red, colour.green, colour.blue))
    return f"{shares} {'RG' if stroke else 'rg'}"


class _Pen:
    """Operators of a page, in points with y upward; says again only what has changed."""

    def __init__(self, page: Page, fonts: FontBook, lettering: Lettering) -> None:
        self.height_mm = page.height_mm
        self.fonts = fonts
        self.lettering = lettering
        self.out: list[str] = ["1 j"]
        self._fill: Colour | None = None
        self._stroke: Stroke | None = None

    def at(self, point: Point) -> str:
        return f"{point[0] * _PT:.2f} {(self.height_mm - point[1]) * _PT:.2f}"

    def fill_with(self, colour: Colour) -> None:
        if colour != self._fill:
            self._fill = colour
            self.out.append(_paint(colour, stroke=False))

    def stroke_with(self, stroke: Stroke) -> None:
        before = self._stroke
        if stroke == before:
            return
        self._stroke = stroke
        if before is None or before.colour != stroke.colour:
            self.out.append(_paint(stroke.colour, stroke=True))
        if before is None or before.weight_mm != stroke.weight_mm:
            self.out.append(f"{_number(stroke.weight_mm * _PT)} w")
        if before is None or before.dash_mm != stroke.dash_mm:
            lengths = " ".join(_number(length * _PT) for length in stroke.dash_mm)
            self.out.append(f"[{lengths}] 0 d")

    def path(self, points: Sequence[Point], *, closed: bool) -> None:
        first, *others = points
        self.out.append(f"{self.at(first)} m")
        self.out += [f"{self.at(point)} l" for point in others]
        if closed:
            self.out.append("h")

    def prepare(self, stroke: Stroke | None, fill: Colour | None) -> str:
        """Set both, before a path begins; gives the operator that ends the path."""
        if fill is not None:
            self.fill_with(fill)
        if stroke is None:
            return "f*" if fill is not None else "n"
        self.stroke_with(stroke)
        return "B*" if fill is not None else "S"


def _draw_text(pen: _Pen, text: Text) -> None:
    pen.fill_with(text.style.colour)
    start = pen.at(text_start(text, pen.fonts))
    pen.out.append("BT")
    if text.angle_deg:
        turn = math.radians(text.angle_deg)
        cosine, sine = math.cos(turn), math.sin(turn)
        pen.out.append(f"{cosine:.6f} {sine:.6f} {-sine:.6f} {cosine:.6f} {start} Tm")
    else:
        pen.out.append(f"1 0 0 1 {start} Tm")
    # Named in every text: programs that read a page aloud take a change of font for the end of a word.
    size = _number(text.style.size_pt)
    for name, codes in pen.lettering.pieces(text.text, text.style.face):
        pen.out.append(f"/{name} {size} Tf ({codes}) Tj")
    pen.out.append("ET")


def _draw_line(pen: _Pen, line: Line) -> None:
    pen.stroke_with(line.stroke)
    pen.out.append(f"{pen.at((line.x1_mm, line.y1_mm))} m {pen.at((line.x2_mm, line.y2_mm))} l S")


def _draw_rings(pen: _Pen, rings: Iterable[Sequence[Point]], item: Polyline | Area, *, closed: bool) -> None:
    end = pen.prepare(item.stroke, item.fill)
    for ring in rings:
        pen.path(ring, closed=closed)
    pen.out.append(end)


def _draw_rect(pen: _Pen, rect: Rect) -> None:
    end = pen.prepare(rect.stroke, rect.fill)
    box = rect.box
    size = f"{_number(box.width_mm * _PT)} {_number(box.height_mm * _PT)}"
    pen.out.append(f"{pen.at((box.left_mm, box.bottom_mm))} {size} re {end}")


def _draw_circle(pen: _Pen, circle: Circle) -> None:
    """Four quarter curves, from the right edge round."""
    end = pen.prepare(circle.stroke, circle.fill)
    x_mm, y_mm, out_mm = circle.x_mm, circle.y_mm, circle.radius_mm
    turns = ((1, 0), (0, 1), (-1, 0), (0, -1), (1, 0))

    def at(across: float, down: float) -> str:
        return pen.at((x_mm + across * out_mm, y_mm + down * out_mm))

    pen.out.append(f"{at(1, 0)} m")
    for (x0, y0), (x1, y1) in pairwise(turns):
        handles = f"{at(x0 + _ARC * x1, y0 + _ARC * y1)} {at(x1 + _ARC * x0, y1 + _ARC * y0)}"
        pen.out.append(f"{handles} {at(x1, y1)} c")
    pen.out.append(f"h {end}")


def _draw_qr_code(pen: _Pen, code: QrCode) -> None:
    """Runs in whole modules, in a frame of the code's own."""
    pen.fill_with(BLACK)
    side = code.box.width_mm * _PT / code.modules
    corner = pen.at((code.box.left_mm, code.box.top_mm))
    pen.out.append(f"q {side:.5f} 0 0 {side:.5f} {corner} cm")
    pen.out += [f"{column} {-row - 1} {length} 1 re" for row, column, length in code.runs]
    pen.out.append("f* Q")


def _draw_item(pen: _Pen, item: Item) -> None:
    match item:
        case Text():
            _draw_text(pen, item)
        case Line():
            _draw_line(pen, item)
        case Polyline():
            _draw_rings(pen, (item.points,), item, closed=item.closed)
        case Area():
            _draw_rings(pen, item.rings, item, closed=True)
        case Rect():
            _draw_rect(pen, item)
        case Circle():
            _draw_circle(pen, item)
        case QrCode():
            _draw_qr_code(pen, item)
        case Link() | Destination():
            pass


def _links(page: Page) -> tuple[tuple[tuple[float, float, float, float], str], ...]:
    """Places that lead to addresses; what an address may not hold is written as RFC 3986 says."""
    return tuple(
        (
            (
                link.box.left_mm * _PT,
                (page.height_mm - link.box.bottom_mm) * _PT,
                link.box.right_mm * _PT,
                (page.height_mm - link.box.top_mm) * _PT,
            ),
            quote(link.url, safe=_URL_MARKS),
        )
        for link in page.links
        if link.url is not None
    )


def _sheet(page: Page, fonts: FontBook, lettering: Lettering) -> Sheet:
    pen = _Pen(page, fonts, lettering)
    for item in page.items:
        _draw_item(pen, item)
    return Sheet(
        width_pt=page.width_mm * _PT,
        height_pt=page.height_mm * _PT,
        contents=zlib.compress("\n".join(pen.out).encode("latin-1")),
        links=_links(page),
    )


def draw(pages: Sequence[Page], fonts: FontBook) -> bytes:
    """PDF of laid-out pages; title and language are the first page's.

    Same pages, same bytes. Every font is embedded. Nothing is checked here: see `atlas.paper.check`.
    """
    texts = [(item.text, item.style.face) for page in pages for item in page.items if isinstance(item, Text)]
    lettering = Lettering(texts, fonts)
    return pdf_file(
        [_sheet(page, fonts, lettering) for page in pages],
        {font.name: font.file.embedded(font.codes) for font in lettering.fonts},
        title=pages[0].title,
        lang=pages[0].lang,
    )
