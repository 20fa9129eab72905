"""Type set about a baseline: letters with indices, stacked fractions, roots, brackets of any height.

A piece is `Ink`: texts and rules about an origin on the baseline. Pieces stand side by side, over each
other, raised and lowered.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from atlas.paper import FontBook, Item, Line, Stroke, Text, TextStyle
from atlas.workings.paper.entries import display_symbol

__all__ = ["MINUS", "Ink", "Typesetter", "beside", "place_ink"]

MINUS = "\u2212"
"""The sign of the typeface, as wide as its plus."""

_RAISE_EM, _LOWER_EM = 0.36, 0.16
_THIN_EM = 0.12
_GREEK = {"pi": "π"}


@dataclass(frozen=True, slots=True)
class Ink:
    """Something set about an origin on its baseline; y downward, all in mm.

    Attributes
    ----------
    texts : x, y of the baseline, text, style
    rules : x1, y1, x2, y2
    """

    width: float
    up: float
    down: float
    texts: tuple[tuple[float, float, str, TextStyle], ...] = ()
    rules: tuple[tuple[float, float, float, float], ...] = ()

    def moved(self, right: float, lower: float) -> Ink:
        """The same elsewhere, as part of a larger one."""
        return replace(
            self,
            up=self.up - lower,
            down=self.down + lower,
            texts=tuple((x + right, y + lower, text, style) for x, y, text, style in self.texts),
            rules=tuple((x1 + right, y1 + lower, x2 + right, y2 + lower) for x1, y1, x2, y2 in self.rules),
        )


def _joined(parts: Iterable[Ink], width: float) -> Ink:
    """Parts that were moved to their places, as one."""
    found = list(parts)
    return Ink(
        width=width,
        up=max((part.up for part in found), default=0.0),
        down=max((part.down for part in found), default=0.0),
        texts=tuple(text for part in found for text in part.texts),
        rules=tuple(rule for part in found for rule in part.rules),
    )


def beside(parts: Sequence[Ink], gap: float = 0.0) -> Ink:
    """Parts side by side."""
    placed, x = [], 0.0
    for part in parts:
        placed.append(part.moved(x, 0.0))
        x += part.width + gap
    return _joined(placed, max(0.0, x - gap))


@dataclass(frozen=True, slots=True)
class Typesetter:
    """Sets formulas in a style.

    Attributes
    ----------
    letter : symbols
    plain : figures, functions and units
    index : indices and powers
    strong : results
    muted : as the sheet rounds it
    """

    fonts: FontBook
    letter: TextStyle
    plain: TextStyle
    index: TextStyle
    strong: TextStyle
    muted: TextStyle

    @property
    def em(self) -> float:
        """Size of the letters [mm]."""
        return self.fonts.heights(self.plain).line_mm / self.plain.leading

    def text(self, text: str, style: TextStyle | None = None) -> Ink:
        """A run of text."""
        look = style or self.plain
        up, down = self.fonts.ink_mm(text, look)
        return Ink(self.fonts.width_mm(text, look), up, down, ((0.0, 0.0, text, look),))

    def symbol(self, name: str, letter: TextStyle | None = None) -> Ink:
        """A letter with its index."""
        base, index = display_symbol(name)
        first = self.text(_GREEK.get(base, base), letter or (self.plain if base in _GREEK else self.letter))
        if not index:
            return first
        return beside([first, self.text(index, self.index).moved(0.0, _LOWER_EM * self.em)], 0.15)

    def power(self, base: Ink, power: Ink) -> Ink:
        """A base with its power raised."""
        lift = max(_RAISE_EM * self.em, base.up - 0.45 * power.up)
        return beside([base, power.moved(0.0, -lift)], 0.15)

    def fraction(self, over: Ink, under: Ink) -> Ink:
        """One over the other, a bar between them."""
        axis = 0.26 * self.em
        width = max(over.width, under.width) + 2 * _THIN_EM * self.em
        gap = 0.17 * self.em
        top = over.moved((width - over.width) / 2, -(axis + gap + over.down))
        foot = under.moved((width - under.width) / 2, -axis + gap + under.up)
        bar = Ink(width, axis, 0.0, (), ((0.0, -axis, width, -axis),))
        return beside([_joined([top, foot, bar], width)])

    def root(self, inner: Ink) -> Ink:
        """A root sign that covers what stands under it."""
        room = 0.1 * self.em
        up, down = inner.up + 1.6 * room, inner.down + 0.4 * room
        hook = 0.5 * self.em
        rules = (
            (0.0, -0.28 * self.em, 0.12 * self.em, -0.34 * self.em),
            (0.12 * self.em, -0.34 * self.em, 0.26 * self.em, down),
            (0.26 * self.em, down, hook, -up),
            (hook, -up, hook + inner.width + room, -up),
        )
        sign = Ink(hook, up, down, (), rules)
        return _joined([sign, inner.moved(hook + 0.5 * room, 0.0)], hook + inner.width + 1.5 * room)

    def fenced(self, inner: Ink, left: str = "(", right: str = ")") -> Ink:
        """Between brackets as high as it is."""
        height = self.fonts.ink_mm("(", self.plain)
        grow = max(1.0, 1.04 * (inner.up + inner.down) / sum(height))
        if grow < 1.25:
            return beside([self.text(left), inner, self.text(right)], 0.12)
        style = replace(self.plain, size_pt=self.plain.size_pt * min(grow, 2.4))
        up, down = self.fonts.ink_mm("(", style)
        lower = (inner.down - inner.up) / 2 - (down - up) / 2
        return beside(
            [self.text(left, style).moved(0.0, lower), inner, self.text(right, style).moved(0.0, lower)], 0.2
        )


def place_ink(ink: Ink, *, x_mm: float, y_mm: float, stroke: Stroke, block: str) -> tuple[Item, ...]:
    """Items of something set, its origin at a place of the page."""
    texts = [
        Text(x_mm=x_mm + x, y_mm=y_mm + y, text=text, style=style, block=block)
        for x, y, text, style in ink.texts
    ]
    rules = [
        Line(x1_mm=x_mm + x1, y1_mm=y_mm + y1, x2_mm=x_mm + x2, y2_mm=y_mm + y2, stroke=stroke, block=block)
        for x1, y1, x2, y2 in ink.rules
    ]
    return (*texts, *rules)
