"""JSON text to plain values, telling apart what can be wrong with it."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass

__all__ = ["JsonObject", "JsonProblem", "duplicate_keys", "parse_json"]

_LONGEST_INT = 320
"""Digits beyond which an integer is larger than any float."""


class JsonObject(dict[str, object]):
    """A JSON object that remembers which of its keys stood there more than once."""

    __slots__ = ("duplicates",)

    def __init__(self, pairs: list[tuple[str, object]]) -> None:
        super().__init__(pairs)
        self.duplicates: tuple[str, ...] = ()
        if len(self) < len(pairs):
            seen: set[str] = set()
            self.duplicates = tuple(
                dict.fromkeys(key for key, _ in pairs if key in seen or seen.add(key))  # type: ignore[func-returns-value] # add() is the point
            )


@dataclass(frozen=True, slots=True)
class JsonProblem:
    """Why a text is no JSON: ``not_json``, ``json_cut`` or ``json_too_deep``; what, and where."""

    code: str
    what: str
    got: str


def duplicate_keys(value: object) -> tuple[str, ...]:
    """Keys given more than once in this object itself."""
    return value.duplicates if isinstance(value, JsonObject) else ()


def _read_int(text: str) -> float:
    return int(text) if len(text) <= _LONGEST_INT else math.copysign(math.inf, -1 if text[0] == "-" else 1)


def _is_cut(text: str, error: json.JSONDecodeError) -> bool:
    """Whether the fault is that the text ends too early."""
    shown = text.rstrip()
    if not shown.startswith(("{", "[")) or error.msg.startswith("Extra data"):
        return False
    return error.pos >= len(shown) or error.msg.startswith("Unterminated") or shown[-1] not in "}]"


def parse_json(text: str) -> object | JsonProblem:
    """Parse JSON text.

    Parameters
    ----------
    text : hostile until checked

    Returns
    -------
    object or JsonProblem
        Objects are `JsonObject`. The words NaN and Infinity, and numbers too large for a float, come
        out as floats that are not finite: whoever reads the number tells where it stood.
    """
    try:
        value: object = json.loads(text, object_pairs_hook=JsonObject, parse_int=_read_int)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        if _is_cut(text, error):
            return JsonProblem("json_cut", "the JSON text ends in the middle", f"the end at {place}")
        return JsonProblem("not_json", f"not JSON: {error.msg}", place)
    except RecursionError:
        return JsonProblem("json_too_deep", "JSON nested too deep", "lists or objects within each other")
    return value
