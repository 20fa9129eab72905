"""Text from a survey made fit for a page: one line, composed characters, nothing invisible."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

__all__ = ["Cleaned", "clean_line"]


@dataclass(frozen=True, slots=True)
class Cleaned:
    """A text, and how many characters had to be taken out of it."""

    text: str
    removed: int


def _is_space(character: str) -> bool:
    return character.isspace() or unicodedata.category(character) == "Zs"


def clean_line(raw: str) -> Cleaned:
    """Bring a text onto one line.

    Line ends, tabs and special spaces become plain spaces, several become one. Control characters,
    direction marks, lone surrogates and whatever else cannot be printed are taken out. Accents are
    composed (NFC), so that a font needs one glyph for them.
    """
    spaced = " ".join("".join(" " if _is_space(mark) else mark for mark in raw).split())
    kept = "".join(mark for mark in spaced if mark.isprintable())
    return Cleaned(unicodedata.normalize("NFC", " ".join(kept.split())), len(spaced) - len(kept))
