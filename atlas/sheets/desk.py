"""What every block of a sheet works with: the plan, the wording, the template as paper understands it."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.paper import Box, Colour, FontBook, Stroke, TextStyle
from atlas.paper.looks import looks_of
from atlas.plan.results import SitePlan
from atlas.settings import Words
from atlas.settings.page import Block, PageTemplate
from atlas.units import Figure, Shown, UnitSystem, printed


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything a block needs to lay itself out.

    Attributes
    ----------
    system : whose units stand first
    styles, strokes, colours : the template's, by name
    """

    plan: SitePlan
    template: PageTemplate
    words: Words
    fonts: FontBook
    system: UnitSystem
    styles: dict[str, TextStyle]
    strokes: dict[str, Stroke]
    colours: dict[str, Colour]

    def box(self, block: Block) -> Box:
        """A block's box on the page."""
        return Box(
            left_mm=self.template.content_left_mm + block.left_mm,
            top_mm=self.template.page.edge_mm + block.top_mm,
            width_mm=block.width_mm,
            height_mm=block.height_mm,
        )

    def show(self, figure: Figure, value: float) -> Shown:
        """A figure in the county's units and the other ones, rounded to its safe side."""
        return printed(figure, value, self.system)

    def first(self, figure: Figure, value: float) -> str:
        """A figure in the county's units alone."""
        return printed(figure, value, self.system).first

    def width_mm(self, text: str, style: str) -> float:
        """Width of a text on one line."""
        return self.fonts.width_mm(text, self.styles[style])


def desk_for(plan: SitePlan, template: PageTemplate, words: Words) -> Desk:
    """A desk for one sheet."""
    looks = looks_of(template)
    return Desk(
        plan=plan,
        template=template,
        words=words,
        fonts=looks.fonts,
        system=UnitSystem(plan.county.units),
        styles=looks.styles,
        strokes=looks.strokes,
        colours=looks.colours,
    )
