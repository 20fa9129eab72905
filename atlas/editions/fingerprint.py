"""The hash of a page as laid out: it changes when a reader would see a change, and only then."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from enum import Enum

from atlas.paper import Destination, Link, Page, Text

__all__ = ["page_hash"]

_STEPS_PER_MM = 10
_STEPS_PER_UNIT = 1000  # sizes in points and parts of colours: never computed, only taken from a template


def _tokens(value: object, *, places: bool) -> Iterator[str]:
    """A value as words: lengths in tenths of a millimetre, everything else as it is."""
    if is_dataclass(value) and not isinstance(value, type):
        yield type(value).__name__
        style = type(value).__name__ in {"TextStyle", "Stroke", "Colour"}
        for field in fields(value):
            if field.name != "block":
                yield from _tokens(getattr(value, field.name), places=places and not style)
    elif isinstance(value, Enum):
        yield str(value.value)
    elif isinstance(value, float):
        yield str(round(value * (_STEPS_PER_MM if places else _STEPS_PER_UNIT)))
    elif isinstance(value, tuple):
        yield f"({len(value)}"
        for item in value:
            yield from _tokens(item, places=places)
    else:
        yield repr(value)


def _without(text: Text, stamps: Sequence[str]) -> Text:
    told = text.text
    for stamp in stamps:
        told = told.replace(stamp, "")
    return replace(text, text=told)


def page_hash(page: Page, *, stamps: Sequence[str] = ()) -> str:
    """SHA-256 over a page's boxes: text as printed, places to 0.1 mm, looks as the template has them.

    Parameters
    ----------
    stamps : texts that name the edition; they are left out wherever they stand, so that a page that
        changed in nothing else keeps its hash from year to year

    Returns
    -------
    str
        Hexadecimal.
    """
    found = hashlib.sha256()
    for item in page.items:
        if isinstance(item, Link | Destination):
            continue  # a reader of paper does not see them
        unstamped = _without(item, stamps) if isinstance(item, Text) else item
        found.update("\x1f".join(_tokens(unstamped, places=True)).encode())
        found.update(b"\x1e")
    size = (page.width_mm, page.height_mm)
    found.update("\x1f".join(_tokens(size, places=True)).encode())
    return found.hexdigest()
