"""Workings of an edition read back, value by value, with one clear fault for what is damaged."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path

from atlas.faults import Fault, InputFaults, Severity

__all__ = ["Part", "read_workings"]

_LARGEST_BYTES = 16 * 1024 * 1024


class Part:
    """An object of the workings; asked for a value, it gives one of the kind asked for, or refuses."""

    def __init__(self, path: Path, where: str, value: object) -> None:
        if not isinstance(value, dict):
            raise _refuse(path, f"{where or 'it'} is no object")
        self._path, self._where, self._value = path, where, value

    def _at(self, key: str) -> str:
        return f"{self._where}.{key}" if self._where else key

    def text(self, key: str) -> str | None:
        """A text, or None."""
        value = self._value.get(key)
        if value is None or isinstance(value, str):
            return value
        raise _refuse(self._path, f"{self._at(key)} is no text")

    def number(self, key: str) -> float | None:
        """A finite number, or None."""
        value = self._value.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise _refuse(self._path, f"{self._at(key)} is no number")
        return float(value)

    def flag(self, key: str) -> bool:
        """Whether it is true."""
        return self._value.get(key) is True

    def part(self, key: str) -> Part | None:
        """An object within, or None."""
        value = self._value.get(key)
        return None if value is None else Part(self._path, self._at(key), value)

    def parts(self, key: str) -> Iterator[Part]:
        """The objects of a list within."""
        value = self._value.get(key)
        if value is None:
            return
        if not isinstance(value, list):
            raise _refuse(self._path, f"{self._at(key)} is no list")
        for number, item in enumerate(value):
            yield Part(self._path, f"{self._at(key)}[{number}]", item)

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts within."""
        value = self._value.get(key)
        if value is None:
            return ()
        if isinstance(value, list) and all(isinstance(item, str) for item in value):
            return tuple(value)
        raise _refuse(self._path, f"{self._at(key)} is no list of texts")

    def pair(self, key: str) -> tuple[float, float] | None:
        """Two numbers, or None."""
        value = self._value.get(key)
        if value is None:
            return None
        if (
            isinstance(value, list)
            and len(value) == 2
            and all(isinstance(item, int | float) and math.isfinite(item) for item in value)
        ):
            return float(value[0]), float(value[1])
        raise _refuse(self._path, f"{self._at(key)} is no pair of numbers")


def _refuse(path: Path, what: str) -> InputFaults:
    todo = "print that edition again, or name another folder"
    told = f"the workings are damaged: {what}"
    return InputFaults([Fault("workings_broken", Severity.FILE, told, str(path), todo=todo)])


def read_workings(path: Path) -> Part:
    """The workings of one site.

    Raises
    ------
    InputFaults
        They are missing or no JSON object.
    """
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise _refuse(path, "the file is too large")
        content = path.read_bytes()
    except OSError as cause:
        raise _refuse(path, (cause.strerror or type(cause).__name__).lower()) from None
    try:
        return Part(path, "", json.loads(content))
    except (ValueError, RecursionError):
        raise _refuse(path, "it is no JSON text") from None
