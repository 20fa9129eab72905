"""What floats free: how far and how long down the flow to a place.

Distances are told along and across the flow: along = x sin(skew) + y cos(skew), across = x cos(skew) -
y sin(skew), positive toward the far bank. The drift is straight, at the speed of the fastest surface thread:
the least time to a place so far down the flow. A bend or an eddy can carry what floats aside, so
a danger is not left out because it lies beside the straight way; how far aside it lies is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
import numpy.typing as npt

from atlas.faults import OutOfRange
from atlas.rigging.shown import FloatArray, Shown, numbers, require

__all__ = ["SKEW_DEG", "SPEED_M_S", "Drift", "drift_to", "flow_coordinates"]

SKEW_DEG = Shown("skew_deg", -60.0, 60.0, "degrees")
SPEED_M_S = Shown("speed_m_s", 0.05, 10.0, "m/s")


@dataclass(frozen=True, slots=True)
class Drift:
    """The way to a danger.

    Attributes
    ----------
    along_m : down the flow to the first of it; 0 where some of it is abreast [m]
    aside_m : how far it lies beside the straight way; 0 where the way leads into it [m]
    seconds_s : least time until it is reached [s]
    """

    along_m: float
    aside_m: float
    seconds_s: float


def flow_coordinates(
    *, x_m: npt.ArrayLike, y_m: npt.ArrayLike, skew_deg: float
) -> tuple[FloatArray, FloatArray]:
    """Places as distances along and across the flow [m].

    Parameters
    ----------
    x_m, y_m : in the site's frame; broadcast [m]
    skew_deg : the flow, from straight downstream toward the far bank [degrees]

    Raises
    ------
    OutOfRange
        For a skew past 60 degrees, and what is no number.
    """
    x, y = numbers("x_m", x_m), numbers("y_m", y_m)
    if not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise OutOfRange("x_m, y_m: not finite; allowed: any finite place")
    skew = radians(require(SKEW_DEG, skew_deg).item())
    along, across = sin(skew), cos(skew)
    return x * along + y * across, x * across - y * along


def drift_to(
    danger_m: npt.ArrayLike, boats_m: npt.ArrayLike, *, skew_deg: float, speed_m_s: float
) -> Drift | None:
    """The least way from where the boat may be let go to a danger.

    Parameters
    ----------
    danger_m : corners of the danger, shape (n, 2), x and y; one is a point, two a line [m]
    boats_m : places where the boat may be, shape (k, 2) [m]
    skew_deg : the flow, from straight downstream toward the far bank [degrees]
    speed_m_s : of the fastest surface thread [m/s]

    Returns
    -------
    Drift from the place that leaves least time, the straightest way of those; None where the whole danger
    lies upriver of every place.

    Raises
    ------
    OutOfRange
        For speeds outside 0.05 to 10 m/s, skews past 60 degrees, and what is no place.

    Notes
    -----
    The first of a danger along the flow is a corner of it, since a straight side has its least at an end.
    """
    speed = float(require(SPEED_M_S, speed_m_s))
    danger, boats = _places("danger_m", danger_m), _places("boats_m", boats_m)
    along, across = flow_coordinates(x_m=danger[:, 0], y_m=danger[:, 1], skew_deg=skew_deg)
    from_along, from_across = flow_coordinates(x_m=boats[:, 0], y_m=boats[:, 1], skew_deg=skew_deg)
    ahead = from_along <= along.max()
    if not ahead.any():
        return None
    ways = np.maximum(along.min() - from_along[ahead], 0.0)
    least = float(ways.min())
    aside = np.maximum(np.maximum(across.min() - from_across[ahead], from_across[ahead] - across.max()), 0.0)
    return Drift(least, float(aside[ways <= least].min()), least / speed)


def _places(field: str, value: npt.ArrayLike) -> FloatArray:
    places = numbers(field, value)
    if places.ndim != 2 or places.shape[1] != 2 or not len(places):
        raise OutOfRange(f"{field}: not places; got shape {places.shape}; allowed (n, 2), n at least 1")
    return places
