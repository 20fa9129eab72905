"""Rules of print, held against the laid-out page and against the finished bytes.

Libraries draw off the page, print boxes for missing characters and leave fonts out, all without a
word. So nothing leaves before it went through here.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np
import pikepdf
import shapely

from atlas.faults import PageCheckFailed
from atlas.paper.boxes import Area, Circle, Line, Polyline, QrCode, Rect, Text
from atlas.paper.extent import bounds, text_corners
from atlas.paper.fonts import MM_PER_PT

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from atlas.paper.boxes import Box, Item, Page
    from atlas.paper.fonts import FontBook

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


def _place(box: Box) -> str:
    return f"at x {box.left_mm:.1f}, y {box.top_mm:.1f} mm"


def _outside_mm(box: Box, page: Box) -> float:
    return max(
        page.left_mm - box.left_mm,
        page.top_mm - box.top_mm,
        box.right_mm - page.right_mm,
        box.bottom_mm - page.bottom_mm,
    )


def _is_finite(box: Box) -> bool:
    return all(map(math.isfinite, (box.left_mm, box.top_mm, box.right_mm, box.bottom_mm)))


def _placing_faults(page: Page, boxes: Sequence[Box], rules: PrintRules) -> Iterator[str]:
    for item, box in zip(page.items, boxes, strict=True):
        if not _is_finite(box):
            yield f"{_named(item)} has no place: a coordinate is not a number"
        elif (outside_mm := _outside_mm(box, page.printable)) > rules.slack_mm:
            yield f"{_named(item)} reaches {outside_mm:.2f} mm out of the printable area {_place(box)}"


def _text_faults(texts: Sequence[Text], fonts: FontBook, rules: PrintRules) -> Iterator[str]:
    for text in texts:
        for character in fonts.missing_characters(text.text, text.style.face):
            yield f"{_named(text)} holds U+{ord(character):04X}, which the font cannot set"
        if text.style.size_pt < rules.least_size_pt:
            yield f"{_named(text)} is {text.style.size_pt:g} pt; the least size is {rules.least_size_pt:g} pt"


def _solid(item: Item) -> shapely.Geometry | None:
    """The ink of a line on which no text may stand."""
    if not isinstance(item, Line | Polyline | Area | Rect | Circle) or not item.clear_of_text:
        return None
    half_mm = item.stroke.weight_mm / 2 if item.stroke else 0.0
    match item:
        case Line():
            line = shapely.LineString([(item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm)])
        case Polyline():
            line = shapely.LineString([*item.points, item.points[0]] if item.closed else item.points)
        case Area():
            line = shapely.MultiLineString([[*ring, ring[0]] for ring in item.rings])
        case Rect():
            box = item.box
            line = shapely.box(box.left_mm, box.top_mm, box.right_mm, box.bottom_mm).exterior
        case Circle():
            line = shapely.Point(item.x_mm, item.y_mm).buffer(item.radius_mm).exterior
    return line.buffer(half_mm) if half_mm else line


def _overlap_faults(
    items: Sequence[Item], texts: Sequence[Text], fonts: FontBook, rules: PrintRules
) -> Iterator[str]:
    """Texts upon texts, codes and lines that are to stay clear."""
    if not texts:
        return
    corners = np.array([text_corners(text, fonts) for text in texts])
    shrunk = shapely.buffer(shapely.polygons(corners), -rules.overlap_mm / 2, join_style="mitre")
    tree = shapely.STRtree(shrunk)
    for first, second in zip(*tree.query(shrunk, predicate="intersects"), strict=True):
        if first < second:
            yield f"{_named(texts[first])} stands upon {_named(texts[second])}"
    others: list[tuple[Item, shapely.Geometry]] = [
        (item, solid) for item in items if (solid := _solid(item)) is not None
    ]
    others += [
        (item, shapely.box(item.box.left_mm, item.box.top_mm, item.box.right_mm, item.box.bottom_mm))
        for item in items
        if isinstance(item, QrCode)
    ]
    hits = tree.query([geometry for _, geometry in others], predicate="intersects") if others else ((), ())
    for other, text in zip(*hits, strict=True):
        yield f"{_named(texts[text])} stands upon {_named(others[other][0])}"


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
    boxes = [bounds(item, fonts) for item in page.items]
    placed = [item for item, box in zip(page.items, boxes, strict=True) if _is_finite(box)]
    texts = [item for item in placed if isinstance(item, Text)]
    return (
        *_placing_faults(page, boxes, rules),
        *_text_faults(texts, fonts, rules),
        *_overlap_faults(placed, texts, fonts, rules),
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
