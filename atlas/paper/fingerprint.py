"""The hash of a page as laid out: it changes when a reader would see a change, and only then."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Sequence
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import lru_cache

from atlas.paper.boxes import Destination, Link, Page, Stroke, Text, TextStyle
from atlas.paper.colour import Colour

__all__ = ["page_hash"]

_STEPS_PER_MM = 10
_STEPS_PER_UNIT = 1000  # sizes in points and parts of colours: never computed, only taken from a template
_UNSEEN = frozenset({"block"})


_FIELDS: dict[type, tuple[str, ...]] = {}


def _fields(kind: type) -> tuple[str, ...]:
    """The names of a part's fields: looked up once a kind, because asking takes longer than telling."""
    if kind not in _FIELDS:
        if not is_dataclass(kind):
            raise TypeError(f"no part of a page: {kind.__name__}")
        _FIELDS[kind] = tuple(
            field.name for field in fields(kind) if field.compare and field.name not in _UNSEEN
        )
    return _FIELDS[kind]


@lru_cache(maxsize=1024)
def _look(style: TextStyle | Stroke | Colour) -> str:
    """A look as words: the same few stand on every page."""
    kind = type(style)
    return " ".join((kind.__name__, *(_look_part(getattr(style, name)) for name in _fields(kind))))


def _look_part(value: object) -> str:
    if isinstance(value, Colour):
        return _look(value)
    if isinstance(value, tuple):
        return f"({','.join(map(_look_part, value))})"
    if isinstance(value, Enum):
        return str(value.value)
    return str(round(value * _STEPS_PER_UNIT)) if isinstance(value, float) else repr(value)


def _told(value: object) -> str:
    """A part of a page as words: lengths in tenths of a millimetre, everything else as it is."""
    if isinstance(value, float):
        return str(round(value * _STEPS_PER_MM))
    if isinstance(value, tuple):
        return f"({len(value)} {' '.join(map(_told, value))})"
    if isinstance(value, TextStyle | Stroke | Colour):
        return _look(value)
    if isinstance(value, Enum):
        return str(value.value)
    if value is None or isinstance(value, str | int):
        return repr(value)
    kind = type(value)
    return " ".join((kind.__name__, *(_told(getattr(value, name)) for name in _fields(kind))))


def _unstamped(told: str, stamps: Sequence[str]) -> str:
    for stamp in stamps:
        told = told.replace(stamp, "")
    return told


def page_hash(page: Page, *, stamps: Sequence[str] = (), without: Collection[str] = ()) -> str:
    """SHA-256 over a page's boxes: text as printed, places to 0.1 mm, looks as the template has them.

    Parameters
    ----------
    stamps : texts that name the edition; they are left out wherever they stand, so that a page that
        changed in nothing else keeps its hash from year to year
    without : blocks that are left out whole

    Returns
    -------
    str
        Hexadecimal.
    """
    seen = []
    for item in page.items:
        if isinstance(item, Link | Destination) or item.block in without:
            continue  # a reader of paper does not see the first two
        if isinstance(item, Text):
            if item.text not in stamps:  # wherever it stands: a longer name takes more room
                seen.append(_unstamped(_told(item), stamps))
        else:
            seen.append(_told(item))
    seen.append(_told((page.width_mm, page.height_mm)))
    return hashlib.sha256("\x1e".join(seen).encode()).hexdigest()
