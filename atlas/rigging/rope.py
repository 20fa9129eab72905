"""A rope as the statics sees it: strength, weight, stiffness; and stiffness from a maker's elongation.

A rope's elongation is told in one of two ways: at 10 % of its strength (Cordage Institute CI 1801),
or as the growth between loads of 50 and 150 kg (EN 1891). Both are secants of a curve; the bounds
about them are the agency's to set, so their factors are arguments here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.faults import OutOfRange
from atlas.rigging.shown import STIFFNESS_N, STRENGTH_N, WEIGHT_N_M, FloatArray, require

__all__ = [
    "STANDARD_GRAVITY_M_S2",
    "Rope",
    "StiffnessBounds",
    "stiffness_bounds_from_10pct",
    "stiffness_bounds_from_50_150kg",
    "stiffness_from_10pct",
    "stiffness_from_50_150kg",
]

STANDARD_GRAVITY_M_S2 = 9.80665
"""Exact by convention (ISO 80000-3)."""


@dataclass(frozen=True, slots=True)
class Rope:
    """One rope.

    Attributes
    ----------
    strength_n : nominal strength, dry and without knots [N]
    weight_n_m : weight of a metre, unstretched [N/m]
    stiffness_n : EA, tension over strain [N]

    Weight and stiffness may be arrays: ropes of a batch.

    Raises
    ------
    OutOfRange
        Where a value lies outside `atlas.rigging.shown`; NaN, infinity, zero and negative values do.
    """

    strength_n: float
    weight_n_m: float | FloatArray
    stiffness_n: float | FloatArray

    def __post_init__(self) -> None:
        require(STRENGTH_N, self.strength_n)
        require(WEIGHT_N_M, self.weight_n_m)
        require(STIFFNESS_N, self.stiffness_n)


@dataclass(frozen=True, slots=True)
class StiffnessBounds:
    """The softest and the stiffest a rope may be [N]."""

    low_n: float
    high_n: float


def _share(field: str, value: float) -> float:
    """A fraction over 0 and under 1; a percentage that was not divided by 100 is caught here."""
    if not 0.0 < value < 1.0:
        raise OutOfRange(f"{field}: not a fraction; got {value:.6g}; allowed over 0 and under 1")
    return value


def _positive(field: str, value: float, unit: str) -> float:
    if not (np.isfinite(value) and value > 0.0):
        raise OutOfRange(f"{field}: not positive; got {value:.6g} {unit}; allowed over 0 {unit}")
    return value


def stiffness_from_10pct(*, strength_n: float, elongation: float) -> float:
    """EA of a rope whose elongation is told at 10 % of its strength [N].

    Parameters
    ----------
    strength_n : nominal strength [N]
    elongation : strain at 10 % of it, as a fraction (0.04 for 4 %)

    Raises
    ------
    OutOfRange
        For a strength that is not positive or an elongation that is not a fraction.

    Notes
    -----
    EA = 0.10 strength / elongation; the test load is that of Cordage Institute CI 1801.
    """
    return 0.10 * _positive("strength_n", strength_n, "N") / _share("elongation", elongation)


def stiffness_from_50_150kg(*, elongation: float) -> float:
    """EA of a rope whose elongation is told between 50 and 150 kg [N].

    Parameters
    ----------
    elongation : growth between the two loads, as a fraction (0.035 for 3.5 %)

    Raises
    ------
    OutOfRange
        For an elongation that is not a fraction.

    Notes
    -----
    EA = 100 kg x g / elongation; the two loads are those of EN 1891.
    """
    return 100.0 * STANDARD_GRAVITY_M_S2 / _share("elongation", elongation)


def stiffness_bounds_from_10pct(
    *, stiffness_n: float, low_factor: float, high_factor: float
) -> StiffnessBounds:
    """Bounds about an EA that came from a figure at 10 % of strength [N].

    Parameters
    ----------
    stiffness_n : EA from that figure [N]
    low_factor, high_factor : policy's factors about it (0.75 and 1.33 unless the agency says), at most
        and at least 1

    Raises
    ------
    OutOfRange
        Where a value is not positive, or the factors do not enclose 1.
    """
    stiffness = _positive("stiffness_n", stiffness_n, "N")
    if not 0.0 < low_factor <= 1.0 <= high_factor < np.inf:
        raise OutOfRange(
            f"low_factor, high_factor: do not enclose 1; got {low_factor:.6g} and {high_factor:.6g}; "
            "allowed over 0 to 1, and 1 or more"
        )
    return StiffnessBounds(low_n=low_factor * stiffness, high_n=high_factor * stiffness)


def stiffness_bounds_from_50_150kg(
    *, stiffness_n: float, strength_n: float, high_elongation: float
) -> StiffnessBounds:
    """Bounds about an EA that came from a figure between 50 and 150 kg [N].

    At such small loads a rope is at its softest; near a tenth of its strength it is stiffer.

    Parameters
    ----------
    stiffness_n : EA from that figure [N]
    strength_n : nominal strength [N]
    high_elongation : the least strain at 10 % of strength that policy allows for (0.035 unless the
        agency says)

    Raises
    ------
    OutOfRange
        For a value that is not positive or an elongation that is not a fraction.

    Notes
    -----
    EA and 0.10 strength / high_elongation, the lesser first: a rope stiffer than that to begin with
    has its own figure as the upper bound.
    """
    stiffness = _positive("stiffness_n", stiffness_n, "N")
    other = stiffness_from_10pct(strength_n=strength_n, elongation=high_elongation)
    return StiffnessBounds(low_n=min(stiffness, other), high_n=max(stiffness, other))
