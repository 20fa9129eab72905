"""What every block of a sheet works with: the plan, the wording, the template as paper understands it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from atlas.paper import Box, Colour, Face, FontBook, Stroke, TextStyle, shipped_fonts
from atlas.plan.results import SitePlan
from atlas.settings import Words
from atlas.settings.page import Block, Colours, FontFiles, PageTemplate, Strokes, Styles
from atlas.units import Figure, Shown, UnitSystem, printed

_RGB = slice(1, None)


@cache
def _fonts(faces: tuple[tuple[Face, str], ...], fallback: tuple[str, ...]) -> FontBook:
    if not faces and not fallback:
        return shipped_fonts()
    return FontBook({face: Path(name) for face, name in faces}, fallback=[Path(name) for name in fallback])


def fonts_of(files: FontFiles) -> FontBook:
    """The typeface a template asks for; kept, because reading font files takes longer than a page."""
    faces = tuple((Face(face), name) for face, name in files.faces.items())
    return _fonts(faces, tuple(files.fallback))


def _colour(rgb: str) -> Colour:
    red, green, blue = bytes.fromhex(rgb[_RGB])
    return Colour(red / 255, green / 255, blue / 255)


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


@dataclass(frozen=True, slots=True)
class Looks:
    """A template's fonts, styles, strokes and colours, as paper understands them, by name."""

    fonts: FontBook
    styles: dict[str, TextStyle]
    strokes: dict[str, Stroke]
    colours: dict[str, Colour]


def looks_of(template: PageTemplate) -> Looks:
    """What a template's pages look like."""
    colours = {name: _colour(getattr(template.colour, name)) for name in Colours.model_fields}
    styles = {}
    for name in Styles.model_fields:
        style = getattr(template.style, name)
        styles[name] = TextStyle(
            face=Face(style.face),
            size_pt=style.size_pt,
            colour=colours[style.colour],
            leading=style.leading,
        )
    strokes = {}
    for name in Strokes.model_fields:
        rule = getattr(template.stroke, name)
        strokes[name] = Stroke(
            weight_mm=rule.weight_mm, colour=colours[rule.colour], dash_mm=tuple(rule.dash_mm)
        )
    return Looks(fonts=fonts_of(template.fonts), styles=styles, strokes=strokes, colours=colours)


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
