"""One TrueType file made ready for drawing: checked, measured, and its subsets for embedding."""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from struct import error as struct_error
from struct import unpack_from
from typing import TYPE_CHECKING, Any

from reportlab.pdfbase.ttfonts import TTFError, TTFontFace

from atlas.faults import PageError

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["Embedded", "FontFile"]

# Signs that every subset holds beside ASCII, in this order, so that the font programs of nearly all
# pages are the same bytes and a binder keeps one copy. Accented letters would add two fifths to every
# single page for the sake of few.
_REPERTOIRE = "°·×±½¼¾²³–—‘’“”•…′″←↑→↓−≈≠≤≥"  # noqa: RUF001 -- these are the characters meant

_FS_TYPE_RESTRICTED = 0x0002
"""OS/2 fsType bit: may not be embedded (OpenType specification, table OS/2)."""
_FIRST_CODE, _CODES = 32, 256
"""Codes below are never used: some are line ends inside a string."""
_SYMBOLIC, _NONSYMBOLIC = 1 << 2, 1 << 5
"""Flags of a font descriptor (ISO 32000-1, table 123)."""
_KEPT = 64
"""Subsets remembered a file: nearly all pages share one, the rest add accents of one place."""
_CHARS_A_BLOCK = 100
"""Most entries of one bfchar block (Adobe technical note 5411)."""


@dataclass(frozen=True, slots=True)
class Embedded:
    """A subset of a font file as the bodies of PDF objects.

    Attributes
    ----------
    font : dictionary, with places for the numbers of descriptor and map
    descriptor : dictionary, with a place for the number of the program
    program, to_unicode : deflated streams; `length` is the program's before
    """

    font: str
    descriptor: str
    program: bytes
    length: int
    to_unicode: bytes


def _to_unicode(name: str, codes: Sequence[int]) -> bytes:
    """What each code means, for searching and copying (ISO 32000-1, 9.10.3)."""
    pairs = [
        f"<{code:02X}> <{chr(char).encode('utf-16-be', 'surrogatepass').hex().upper()}>"
        for code, char in enumerate(codes)
        if char
    ]
    blocks = [pairs[start : start + _CHARS_A_BLOCK] for start in range(0, len(pairs), _CHARS_A_BLOCK)]
    lines = [
        "/CIDInit /ProcSet findresource begin",
        "12 dict begin",
        "begincmap",
        f"/CIDSystemInfo << /Registry ({name}) /Ordering ({name}) /Supplement 0 >> def",
        f"/CMapName /{name} def",
        "/CMapType 2 def",
        "1 begincodespacerange",
        "<00> <FF>",
        "endcodespacerange",
    ]
    for block in blocks:
        lines += [f"{len(block)} beginbfchar", *block, "endbfchar"]
    lines += ["endcmap", "CMapName currentdict /CMap defineresource pop", "end", "end"]
    return "\n".join(lines).encode("ascii")


def _tag(codes: Sequence[int]) -> str:
    """Six letters that name a subset (ISO 32000-1, 9.6.4), the same for the same characters."""
    digest = hashlib.sha256(repr(list(codes)).encode()).digest()
    return "".join(chr(ord("A") + byte % 26) for byte in digest[:6])


_BROKEN = (TTFError, struct_error, ValueError, LookupError, ArithmeticError)
"""What reportlab lets through from a file whose tables do not hold together."""


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
            self._face: Any = TTFontFace(BytesIO(data), validate=1)
            self._read_metrics()
        except _BROKEN as error:
            raise PageError(
                f"{path}: not a font that can be embedded; a static TrueType file is needed"
            ) from error
        self._embedded: dict[tuple[int, ...], Embedded] = {}
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

    def code_pages(self, text: str) -> tuple[tuple[int, ...], ...]:
        """Characters by code, of as many subsets as the characters of a text take.

        The first begins with what nearly every page has, so that nearly all pages embed the same.
        """
        own = [*range(_FIRST_CODE, 127), *(ord(sign) for sign in _REPERTOIRE if self.has(sign))]
        known = frozenset(own)
        rest = sorted({ord(character) for character in text} - known)
        first = _CODES - _FIRST_CODE - len(own)
        pages = [[*own, *rest[:first]]]
        rest = rest[first:]
        while rest:
            pages.append(rest[: _CODES - _FIRST_CODE])
            rest = rest[_CODES - _FIRST_CODE :]
        return tuple((*([0] * _FIRST_CODE), *page) for page in pages)

    def embedded(self, codes: tuple[int, ...]) -> Embedded:
        """A subset made ready for a file; remembered, because nearly all pages share one."""
        known = self._embedded.get(codes)
        if known is None:
            if len(self._embedded) >= _KEPT:
                self._embedded.clear()
            known = self._embedded[codes] = self._embed(codes)
        return known

    def _embed(self, codes: tuple[int, ...]) -> Embedded:
        face = self._face
        plain = face.name.decode("ascii", "replace").replace(" ", "")
        # The digest keeps two files of one name apart: readers share glyphs between equal names.
        name = f"{_tag(codes)}+{plain}-{self.digest[:8]}"
        program = face.makeSubset(list(codes))
        widths = " ".join(f"{face.getCharWidth(code):g}" for code in codes[_FIRST_CODE:])
        flags = face.flags & ~_NONSYMBOLIC | _SYMBOLIC
        box = " ".join(f"{edge:g}" for edge in face.bbox)
        return Embedded(
            font=(
                f"<< /Type /Font /Subtype /TrueType /BaseFont /{name} /FirstChar {_FIRST_CODE}"
                f" /LastChar {len(codes) - 1} /Widths [{widths}]"
                " /FontDescriptor {descriptor} 0 R /ToUnicode {to_unicode} 0 R >>"
            ),
            descriptor=(
                f"<< /Type /FontDescriptor /FontName /{name} /Flags {flags} /FontBBox [{box}]"
                f" /ItalicAngle {face.italicAngle:g} /Ascent {face.ascent:g} /Descent {face.descent:g}"
                f" /CapHeight {face.capHeight:g} /StemV {face.stemV:g} /MissingWidth {face.defaultWidth:g}"
                " /FontFile2 {program} 0 R >>"
            ),
            program=zlib.compress(program, 9),
            length=len(program),
            to_unicode=zlib.compress(_to_unicode(name, codes), 9),
        )
