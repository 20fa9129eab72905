"""Plain data as one text, the same on every machine and run: what a kept result is known by."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum

import numpy as np

__all__ = ["told"]

_FIELDS: dict[type, tuple[str, ...]] = {}
_AS_IT_IS = frozenset({int, float, bool, str, bytes, type(None)})


def _fields(kind: type) -> tuple[str, ...]:
    if kind not in _FIELDS:
        if not is_dataclass(kind):
            raise TypeError(f"no plain data: {kind.__module__}.{kind.__qualname__}")
        _FIELDS[kind] = tuple(field.name for field in fields(kind))
    return _FIELDS[kind]


def told(value: object) -> str:
    """Everything a value holds; two values are told alike only if they hold the same.

    Parameters
    ----------
    value : numbers, texts, days, enums, arrays, tuples, sets, mappings and dataclasses of such

    Raises
    ------
    TypeError
        It holds something else, whose text might not tell all of it.
    """
    kind = type(value)
    if kind in _AS_IT_IS:
        return repr(value)
    if isinstance(value, Enum):
        return f"{kind.__name__}.{value.name}"
    if isinstance(value, date):
        return f"{kind.__name__} {value.isoformat()}"
    if isinstance(value, float):  # of numpy
        return repr(float(value))
    return _several(value, kind)


def _several(value: object, kind: type) -> str:
    """What holds others."""
    if isinstance(value, tuple | list):
        return f"[{','.join(map(told, value))}]"
    if isinstance(value, frozenset | set):
        return f"{{{','.join(sorted(map(told, value)))}}}"
    if isinstance(value, np.ndarray) and not value.dtype.hasobject:
        held = hashlib.sha256(np.ascontiguousarray(value).tobytes()).hexdigest()
        return f"array {value.dtype.str} {value.shape} {held}"
    if isinstance(value, Mapping):
        return f"{{{','.join(sorted(f'{told(key)}:{told(item)}' for key, item in value.items()))}}}"
    return f"{kind.__name__}({','.join(told(getattr(value, name)) for name in _fields(kind))})"
