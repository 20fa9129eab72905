"""Rules of print, held against the laid-out page and against the finished bytes.

Libraries draw off the page, print boxes for missing characters and leave fonts out, all without a
word. So nothing leaves before it went through here.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from io import BytesIO
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np
import pikepdf
import shapely

from atlas.faults import PageCheckFailed
from atlas.paper.boxes import Area, Circle, Line, Polyline, QrCode, Rect, Text
from atlas.paper.extent import edges_of, text_corners
from atlas.paper.fonts import MM_PER_PT

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from atlas.paper.boxes import Item, Page, Point
    from atlas.paper.fonts import FontBook

    Floats = NDArray[np.float64]
    Geometries = NDArray[np.object_]

__all__ = ["PrintRules", "check_boxes", "check_bytes", "check_page"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintRules:
    """What a page must keep.

    Attributes
    ----------
    least_size_pt : no text is smaller
    slack_mm : how far an item may reach over the printable area: half a hairline drawn on its edge
    overlap_mm : how far two texts' boxes may reach into each other; ink of neighbouring lines may
        touch boxes without touching ink
    """

    least_size_pt: float = 7.5
    slack_mm: float = 0.06
    overlap_mm: float = 0.05


def _named(item: Item) -> str:
    what = f" '{item.text[:40]}'" if isinstance(item, Text) else ""
    return f"block '{item.block}': {type(item).__name__.lower()}{what}"


def _placed(edges: Floats) -> NDArray[np.bool_]:
    """Which items have a place at all."""
    return np.asarray(np.isfinite(edges).all(axis=1))


def _placing_faults(items: Sequence[Item], edges: Floats, page: Page, rules: PrintRules) -> Iterator[str]:
    area = page.printable
    outside_mm = np.maximum(
        (np.array([area.left_mm, area.top_mm]) - edges[:, :2]).max(axis=1),
        (edges[:, 2:] - np.array([area.right_mm, area.bottom_mm])).max(axis=1),
    )
    placed = _placed(edges)
    for number in np.flatnonzero(~placed | (outside_mm > rules.slack_mm)).tolist():
        if not placed[number]:
            yield f"{_named(items[number])} has no place: a coordinate is not a number"
            continue
        left, top = edges[number, :2].tolist()
        yield (
            f"{_named(items[number])} reaches {outside_mm[number]:.2f} mm out of the printable area"
            f" at x {left:.1f}, y {top:.1f} mm"
        )


def _text_faults(texts: Sequence[Text], fonts: FontBook, rules: PrintRules) -> Iterator[str]:
    for text in texts:
        for character in fonts.missing_characters(text.text, text.style.face):
            yield f"{_named(text)} holds U+{ord(character):04X}, which the font cannot set"
        if text.style.size_pt < rules.least_size_pt:
            yield f"{_named(text)} is {text.style.size_pt:g} pt; the least size is {rules.least_size_pt:g} pt"


def _outlines(item: Item) -> Sequence[Sequence[Point]]:
    """The lines of ink on which no text may stand."""
    match item:
        case Line(clear_of_text=True):
            return (((item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm)),)
        case Polyline(clear_of_text=True):
            return ((*item.points, item.points[0]) if item.closed else item.points,)
        case Area(clear_of_text=True):
            return tuple((*ring, ring[0]) for ring in item.rings)
        case Rect(clear_of_text=True):
            (left, top), (right, bottom) = item.box.diagonal
            return (((left, top), (right, top), (right, bottom), (left, bottom), (left, top)),)
        case Circle(clear_of_text=True):
            ring = shapely.Point(item.x_mm, item.y_mm).buffer(item.radius_mm).exterior
            return (tuple(ring.coords),)
        case _:
            return ()


def _half_mm(item: Item) -> float:
    stroke = getattr(item, "stroke", None)
    return 0.0 if stroke is None else float(stroke.weight_mm) / 2


def _text_shapes(texts: Sequence[Text], edges: Floats, fonts: FontBook, rules: PrintRules) -> Geometries:
    """The ink of texts, smaller by what may reach into another's; an empty shape where nothing is left."""
    grown = np.array([1.0, 1.0, -1.0, -1.0]) * rules.overlap_mm / 2
    left, top, right, bottom = (edges + grown).T
    shapes: Geometries = shapely.box(left, top, right, bottom)
    shapes[(right <= left) | (bottom <= top)] = shapely.Polygon()
    turned = [number for number, text in enumerate(texts) if text.angle_deg]
    if turned:
        corners = [text_corners(texts[number], fonts) for number in turned]
        shapes[turned] = shapely.buffer(shapely.polygons(corners), -rules.overlap_mm / 2, join_style="mitre")
    return shapes


