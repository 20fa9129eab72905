"""A laid-out page: items at places in millimetres, origin top left, y downward.

Layout makes these, drawing only draws them. Nothing here measures, reads or prints.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from types import MappingProxyType

from atlas.paper.colour import BLACK, Colour, to_grey

__all__ = [
    "PAPER_SIZES_MM",
    "Align",
    "Area",
    "Box",
    "Circle",
    "Destination",
    "Face",
    "Item",
    "Line",
    "Link",
    "Page",
    "Point",
    "Polyline",
    "QrCode",
    "Rect",
    "Stroke",
    "Text",
    "TextStyle",
    "grey_page",
    "printable_box",
]

Point = tuple[float, float]
"""x and y on the page [mm]."""

PAPER_SIZES_MM: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
)
"""Portrait width and height [mm]: ANSI/ASME Y14.1 size A, and ISO 216."""

_SHARES = {"left": 0.0, "centre": 0.5, "right": 1.0}
_LINK_SCHEMES = ("https://", "http://", "geo:", "tel:", "mailto:")


class Face(StrEnum):
    """The cuts of the one typeface family."""

    REGULAR = "regular"
    MEDIUM = "medium"
    SEMIBOLD = "semibold"
    BOLD = "bold"
    ITALIC = "italic"


class Align(StrEnum):
    """Which part of a text stands at its x."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"

    @property
    def share(self) -> float:
        """How much of the text's width stands before its x."""
        return _SHARES[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An upright rectangle [mm]."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    @property
    def right_mm(self) -> float:
        """Place of the right edge."""
        return self.left_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        """Place of the lower edge."""
        return self.top_mm + self.height_mm

    @property
    def centre(self) -> Point:
        """The middle."""
        return (self.left_mm + self.width_mm / 2, self.top_mm + self.height_mm / 2)

    @property
    def diagonal(self) -> tuple[Point, Point]:
        """Upper left and lower right corner."""
        return (self.left_mm, self.top_mm), (self.right_mm, self.bottom_mm)

    def inset(self, by_mm: float) -> Box:
        """The same box smaller by so much on every side (larger where negative)."""
        return Box(
            left_mm=self.left_mm + by_mm,
            top_mm=self.top_mm + by_mm,
            width_mm=self.width_mm - 2 * by_mm,
            height_mm=self.height_mm - 2 * by_mm,
        )

    def below(self, used_mm: float) -> Box:
        """What is left of the box under the first so many millimetres of its height."""
        return replace(self, top_mm=self.top_mm + used_mm, height_mm=self.height_mm - used_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class TextStyle:
    """How a text looks: cut, size [pt], colour, and the line step as a multiple of the size."""

    face: Face
    size_pt: float
    colour: Colour = BLACK
    leading: float = 1.2
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Hash once: styles are the keys of every measure. Of numbers alone, so alike in all processes."""
        object.__setattr__(self, "_hash", hash((self.size_pt, self.leading, len(self.face))))

    def __hash__(self) -> int:
        """Of size, leading and cut."""
        return self._hash


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """How a line looks: weight [mm], colour, and dash as lengths on, off, on ... [mm]."""

    weight_mm: float
    colour: Colour = BLACK
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text; y is its baseline.

    Attributes
    ----------
    angle_deg : turned about (x_mm, y_mm), counter-clockwise as the reader sees it
    block : the part of the page it belongs to, which errors name
    """

    x_mm: float
    y_mm: float
    text: str
    style: TextStyle
    align: Align = Align.LEFT
    angle_deg: float = 0.0
    block: str = ""

    def __post_init__(self) -> None:
        """Compose letters and their accents, so that one text has one spelling."""
        if not unicodedata.is_normalized("NFC", self.text):
            object.__setattr__(self, "text", unicodedata.normalize("NFC", self.text))


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight line. `clear_of_text`: the page check refuses any text upon it."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    stroke: Stroke
    block: str = ""
    clear_of_text: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Polyline:
    """A line through points; closed and filled where asked."""

    points: tuple[Point, ...]
    stroke: Stroke | None = None
    fill: Colour | None = None
    closed: bool = False
    block: str = ""
    clear_of_text: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """One region bounded by several closed rings; where rings overlap twice it is empty (even-odd)."""

    rings: tuple[tuple[Point, ...], ...]
    stroke: Stroke | None = None
    fill: Colour | None = None
    block: str = ""
    clear_of_text: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rect:
    """An upright rectangle; the stroke is centred on its edge."""

    box: Box
    stroke: Stroke | None = None
    fill: Colour | None = None
    block: str = ""
    clear_of_text: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A circle about a point."""

    x_mm: float
    y_mm: float
    radius_mm: float
    stroke: Stroke | None = None
    fill: Colour | None = None
    block: str = ""
    clear_of_text: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class QrCode:
    """A QR code as black runs on white; made by `atlas.paper.qr.qr_code`.

    Attributes
    ----------
    box : the whole square with the white rim a reader needs
    modules : squares along one side, rim included
    runs : (row, first column, length) of each black run, in modules from the box's corner
    """

    box: Box
    payload: str
    modules: int
    runs: tuple[tuple[int, int, int], ...]
    block: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A place that leads elsewhere: to a `url`, or to a named `destination` of the binder."""

    box: Box
    url: str | None = None
    destination: str | None = None
    block: str = ""

    def __post_init__(self) -> None:
        """Refuse two targets, none, and addresses that a reader would run rather than open."""
        if (self.url is None) == (self.destination is None):
            raise ValueError("a link leads to a url or to a destination, to exactly one of them")
        if self.url is not None and not self.url.lower().startswith(_LINK_SCHEMES):
            raise ValueError(f"a link's url begins with {', '.join(_LINK_SCHEMES)}; got {self.url[:40]!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Destination:
    """A named place that links and the outline of the binder lead to."""

    name: str
    x_mm: float
    y_mm: float
    block: str = ""


Item = Text | Line | Polyline | Area | Rect | Circle | QrCode | Link | Destination


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One laid-out page.

    Attributes
    ----------
    printable : nothing may stand outside it
    items : in the order in which they are drawn
    title, lang : of the document; lang is a BCP 47 tag such as ``en-US``
    """

    width_mm: float
    height_mm: float
    printable: Box
    items: tuple[Item, ...]
    title: str
    lang: str

    @property
    def links(self) -> tuple[Link, ...]:
        """All links of the page."""
        return tuple(item for item in self.items if isinstance(item, Link))

    @property
    def destinations(self) -> tuple[Destination, ...]:
        """All named places of the page."""
        return tuple(item for item in self.items if isinstance(item, Destination))


def printable_box(
    *, width_mm: float, height_mm: float, edge_mm: float, punch_mm: float, punch_right: bool = False
) -> Box:
    """Printable rectangle of a page with a punch margin on one long edge and one margin elsewhere."""
    return Box(
        left_mm=edge_mm if punch_right else punch_mm,
        top_mm=edge_mm,
        width_mm=width_mm - edge_mm - punch_mm,
        height_mm=height_mm - 2 * edge_mm,
    )


def _recolour_stroke(stroke: Stroke | None, tone: Callable[[Colour], Colour]) -> Stroke | None:
    return None if stroke is None else replace(stroke, colour=tone(stroke.colour))


def _recolour(item: Item, tone: Callable[[Colour], Colour]) -> Item:
    match item:
        case Text():
            return replace(item, style=replace(item.style, colour=tone(item.style.colour)))
        case Line():
            return replace(item, stroke=replace(item.stroke, colour=tone(item.stroke.colour)))
        case Polyline() | Area() | Rect() | Circle():
            fill = None if item.fill is None else tone(item.fill)
            return replace(item, stroke=_recolour_stroke(item.stroke, tone), fill=fill)
        case QrCode() | Link() | Destination():
            return item


def grey_page(page: Page) -> Page:
    """The page for a black-and-white printer: every colour as the grey of its luminance."""
    return replace(page, items=tuple(_recolour(item, to_grey) for item in page.items))
