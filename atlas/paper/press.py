"""What the pages around the sheets are made with: the sheet template's looks, the wording, the county."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from atlas.paper import (
    Align,
    Box,
    Destination,
    Item,
    Line,
    Page,
    PrintRules,
    Rect,
    Span,
    Text,
    TextStyle,
    check_page,
    draw,
    lay_text,
    place_line,
    spans_width_mm,
)
from atlas.paper.looks import Looks, printable
from atlas.records import County
from atlas.settings import Words
from atlas.settings.page import PageTemplate
from atlas.units import Figure, UnitSystem, printed

__all__ = ["BoundPage", "Press", "settable"]

_HEAD_MM = 13.0
_FOOT_MM = 8.0
_BADGE_MM = 4.6


def settable(text: str, press: Press, style: str) -> str:
    """A text from a file with what the fonts cannot set spelt out, so that it can always be printed."""
    face = press.looks.styles[style].face
    missing = frozenset(press.looks.fonts.missing_characters(text, face))
    return "".join(f"[U+{ord(mark):04X}]" if mark in missing else mark for mark in text)


@dataclass(frozen=True, slots=True)
class BoundPage:
    """A page of the binder that is no sheet.

    Attributes
    ----------
    digest : hash of the page without its edition, where it is known already
    """

    label: str
    page: Page
    pdf: bytes
    digest: str | None = None


@dataclass(frozen=True, slots=True)
class Press:
    """Everything a page around the sheets needs to lay itself out."""

    words: Words
    template: PageTemplate
    looks: Looks
    county: County

    @property
    def column(self) -> Box:
        """The content column under the head and over the foot of a page."""
        template = self.template
        return Box(
            left_mm=template.content_left_mm,
            top_mm=template.page.edge_mm + _HEAD_MM,
            width_mm=template.content_width_mm,
            height_mm=template.content_height_mm - _HEAD_MM - _FOOT_MM,
        )

    @property
    def edition(self) -> str:
        """The edition as it is printed: left out of what a page is compared by."""
        return self.words("sheet.foot.edition", edition=self.county.edition)

    def first(self, figure: Figure, value: float) -> str:
        """A figure in the county's units, rounded to its safe side."""
        return printed(figure, value, UnitSystem(self.county.units)).first

    def text(
        self, text: str, style: str, box: Box, *, block: str, align: Align = Align.LEFT
    ) -> tuple[Text, ...]:
        """A paragraph from the top of a box."""
        return lay_text(text, self.looks.styles[style], box, self.looks.fonts, block=block, align=align)

    def line(
        self, text: str, style: str, *, x_mm: float, y_mm: float, block: str, align: Align = Align.LEFT
    ) -> tuple[Text, ...]:
        """One line of text on its baseline."""
        return self.styled(text, self.looks.styles[style], x_mm=x_mm, y_mm=y_mm, block=block, align=align)

    def styled(
        self,
        text: str,
        style: TextStyle,
        *,
        x_mm: float,
        y_mm: float,
        block: str,
        align: Align = Align.LEFT,
    ) -> tuple[Text, ...]:
        """One line of text in a style that the template does not name."""
        spans = (Span(text, style),)
        return place_line(spans, x_mm=x_mm, y_mm=y_mm, fonts=self.looks.fonts, block=block, align=align)

    def rule(self, box: Box, y_mm: float, *, stroke: str = "hairline", block: str) -> Line:
        """A horizontal rule across a box."""
        return Line(
            x1_mm=box.left_mm,
            y1_mm=y_mm,
            x2_mm=box.right_mm,
            y2_mm=y_mm,
            stroke=self.looks.strokes[stroke],
            block=block,
        )

    def badge(self, text: str, *, right_mm: float, top_mm: float, block: str) -> list[Item]:
        """White on black, its right edge given."""
        style = self.looks.styles["badge"]
        width_mm = spans_width_mm((Span(text, style),), self.looks.fonts) + 3.0
        box = Box(left_mm=right_mm - width_mm, top_mm=top_mm, width_mm=width_mm, height_mm=_BADGE_MM)
        base_mm = box.centre[1] + self.looks.fonts.heights(style).cap_mm / 2
        middle = {"x_mm": box.centre[0], "y_mm": base_mm}
        return [
            Rect(box=box, fill=self.looks.colours["ink"], block=block),
            *self.line(text, "badge", **middle, block=block, align=Align.CENTRE),
        ]

    def _frame(self, title: str, label: str) -> list[Item]:
        """Head and foot of a page."""
        column, words = self.column, self.words
        head_mm = self.template.page.edge_mm
        items: list[Item] = []
        if title:
            items += self.line(title, "name", x_mm=column.left_mm, y_mm=head_mm + 7.5, block="head")
            items.append(self.rule(column, head_mm + 10.5, stroke="bar", block="head"))
        if self.county.invented:
            badge = {"right_mm": column.right_mm, "top_mm": head_mm + 3.5}
            items += self.badge(words("sheet.head.invented"), **badge, block="head")
        foot_mm = column.bottom_mm + _FOOT_MM
        told = words("sheet.separator").join((settable(self.county.name, self, "label"), self.edition))
        items.append(self.rule(column, foot_mm - 4.6, block="foot"))
        items += self.line(told, "label", x_mm=column.left_mm, y_mm=foot_mm - 1.2, block="foot")
        items += self.line(
            label, "strong", x_mm=column.right_mm, y_mm=foot_mm - 1.2, block="foot", align=Align.RIGHT
        )
        return items

    def page(self, items: Sequence[Item], *, title: str, label: str, destination: str | None) -> BoundPage:
        """A finished page: its items in a frame, drawn and held against the rules of print.

        Raises
        ------
        PageCheckFailed
            The page breaks a rule of print.
        """
        page = Page(
            width_mm=self.template.page.width_mm,
            height_mm=self.template.page.height_mm,
            printable=printable(self.template),
            items=(
                *(
                    [Destination(name=destination, x_mm=self.column.left_mm, y_mm=self.template.page.edge_mm)]
                    if destination
                    else []
                ),
                *self._frame(title, label),
                *items,
            ),
            title=self.words(
                "binder.page_title", label=label, county=settable(self.county.name, self, "label")
            ),
            lang=self.words("sheet.lang"),
        )
        pdf = draw([page], self.looks.fonts)
        rules = PrintRules(least_size_pt=self.template.least.text_pt)
        check_page(pdf, page, self.looks.fonts, rules)
        return BoundPage(label, page, pdf)
