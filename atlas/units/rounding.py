"""Rounding to a printed step, in a stated direction."""

from __future__ import annotations

import math
from enum import Enum
from functools import cache
from typing import Final

from atlas.faults import OutOfRange

__all__ = ["GUARD", "Toward", "round_toward", "step_for_digits"]

_FINEST_EXPONENT: Final = -3

GUARD: Final = 1e-9
"""A figure this close to a step is that step: 31.1 m stays 31.1 m though 31.1 / 0.1 is 311.00000000000006.

Relative to the figure, or to one step where the figure is smaller than a step. So a printed figure may
lie on the unsafe side by a billionth, far under anything a tape, gauge or dynamometer can tell.
"""


class Toward(Enum):
    """Which way a figure is rounded: toward plus infinity, minus infinity, or the nearest step."""

    UP = "up"
    DOWN = "down"
    NEAREST = "nearest"


@cache
def _decimals(step: float) -> int:
    """Decimals that write `step` exactly: 0.05 has two, 10 has none (negative steps do not occur)."""
    text = f"{step:.9f}".rstrip("0")
    return len(text.partition(".")[2])


def round_toward(value: float, *, step: float, toward: Toward) -> float:
    """Round to a multiple of `step`.

    Parameters
    ----------
    value : any finite number
    step : size of one step, more than 0, with at most nine decimals
    toward : the direction

    Returns
    -------
    float
        Never minus zero. A half goes away from zero with `Toward.NEAREST`.

    Raises
    ------
    OutOfRange
        `value` is not finite, or `step` not more than 0.
    """
    steps = value / step if step > 0.0 else math.nan
    if not math.isfinite(steps):
        raise OutOfRange(f"cannot round {value!r} to steps of {step!r}")
    guard = GUARD * max(1.0, abs(steps))
    whole = math.copysign(math.floor(abs(steps) + 0.5 + guard), steps)
    if toward is not Toward.NEAREST and abs(steps - whole) > guard:
        whole = math.ceil(steps) if toward is Toward.UP else math.floor(steps)
    return round(whole * step, _decimals(step)) + 0.0


def step_for_digits(value: float, digits: int) -> float:
    """Step that leaves `digits` significant digits of `value`, never under 0.001; 1 for zero."""
    if value == 0.0:
        return 1.0
    exponent = math.floor(math.log10(abs(value))) - digits + 1
    return float(10.0 ** max(exponent, _FINEST_EXPONENT))
