"""Our own frozen records as bytes and back, by a reader that knows nothing else: no code can hide in them."""

from __future__ import annotations

import copyreg
import io
import pickle
from dataclasses import is_dataclass
from enum import Enum
from typing import Any

__all__ = ["packed", "unpacked"]

_PLAIN = {
    ("builtins", "frozenset"): frozenset,
    ("builtins", "set"): set,
    ("builtins", "bytearray"): bytearray,
    ("copyreg", "__newobj__"): getattr(copyreg, "__newobj__"),  # noqa: B009 -- the stubs do not know it
}


_OF_NUMPY = frozenset({"_reconstruct", "_frombuffer", "ndarray", "dtype", "scalar"})
"""What arrays and numbers of numpy are made of."""


class _OnlyOurs(pickle.Unpickler):
    """Refuses every name but those of this package's dataclasses and enums, of days and arrays."""

    def find_class(self, module_name: str, global_name: str) -> Any:  # noqa: ANN401 -- as its base
        if (module_name, global_name) in _PLAIN:
            return _PLAIN[module_name, global_name]
        if module_name == "datetime" and global_name in {"date", "datetime", "timedelta", "timezone"}:
            return super().find_class(module_name, global_name)
        if module_name.partition(".")[0] == "numpy" and global_name in _OF_NUMPY:
            return super().find_class(module_name, global_name)
        if module_name.startswith("atlas."):
            found = super().find_class(module_name, global_name)
            if isinstance(found, type) and (is_dataclass(found) or issubclass(found, Enum)):
                return found
        raise pickle.UnpicklingError(f"{module_name}.{global_name} is none of our records")


def packed(value: object) -> bytes:
    """A value of our records as bytes."""
    return pickle.dumps(value, protocol=5)


def unpacked(content: bytes) -> Any:  # noqa: ANN401 -- what was packed
    """What `packed` made bytes of.

    Raises
    ------
    UnpicklingError
        It names something that is none of our records.
    """
    return _OnlyOurs(io.BytesIO(content)).load()
