"""Fonts, boxes, measuring, drawing and the page check. Knows no river.

Layout makes a `Page` of items in millimetres; `draw` turns it into PDF; `check_page` looks at both.
"""

from atlas.paper.assemble import Entry, Leaf, assemble
from atlas.paper.boxes import (
    PAPER_SIZES_MM,
    Align,
    Area,
    Box,
    Circle,
    Destination,
    Face,
    Item,
    Line,
    Link,
    Page,
    Point,
    Polyline,
    QrCode,
    Rect,
    Stroke,
    Text,
    TextStyle,
    grey_page,
    printable_box,
)
from atlas.paper.check import PrintRules, check_boxes, check_bytes, check_page
from atlas.paper.colour import BLACK, WHITE, Colour, grey, to_grey
from atlas.paper.draw import draw
from atlas.paper.extent import bounds, text_corners
from atlas.paper.fonts import MM_PER_PT, FontBook, shipped_faces, shipped_fonts
from atlas.paper.labels import LabelWish, PlacedLabel, label_items, place_labels, text_wish
from atlas.paper.measure import fit_one_line, lay_text, lines_height_mm, place_lines, wrap
from atlas.paper.qr import qr_code
from atlas.paper.render import FoundText, png, text_with_positions
from atlas.paper.symbols import Symbol, arrow_head, north_arrow, scale_bar, symbol
from atlas.paper.table import HAIRLINE, Cell, Column, LaidOut, Row, Table, lay_table

__all__ = [
    "BLACK",
    "HAIRLINE",
    "MM_PER_PT",
    "PAPER_SIZES_MM",
    "WHITE",
    "Align",
    "Area",
    "Box",
    "Cell",
    "Circle",
    "Colour",
    "Column",
    "Destination",
    "Entry",
    "Face",
    "FontBook",
    "FoundText",
    "Item",
    "LabelWish",
    "LaidOut",
    "Leaf",
    "Line",
    "Link",
    "Page",
    "PlacedLabel",
    "Point",
    "Polyline",
    "PrintRules",
    "QrCode",
    "Rect",
    "Row",
    "Stroke",
    "Symbol",
    "Table",
    "Text",
    "TextStyle",
    "arrow_head",
    "assemble",
    "bounds",
    "check_boxes",
    "check_bytes",
    "check_page",
    "draw",
    "fit_one_line",
    "grey",
    "grey_page",
    "label_items",
    "lay_table",
    "lay_text",
    "lines_height_mm",
    "north_arrow",
    "place_labels",
    "place_lines",
    "png",
    "printable_box",
    "qr_code",
    "scale_bar",
    "shipped_faces",
    "shipped_fonts",
    "symbol",
    "text_corners",
    "text_wish",
    "text_with_positions",
    "to_grey",
    "wrap",
]
