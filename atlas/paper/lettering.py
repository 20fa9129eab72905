"""Texts as strings of a PDF's content: which font of the page a stretch is set from, and in which codes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from atlas.paper.boxes import Face
    from atlas.paper.fontfile import FontFile
    from atlas.paper.fonts import FontBook

__all__ = ["Lettering", "PageFont"]

_ESCAPED = {ord(sign): "\\" + sign for sign in "()\\"}
"""What ends or escapes a string (ISO 32000-1, 7.3.4.2)."""

Piece = tuple[str, str]
"""Name of a font of the page, and the codes of a stretch as they stand between brackets."""


@dataclass(frozen=True, slots=True)
class PageFont:
    """A font of the page: its name there, the file, and the characters of its codes."""

    name: str
    file: FontFile
    codes: tuple[int, ...]


def _spelling(codes: Iterable[int]) -> dict[int, str]:
    """What stands in a string for each character of a subset."""
    written = {char: chr(code) for code, char in enumerate(codes) if char}
    return {char: _ESCAPED.get(ord(code), code) for char, code in written.items()}


class Lettering:
    """The fonts of some texts: every character in the subset of its file that has it.

    Parameters
    ----------
    texts : all that will be asked for, with their cuts
    """

    def __init__(self, texts: Iterable[tuple[str, Face]], fonts: FontBook) -> None:
        self._book = fonts
        used: dict[str, tuple[FontFile, set[str]]] = {}
        for text, face in texts:
            for run in fonts.runs(text, face):
                _, characters = used.setdefault(run.font.digest, (run.font, set()))
                characters.update(run.text)
        self.fonts: tuple[PageFont, ...] = tuple(
            PageFont(f"F{number}" if not part else f"F{number}.{part}", file, codes)
            for number, (file, characters) in enumerate(used[digest] for digest in sorted(used))
            for part, codes in enumerate(file.code_pages("".join(characters)))
        )
        self._spellings: Mapping[str, list[tuple[str, dict[int, str]]]] = {digest: [] for digest in used}
        for font in self.fonts:
            self._spellings[font.file.digest].append((font.name, _spelling(font.codes)))
        self._known: dict[tuple[str, Face], tuple[Piece, ...]] = {}

    def pieces(self, text: str, face: Face) -> tuple[Piece, ...]:
        """A text in stretches of one font each."""
        known = self._known.get((text, face))
        if known is None:
            runs = self._book.runs(text, face)
            known = tuple(piece for run in runs for piece in self._split(run.font, run.text))
            self._known[text, face] = known
        return known

    def _split(self, file: FontFile, text: str) -> list[Piece]:
        spellings = self._spellings[file.digest]
        name, first = spellings[0]
        if len(spellings) == 1:
            return [(name, text.translate(first))]
        pieces: list[Piece] = []
        for character in text:
            own, spelt = next((name, of[ord(character)]) for name, of in spellings if ord(character) in of)
            if pieces and pieces[-1][0] == own:
                pieces[-1] = (own, pieces[-1][1] + spelt)
            else:
                pieces.append((own, spelt))
        return pieces
