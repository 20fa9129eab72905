"""What a page template asks for, as paper understands it: fonts, styles, strokes, colours, margins."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from atlas.paper.boxes import Box, Face, Stroke, TextStyle, printable_box
from atlas.paper.colour import Colour
from atlas.paper.fonts import FontBook, shipped_fonts
from atlas.settings.page import Colours, FontFiles, PageTemplate, Strokes, Styles

__all__ = ["Looks", "fonts_of", "looks_of", "printable"]

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


def printable(template: PageTemplate) -> Box:
    """Where ink may lie: as much nearer to every edge than content as a margin is to `nearest_mm`."""
    page = template.page
    return printable_box(
        width_mm=page.width_mm,
        height_mm=page.height_mm,
        edge_mm=page.nearest_mm,
        punch_mm=page.punch_mm - (page.edge_mm - page.nearest_mm),
        punch_right=page.punch_edge == "right",
    )
