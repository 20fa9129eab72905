"""The range in which the track line's answers were shown to hold, and the refusal outside it.

The tests compare the solver with an independent exact one over all of this range. Beyond it nothing
is known to be wrong and nothing was shown to be right, so a call is refused.

Three of the ranges are wider than common track lines ask for. Stiffness reaches past 20 to 600 kN, since
both stiffness bounds of such a rope are computed too (0.75 and 1.33 x EA), and a 5 % EN rope begins at
19.6 kN. Slope reaches to 15 %: a short line to a high bank is steep, and the bank cannot be moved. Loads
reach from nothing, since the ferry lines may carry an empty carriage's weight, to 25 kN: any past 15 kN
is outside every plan, yet a case that is printed as outside is computed all the same.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.faults import OutOfRange

__all__ = [
    "AT_SHARE",
    "LOAD_N",
    "PRETENSION_N",
    "SEATING_M",
    "SLOPE",
    "SPAN_M",
    "STIFFNESS_N",
    "STRENGTH_N",
    "WEIGHT_N_M",
    "FloatArray",
    "Shown",
    "numbers",
    "refuse",
    "require",
    "require_between",
]

FloatArray = npt.NDArray[np.float64]

_ROUND_OFF = 1e-9
"""A value computed to lie on a limit may miss it by this share and still counts as on it."""


@dataclass(frozen=True, slots=True)
class Shown:
    """The range of one quantity in which the answer was shown to hold; both ends belong to it."""

    field: str
    low: float
    high: float
    unit: str


SPAN_M = Shown("span_m", 10.0, 250.0, "m")
SLOPE = Shown("rise_m / span_m", -0.15, 0.15, "")
STRENGTH_N = Shown("strength_n", 1e3, 200e3, "N")
WEIGHT_N_M = Shown("weight_n_m", 0.5, 2.0, "N/m")
STIFFNESS_N = Shown("stiffness_n", 15e3, 800e3, "N")
PRETENSION_N = Shown("pretension_n", 300.0, 8e3, "N")
SEATING_M = Shown("seating_m", 0.0, 0.5, "m")
AT_SHARE = Shown("at_m / span_m", 0.02, 0.98, "")
LOAD_N = Shown("resultant of downstream_n and down_n", 0.0, 25e3, "N")


def numbers(field: str, value: npt.ArrayLike) -> FloatArray:
    """Whatever stands there as an array of floats; what is no number is refused with its field.

    Raises
    ------
    OutOfRange
        Where `value` is not made of numbers.
    """
    try:
        array = np.asarray(value)
    except ValueError as cause:  # lists of unlike lengths
        raise OutOfRange(f"{field}: not an array of numbers; got {value!r}; allowed: numbers") from cause
    # text that looks like a number, true and false are faults of the caller, not quantities
    if array.dtype.kind not in "fiu":
        raise OutOfRange(f"{field}: not a number; got {value!r}; allowed: numbers")
    return array.astype(np.float64, copy=False)


def refuse(field: str, got: float, low: float, high: float, unit: str, why: str = "") -> OutOfRange:
    """The refusal of one value, in words: field, value, allowed."""
    dimension = f" {unit}" if unit else ""
    reason = f" ({why})" if why else ""
    return OutOfRange(
        f"{field}: outside the range in which the answer was shown; got {got:.6g}{dimension}; "
        f"allowed {low:.6g} to {high:.6g}{dimension}{reason}"
    )


def require(shown: Shown, value: npt.ArrayLike) -> FloatArray:
    """`value` as an array of floats, every one of them inside the range shown.

    Parameters
    ----------
    shown : the range
    value : numbers of any shape [unit of the range]

    Raises
    ------
    OutOfRange
        With the first value outside; NaN and infinity are outside.
    """
    array = numbers(shown.field, value)
    slack = _ROUND_OFF * max(abs(shown.low), abs(shown.high))
    low, high = shown.low - slack, shown.high + slack
    # NaN carries through min and max, and every comparison with it is false
    least, most = (array.min(), array.max()) if array.size > 1 else (array, array)
    if array.size and not (low <= least and most <= high):
        first = array[~((array >= low) & (array <= high))].flat[0]
        raise refuse(shown.field, float(first), shown.low, shown.high, shown.unit)
    return array


def require_between(
    field: str, value: FloatArray, *, low: FloatArray, high: FloatArray, unit: str, why: str
) -> None:
    """Every value between limits that go with it, element by element; shapes broadcast.

    Raises
    ------
    OutOfRange
        With the first value outside, its own limits, and `why` they are so.
    """
    slack = _ROUND_OFF * np.maximum(np.abs(low), np.abs(high))
    inside = (value >= low - slack) & (value <= high + slack)
    if not inside.all():
        first = int(np.argmin(inside))
        got, least, most = (
            float(np.broadcast_to(array, inside.shape).flat[first]) for array in (value, low, high)
        )
        raise refuse(field, got, least, most, unit, why)
