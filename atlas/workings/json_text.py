"""JSON text with two spaces a level: what the standard library writes, several times as quickly.

Its own writer of indented text is a chain of generators as long as the object is deep.
"""

from __future__ import annotations

import math
from json.encoder import encode_basestring

__all__ = ["indented"]

_STEP = "  "


def _scalar(value: object) -> str:
    if isinstance(value, float) and math.isfinite(value):
        return float.__repr__(value)
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return int.__repr__(value)
    raise ValueError(f"no JSON value: {value!r}")


def indented(value: object, pad: str = "") -> str:
    """A value as JSON text, letters as they are.

    Parameters
    ----------
    value : texts, finite numbers, None, and lists and objects of such
    pad : white before the value's own lines

    Raises
    ------
    ValueError
        Something else, or a number that is not finite.
    """
    kind = type(value)
    if kind is float:  # most of what there is
        return _scalar(value)
    if isinstance(value, str):
        return encode_basestring(value)
    if isinstance(value, dict):
        if not value:
            return "{}"
        inner = pad + _STEP
        lines = [f"{inner}{encode_basestring(key)}: {indented(item, inner)}" for key, item in value.items()]
        return "{\n" + ",\n".join(lines) + f"\n{pad}}}"
    if kind is list or kind is tuple:
        return _list(value, pad)
    return _scalar(value)


def _list(value: object, pad: str) -> str:
    items = list(value) if isinstance(value, list | tuple) else []
    if not items:
        return "[]"
    inner = pad + _STEP
    return "[\n" + ",\n".join([inner + indented(item, inner) for item in items]) + f"\n{pad}]"
