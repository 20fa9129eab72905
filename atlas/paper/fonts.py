"""The typeface of the paper: which file a cut comes from, how wide a text is, what cannot be set."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from importlib.resources import files
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from atlas.faults import MissingGlyphs, PageError
from atlas.paper.boxes import Face, TextStyle
from atlas.paper.fontfile import FontFile

__all__ = ["MM_PER_PT", "FontBook", "Heights", "Run", "shipped_faces", "shipped_fonts"]

MM_PER_PT = 25.4 / 72
"""A PDF point is 1/72 inch (ISO 32000-1, 8.3.2.3)."""

_SHIPPED_FILES: Mapping[Face, str] = MappingProxyType(
    {
        Face.REGULAR: "IBMPlexSansCondensed-Regular.ttf",
        Face.MEDIUM: "IBMPlexSansCondensed-Medium.ttf",
        Face.SEMIBOLD: "IBMPlexSansCondensed-SemiBold.ttf",
        Face.BOLD: "IBMPlexSansCondensed-Bold.ttf",
        Face.ITALIC: "IBMPlexSansCondensed-Italic.ttf",
    }
)
_SETTING = "fonts.fallback in the page template"
_FIGURES = "0123456789"


class Run(NamedTuple):
    """A stretch of text set from one file."""

    font: FontFile
    text: str


class Heights(NamedTuple):
    """Vertical measures of a style [mm]: from the baseline up, down, and up to the capitals' tops."""

    ascent_mm: float
    descent_mm: float
    cap_mm: float
    line_mm: float


@cache
def shipped_faces() -> Mapping[Face, Path]:
    """Files of the typeface that is installed with this package."""
    folder = Path(str(files("fontpkg_ibm_plex_sans_condensed"))) / "files"
    return MappingProxyType({face: folder / name for face, name in _SHIPPED_FILES.items()})


def _needs_shaping(character: str) -> bool:
    """Right-to-left letters, and marks that must be placed upon another letter."""
    if unicodedata.bidirectional(character) in {"R", "AL", "AN"}:
        return True
    return unicodedata.category(character) in {"Mn", "Mc", "Me"}


def _is_control(character: str) -> bool:
    """Control and format characters, line separators, unassigned and private ones."""
    return unicodedata.category(character) in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def _told(characters: Sequence[str]) -> str:
    return ", ".join(
        f"'{character}' (U+{ord(character):04X})" if character.isprintable() else f"U+{ord(character):04X}"
        for character in characters
    )


