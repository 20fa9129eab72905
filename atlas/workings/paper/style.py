"""How the derivation looks: columns, styles and strokes, from the page template's."""

from __future__ import annotations

from dataclasses import dataclass, replace

from atlas.paper import Box, Face, FontBook, Stroke, TextStyle
from atlas.paper.looks import Looks, looks_of
from atlas.settings import Words
from atlas.settings.page import PageTemplate
from atlas.workings.paper.typeset import Typesetter

__all__ = ["BLOCK", "Style", "style_of"]

BLOCK = "derivation"
_HEAD_MM, _FOOT_MM = 10.0, 7.0
_NUMBER_MM, _TITLE_MM, _SOURCE_MM, _GAP_MM = 8.5, 45.0, 41.0, 2.5
_FORMULA_PT, _INDEX_PT = 9.4, 7.5


@dataclass(frozen=True, slots=True)
class Style:
    """Everything a piece of the derivation needs to lay itself out."""

    words: Words
    template: PageTemplate
    looks: Looks
    types: Typesetter

    @property
    def fonts(self) -> FontBook:
        """The typeface."""
        return self.looks.fonts

    @property
    def hairline(self) -> Stroke:
        """Rules between rows."""
        return self.looks.strokes["hairline"]

    @property
    def bar(self) -> Stroke:
        """Fraction bars and root signs."""
        return Stroke(weight_mm=0.16)

    def look(self, name: str) -> TextStyle:
        """A style of the template."""
        return self.looks.styles[name]

    @property
    def column(self) -> Box:
        """The content column of a page, between head and foot."""
        template = self.template
        page, tab = template.page, template.tab
        # no thumb tab here: its room is the column's, as far as ink may lie
        room_mm = tab.width_mm + tab.beside_mm - (page.edge_mm - page.nearest_mm)
        left_mm = template.content_left_mm - (0.0 if page.punch_edge == "left" else room_mm)
        return Box(
            left_mm=left_mm,
            top_mm=page.edge_mm + _HEAD_MM,
            width_mm=template.content_width_mm + room_mm,
            height_mm=template.content_height_mm - _HEAD_MM - _FOOT_MM,
        )

    def title_box(self, box: Box) -> Box:
        """Where an entry's title stands."""
        return replace(box, left_mm=box.left_mm + _NUMBER_MM, width_mm=_TITLE_MM)

    def formula_box(self, box: Box) -> Box:
        """Where an entry's formula stands."""
        left_mm = box.left_mm + _NUMBER_MM + _TITLE_MM + _GAP_MM
        return replace(box, left_mm=left_mm, width_mm=box.right_mm - _SOURCE_MM - _GAP_MM - left_mm)

    def source_box(self, box: Box) -> Box:
        """Where an entry's source stands."""
        return replace(box, left_mm=box.right_mm - _SOURCE_MM, width_mm=_SOURCE_MM)

    def main_box(self, box: Box) -> Box:
        """Everything right of the numbers."""
        return replace(box, left_mm=box.left_mm + _NUMBER_MM, width_mm=box.width_mm - _NUMBER_MM)


def style_of(template: PageTemplate, words: Words) -> Style:
    """The look of a template's derivations."""
    looks = looks_of(template)
    body = looks.styles["body"]
    least_pt = max(_INDEX_PT, template.least.text_pt)
    plain = replace(body, size_pt=max(_FORMULA_PT, least_pt), face=Face.REGULAR)
    types = Typesetter(
        fonts=looks.fonts,
        letter=replace(plain, face=Face.ITALIC),
        plain=plain,
        index=replace(plain, size_pt=least_pt),
        strong=replace(plain, face=Face.BOLD),
        muted=replace(plain, size_pt=least_pt + 0.4, colour=looks.colours["muted"]),
    )
    return Style(words, template, looks, types)
