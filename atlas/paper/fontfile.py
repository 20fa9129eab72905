"""One TrueType file made ready for drawing: checked, registered once, embedded alike on every page."""

from __future__ import annotations

import hashlib
import zlib
from functools import lru_cache
from io import BytesIO
from struct import error as struct_error
from struct import unpack_from
from typing import TYPE_CHECKING, Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFNameBytes, TTFont, TTFontFace

from atlas.faults import PageError

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["FontFile"]

# Signs that every subset holds beside ASCII, in this order, so that the font programs of nearly all
# pages are the same bytes and a binder keeps one copy. Accented letters would add two fifths to every
# single page for the sake of few.
_REPERTOIRE = "°·×±½¼¾²³–—‘’“”•…′″←↑→↓−≈≠≤≥"  # noqa: RUF001 -- these are the characters meant

_FS_TYPE_RESTRICTED = 0x0002
"""OS/2 fsType bit: may not be embedded (OpenType specification, table OS/2)."""


class _CachedFlate:
    """Reportlab stream filter: deflate, remembering what it deflated (fonts repeat on every page)."""

    pdfname = "FlateDecode"

    @staticmethod
    @lru_cache(maxsize=64)
    def encode(content: bytes) -> bytes:
        return zlib.compress(content, 9)


class _SharedFace(TTFontFace):  # type: ignore[misc] # reportlab carries no types
    """A face that makes each subset once for the whole process."""

    def __init__(self, data: bytes, digest: str) -> None:
        super().__init__(BytesIO(data), validate=1)
        self._made: dict[tuple[int, ...], bytes] = {}
        # Reportlab tells faces apart by PostScript name and shares glyphs between equal names:
        # the digest makes the name as unique as the file.
        self.name: bytes = TTFNameBytes(self.name + b"-" + digest[:8].encode())
        self.filename = digest

    def makeSubset(self, subset: list[int]) -> bytes:  # noqa: N802 -- reportlab's name
        key = tuple(subset)
        if key not in self._made:
            if len(self._made) >= 64:
                self._made.clear()
            self._made[key] = super().makeSubset(subset)
        return self._made[key]

    def addSubsetObjects(self, doc: Any, fontname: str, subset: list[int]) -> Any:  # noqa: ANN401, N802 -- reportlab's
        descriptor = super().addSubsetObjects(doc, fontname, subset)
        doc.idToObject[f"fontFile:{self.filename}({fontname})"].filters = [_CachedFlate]
        return descriptor


_BROKEN = (TTFError, struct_error, ValueError, LookupError, ArithmeticError)
"""What reportlab lets through from a file whose tables do not hold together."""


def _registered(data: bytes, digest: str) -> Any:  # noqa: ANN401 -- reportlab carries no types
    """Reportlab's font of a file, made and registered at the first call with these bytes."""
    name = f"atlas-{digest[:16]}"
    if name not in pdfmetrics.getRegisteredFontNames():
        font = TTFont(name, BytesIO(data), asciiReadable=True, shapable=False)
        font.face = _SharedFace(data, digest)
        pdfmetrics.registerFont(font)
    return pdfmetrics.getFont(name)


class FontFile:
    """One cut of a typeface: its glyphs, widths and heights in em, and its name for drawing.

    Parameters
    ----------
    path : a static TrueType file

    Raises
    ------
    PageError
        The file cannot be read, has no TrueType outlines, is damaged, is variable, or may not be
        embedded.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            data = path.read_bytes()
        except OSError as error:
            raise PageError(f"{path}: the font file cannot be read; {error.strerror}") from error
        self.digest = hashlib.sha256(data).hexdigest()
        try:
            font = _registered(data, self.digest)
            self.name: str = font.fontName
            self._face = font.face
            self._read_metrics()
        except _BROKEN as error:
            raise PageError(
                f"{path}: not a font that can be embedded; a static TrueType file is needed"
            ) from error
        if "fvar" in self._face.table:
            raise PageError(f"{path}: a variable font prints only its first cut; a static file is needed")
        if self._embedding & _FS_TYPE_RESTRICTED:
            raise PageError(f"{path}: the font's licence forbids embedding (OS/2 fsType)")

    def _read_metrics(self) -> None:
        """Offsets: OpenType specification, tables head and OS/2."""
        head, os2 = self._face.get_table("head"), self._face.get_table("OS/2")
        self._units_per_em: int = unpack_from(">H", head, 18)[0]
        self._embedding: int = unpack_from(">H", os2, 8)[0]
        self._glyphs_start: int = self._face.get_table_pos("glyf")[0]
        ascent, descent = unpack_from(">hh", os2, 68)
        self.ascent_em: float = ascent / self._units_per_em
        self.descent_em: float = -descent / self._units_per_em
        # capHeight stands in the table from version 2 on; the height of H is the same thing
        self.cap_em: float = self.ink_em("H")[0]

    def has(self, character: str) -> bool:
        """Whether the file has a glyph for the character."""
        return ord(character) in self._face.charToGlyph

    def advance_em(self, text: str) -> float:
        """Sum of the advance widths; no kerning, as none is drawn."""
        widths = self._face.charWidths
        return float(sum(widths.get(ord(character), self._face.defaultWidth) for character in text)) / 1000

    def ink_em(self, text: str) -> tuple[float, float]:
        """How far the ink of a text reaches above and below its baseline, from the glyphs' own boxes."""
        above = below = 0.0
        for character in text:
            glyph = self._face.charToGlyph.get(ord(character), 0)
            start, end = self._face.glyphPos[glyph], self._face.glyphPos[glyph + 1]
            if start == end:  # a space has no ink
                continue
            low, high = unpack_from(">4xh2xh", self._outline(start, end), 0)
            above, below = max(above, high), max(below, -low)
        return above / self._units_per_em, below / self._units_per_em

    def _outline(self, start: int, end: int) -> bytes:
        offset = self._glyphs_start
        return bytes(self._face._ttf_data[offset + start : offset + end])  # noqa: SLF001 -- reportlab has no other way

    def prepare(self, document: Any) -> None:  # noqa: ANN401 -- reportlab carries no types
        """Give a new document's subset its fixed beginning. To be called before any text is drawn."""
        available = "".join(character for character in _REPERTOIRE if self.has(character))
        pdfmetrics.getFont(self.name).splitString(available, document)