def _overlap_faults(items: Sequence[Item], texts: Sequence[Text], shapes: Geometries) -> Iterator[str]:
    """Texts upon texts, codes and lines that are to stay clear."""
    if not texts:
        return
    tree = shapely.STRtree(shapes)
    for first, second in zip(*tree.query(shapes, predicate="intersects"), strict=True):
        if first < second:
            yield f"{_named(texts[first])} stands upon {_named(texts[second])}"
    lines = [(item, line) for item in items for line in _outlines(item)]
    if lines:
        counts = [len(line) for _, line in lines]
        points = np.array(list(chain.from_iterable(line for _, line in lines)))
        drawn = shapely.linestrings(points, indices=np.repeat(np.arange(len(lines)), counts))
        half_mm = np.array([_half_mm(item) for item, _ in lines])
        for line, text in zip(*tree.query(drawn, predicate="dwithin", distance=half_mm), strict=True):
            yield f"{_named(texts[text])} stands upon {_named(lines[line][0])}"
    for item in items:
        if isinstance(item, QrCode):
            (left, top), (right, bottom) = item.box.diagonal
            for text in tree.query(shapely.box(left, top, right, bottom), predicate="intersects"):
                yield f"{_named(texts[text])} stands upon {_named(item)}"


def _destination_faults(page: Page) -> Iterator[str]:
    names = Counter(destination.name for destination in page.destinations)
    for name, count in names.items():
        if count > 1:
            yield f"destination '{name}' stands {count} times on the page"


def check_boxes(page: Page, fonts: FontBook, rules: PrintRules | None = None) -> tuple[str, ...]:
    """Everything a laid-out page breaks, in words; empty where nothing.

    Every character can be set; every item has a place and lies in the printable area; no text is too
    small, stands upon another text, upon a QR code, or upon a line marked to stay clear.
    """
    rules = rules or PrintRules()
    edges = edges_of(page.items, fonts)
    whole = _placed(edges).tolist()
    placed = [item for item, there in zip(page.items, whole, strict=True) if there]
    of_texts = [number for number, item in enumerate(page.items) if isinstance(item, Text) and whole[number]]
    texts = [item for item in placed if isinstance(item, Text)]
    return (
        *_placing_faults(page.items, edges, page, rules),
        *_text_faults(texts, fonts, rules),
        *_overlap_faults(placed, texts, _text_shapes(texts, edges[of_texts], fonts, rules)),
        *_destination_faults(page),
    )


def _font_faults(page: pikepdf.Page) -> Iterator[str]:
    for name, font in sorted(page.resources.get("/Font", pikepdf.Dictionary()).items()):
        base = str(font.get("/BaseFont", "without a name"))
        if "/FontFile2" not in font.get("/FontDescriptor", pikepdf.Dictionary()):
            yield f"font {name} {base} is not embedded"


def _size_faults(page: pikepdf.Page, laid_out: Page) -> Iterator[str]:
    left, bottom, right, top = (float(value) for value in page.mediabox)
    width_mm, height_mm = (right - left) * MM_PER_PT, (top - bottom) * MM_PER_PT
    if abs(width_mm - laid_out.width_mm) > 0.01 or abs(height_mm - laid_out.height_mm) > 0.01:
        yield (
            f"the page is {width_mm:.1f} x {height_mm:.1f} mm,"
            f" laid out for {laid_out.width_mm:.1f} x {laid_out.height_mm:.1f} mm"
        )


def _link_faults(page: pikepdf.Page, laid_out: Page) -> Iterator[str]:
    wanted = sorted(link.url for link in laid_out.links if link.url is not None)
    found = sorted(str(note.A.URI) for note in page.get("/Annots", pikepdf.Array()) if "/A" in note)
    if wanted != found:
        yield f"the page links to {found}, laid out were {wanted}"


def _told(problem: object) -> str:
    """A problem in pikepdf's words, without the address of the stream in memory."""
    return re.sub(r"stream <[^>]*>", "the PDF", str(problem))


def _damage(document: pikepdf.Pdf) -> Iterator[str]:
    """What had to be repaired on opening, and contents that do not unpack."""
    for page in document.pages:
        try:
            page.contents_coalesce()
            page.Contents.read_bytes()
        except (pikepdf.PdfError, AttributeError) as error:
            yield f"the contents cannot be read; {_told(error)}"
    yield from (_told(problem) for problem in document.get_warnings())


def check_bytes(pdf: bytes, page: Page) -> tuple[str, ...]:
    """Everything a finished PDF of one page breaks, in words; empty where nothing.

    It opens without repair, is one page of the right size, embeds every font (so there is no
    Helvetica, which is never embedded), and links where the layout links.
    """
    try:
        opened = pikepdf.open(BytesIO(pdf))
    except pikepdf.PdfError as error:
        return (f"the file cannot be opened: {_told(error)}",)
    with opened as document:
        faults = [f"the file is damaged: {problem}" for problem in _damage(document)]
        if len(document.pages) != 1:
            return (*faults, f"the file has {len(document.pages)} pages instead of one")
        drawn = document.pages[0]
        return (*faults, *_size_faults(drawn, page), *_font_faults(drawn), *_link_faults(drawn, page))


def check_page(pdf: bytes, page: Page, fonts: FontBook, rules: PrintRules | None = None) -> None:
    """Raise `PageCheckFailed` with every rule a page breaks, as laid out and as drawn."""
    faults = (*check_boxes(page, fonts, rules), *check_bytes(pdf, page))
    if faults:
        told = "\n".join(faults)
        raise PageCheckFailed(f"{page.title}: the page breaks {len(faults)} rules of print\n{told}")