class FontBook:
    """The five cuts, and files that are asked for characters the cut lacks.

    Parameters
    ----------
    faces : file of each cut; cuts left out come from the shipped typeface
    fallback : further files, asked in this order
    setting : what to change when a character is missing; stands in the error text

    Raises
    ------
    PageError
        A file cannot be embedded, or its figures are of different widths: columns of numbers
        would not stand under each other.
    """

    def __init__(
        self,
        faces: Mapping[Face, Path] | None = None,
        *,
        fallback: Sequence[Path] = (),
        setting: str = _SETTING,
    ) -> None:
        paths = {**shipped_faces(), **(faces or {})}
        self._faces = {face: FontFile(paths[face]) for face in Face}
        self._fallback = tuple(FontFile(path) for path in fallback)
        self._setting = setting
        for face, font in self._faces.items():
            if not tabular(font):
                raise PageError(
                    f"{font.path}: figures of face '{face}' differ in width; tabular figures are needed"
                )
        # Labels and numbers repeat from page to page; measuring is most of a layout's time.
        self._advance_em = lru_cache(maxsize=1 << 16)(self._measure_advance_em)
        self._ink_em = lru_cache(maxsize=1 << 16)(self._measure_ink_em)
        self._missing = lru_cache(maxsize=1 << 16)(self._find_missing)
        self._runs = lru_cache(maxsize=1 << 16)(self._split)
        self._heights: dict[TextStyle, Heights] = {}

    def face_file(self, face: Face) -> FontFile:
        """File of a cut."""
        return self._faces[face]

    def heights(self, style: TextStyle) -> Heights:
        """Ascent, descent, capital height and line step of a style [mm]."""
        known = self._heights.get(style)
        if known is None:
            font, em_mm = self._faces[style.face], style.size_pt * MM_PER_PT
            known = self._heights[style] = Heights(
                font.ascent_em * em_mm, font.descent_em * em_mm, font.cap_em * em_mm, style.leading * em_mm
            )
        return known

    def width_mm(self, text: str, style: TextStyle) -> float:
        """Width of one line of text, from the advance widths in the font files."""
        return self._advance_em(text, style.face) * style.size_pt * MM_PER_PT

    def ink_mm(self, text: str, style: TextStyle) -> tuple[float, float]:
        """How far the ink reaches above and below the baseline [mm]."""
        above, below = self._ink_em(text, style.face)
        return above * style.size_pt * MM_PER_PT, below * style.size_pt * MM_PER_PT

    def missing_characters(self, text: str, face: Face) -> tuple[str, ...]:
        """Characters that cannot be set, each once, in the order met."""
        return self._missing(text, face)

    def require(self, text: str, face: Face, block: str) -> None:
        """Raise `MissingGlyphs` if a text holds characters that cannot be set."""
        missing = self._missing(text, face)
        if not missing:
            return
        control = [character for character in missing if _is_control(character)]
        unset = [character for character in missing if _needs_shaping(character)]
        lacking = [character for character in missing if character not in {*control, *unset}]
        parts = []
        if lacking:
            parts.append(
                f"the font has no glyph for {_told(lacking)};"
                f" add a TrueType file that has them to {self._setting}"
            )
        if unset:
            parts.append(
                f"{_told(unset)} must be joined, stacked or read from right to left, which is not done"
                f" with any font, nor with one from {self._setting};"
                " give the text in letters that stand side by side from left to right"
            )
        if control:
            parts.append(f"{_told(control)} cannot be printed; take it out")
        raise MissingGlyphs(f"block '{block}': {'; '.join(parts)}")

    def runs(self, text: str, face: Face) -> tuple[Run, ...]:
        """The text in stretches, each with the file it is set from."""
        return self._runs(text, face)

    def _any_has(self, character: str, face: Face) -> bool:
        return any(font.has(character) for font in (self._faces[face], *self._fallback))

    def _font_of(self, character: str, face: Face) -> FontFile:
        own = self._faces[face]
        if own.has(character):
            return own
        return next((font for font in self._fallback if font.has(character)), own)

    def _split(self, text: str, face: Face) -> tuple[Run, ...]:
        runs: list[Run] = []
        for character in text:
            font = self._font_of(character, face)
            if runs and runs[-1].font is font:
                runs[-1] = Run(font, runs[-1].text + character)
            else:
                runs.append(Run(font, character))
        return tuple(runs)

    def _measure_advance_em(self, text: str, face: Face) -> float:
        composed = unicodedata.normalize("NFC", text)
        return sum(run.font.advance_em(run.text) for run in self._split(composed, face))

    def _measure_ink_em(self, text: str, face: Face) -> tuple[float, float]:
        composed = unicodedata.normalize("NFC", text)
        inks = [run.font.ink_em(run.text) for run in self._split(composed, face)]
        return max((ink[0] for ink in inks), default=0.0), max((ink[1] for ink in inks), default=0.0)

    def _find_missing(self, text: str, face: Face) -> tuple[str, ...]:
        composed = unicodedata.normalize("NFC", text)
        return tuple(
            dict.fromkeys(
                character
                for character in composed
                if _is_control(character) or _needs_shaping(character) or not self._any_has(character, face)
            )
        )


def tabular(font: FontFile) -> bool:
    """Whether all ten figures of a file are equally wide."""
    return len({font.advance_em(figure) for figure in _FIGURES}) == 1


@cache
def shipped_fonts() -> FontBook:
    """The typeface installed with this package, without fallback."""
    return FontBook()
