"""Colours of print, and their grey rendition for a black-and-white printer."""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = ["BLACK", "WHITE", "Colour", "grey", "to_grey"]

# Weights of red, green and blue in luminance, and the transfer curve of sRGB:
# IEC 61966-2-1, with the primaries of ITU-R BT.709. Values from memory.
_LUMINANCE = (0.2126, 0.7152, 0.0722)
_CURVE_STARTS = 0.04045
_LINEAR_STARTS = 0.0031308


@dataclass(frozen=True, slots=True)
class Colour:
    """One colour: red, green and blue from 0 (none) to 1 (full), in sRGB."""

    red: float
    green: float
    blue: float

    def __post_init__(self) -> None:
        """Refuse what no printer has."""
        for part in (self.red, self.green, self.blue):
            if not 0.0 <= part <= 1.0:  # also refuses NaN
                raise ValueError(f"a colour's parts lie from 0 to 1, got {part}")

    @classmethod
    def from_hex(cls, code: str) -> Colour:
        """Colour of a code such as ``#dcebf5``."""
        if not re.fullmatch(r"#[0-9a-fA-F]{6}", code):
            raise ValueError(f"a colour is written #rrggbb, got {code!r}")
        return cls(*(int(code[place : place + 2], 16) / 255 for place in (1, 3, 5)))

    @property
    def is_grey(self) -> bool:
        """No hue at all."""
        return self.red == self.green == self.blue


def grey(level: float) -> Colour:
    """Grey of a level from 0 (black) to 1 (paper white)."""
    return Colour(level, level, level)


BLACK = grey(0.0)
WHITE = grey(1.0)


def _to_linear(part: float) -> float:
    return part / 12.92 if part <= _CURVE_STARTS else float(((part + 0.055) / 1.055) ** 2.4)


def _from_linear(part: float) -> float:
    return part * 12.92 if part <= _LINEAR_STARTS else float(1.055 * part ** (1 / 2.4) - 0.055)


def to_grey(colour: Colour) -> Colour:
    """Grey of the same luminance, to three decimals; a grey stays as it is."""
    if colour.is_grey:
        return colour
    parts = (colour.red, colour.green, colour.blue)
    luminance = sum(weight * _to_linear(part) for weight, part in zip(_LUMINANCE, parts, strict=True))
    return grey(round(min(1.0, max(0.0, _from_linear(luminance))), 3))
