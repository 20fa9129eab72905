"""Posts in time: how far up the spotter stands, where a swimmer can last be caught, which throwers serve.

Everything that floats is taken at the speed of the fastest surface thread, straight down the flow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.rigging.drift import SPEED_M_S, flow_coordinates
from atlas.rigging.shown import FloatArray, Shown, numbers, require

__all__ = ["ThrowWindows", "last_catch_m", "spotter_distance_m", "throw_windows"]

_SECONDS_S = Shown("seconds", 0.0, 3600.0, "s")
_ALONG_M = Shown("along the flow", -1e5, 1e5, "m")
_REACH_M = Shown("reach_m", 1.0, 100.0, "m")


def spotter_distance_m(
    *, speed_m_s: npt.ArrayLike, see_s: npt.ArrayLike, clear_s: npt.ArrayLike
) -> FloatArray:
    """Least distance of the upstream spotter above the rig; broadcasts [m].

    Parameters
    ----------
    speed_m_s : of the fastest surface thread [m/s]
    see_s : to see what comes, signal, and the signal to be understood [s]
    clear_s : to bring the boat out of its way [s]

    Raises
    ------
    OutOfRange
        For speeds outside 0.05 to 10 m/s, or times outside 0 to an hour.

    Notes
    -----
    v (see + clear): what the spotter sees beside the post arrives no sooner than that.
    """
    seconds = require(_SECONDS_S, see_s) + require(_SECONDS_S, clear_s)
    return np.asarray(require(SPEED_M_S, speed_m_s) * seconds)


def last_catch_m(
    *, danger_along_m: npt.ArrayLike, speed_m_s: npt.ArrayLike, catch_s: npt.ArrayLike
) -> FloatArray:
    """Where a throw must begin at the latest to end above a danger; broadcasts [m].

    Parameters
    ----------
    danger_along_m : the first of the danger, along the flow; see `flow_coordinates` [m]
    speed_m_s : of the fastest surface thread [m/s]
    catch_s : from throw to swimmer brought to the bank [s]

    Returns
    -------
    distance along the flow, of the same beginning as `danger_along_m`

    Raises
    ------
    OutOfRange
        As `spotter_distance_m`.
    """
    way = require(SPEED_M_S, speed_m_s) * require(_SECONDS_S, catch_s)
    return np.asarray(require(_ALONG_M, danger_along_m) - way)


@dataclass(frozen=True, slots=True, eq=False)
class ThrowWindows:
    """The stretch of a swimmer's way that each thrower reaches in time; the throwers in the last axis.

    Attributes
    ----------
    from_m, to_m : along the flow, the same where the way is out of reach [m]
    seconds_s : how long the swimmer is in it [s]
    """

    from_m: FloatArray
    to_m: FloatArray
    seconds_s: FloatArray

    def in_time(self, *, needed_s: float) -> npt.NDArray[np.intp]:
        """How many throwers have the swimmer in reach for so long, one value a way.

        Raises
        ------
        OutOfRange
            For a time outside 0 to an hour.
        """
        needed = float(require(_SECONDS_S, needed_s))
        return np.asarray(np.count_nonzero((self.seconds_s > 0.0) & (self.seconds_s >= needed), axis=-1))


def throw_windows(
    throwers_m: npt.ArrayLike,
    *,
    swimmer_m: npt.ArrayLike,
    reach_m: float,
    skew_deg: float,
    speed_m_s: float,
    last_m: float | None,
) -> ThrowWindows:
    """The stretch of a swimmer's way that each thrower reaches in time.

    Parameters
    ----------
    throwers_m : where they stand, shape (n, 2), x and y [m]
    swimmer_m : x and y of where the swimmer goes in, in the last axis: one place, or many [m]
    reach_m : of a throw bag [m]
    skew_deg : the flow, from straight downstream toward the far bank [degrees]
    speed_m_s : of the fastest surface thread [m/s]
    last_m : the last place to throw from, of `last_catch_m`; None where no danger is below [m]

    Raises
    ------
    OutOfRange
        For reaches outside 1 to 100 m, speeds outside 0.05 to 10 m/s, skews past 60 degrees, and what is
        no number.

    Notes
    -----
    Within reach of a thrower a off the way are the 2 sqrt(reach^2 - a^2) metres abreast of the post (a chord
    of the circle of reach). Of these count what lies below where the swimmer went in and above
    the last place to throw.
    """
    throwers = numbers("throwers_m", throwers_m).reshape(-1, 2)
    along, across = flow_coordinates(x_m=throwers[:, 0], y_m=throwers[:, 1], skew_deg=skew_deg)
    swimmer = numbers("swimmer_m", swimmer_m)
    begin, way = (
        ways[..., None]
        for ways in flow_coordinates(x_m=swimmer[..., 0], y_m=swimmer[..., 1], skew_deg=skew_deg)
    )
    reach, speed = require(_REACH_M, reach_m), require(SPEED_M_S, speed_m_s)
    half = np.sqrt(np.maximum(reach**2 - (across - way) ** 2, 0.0))
    end = np.inf if last_m is None else float(require(_ALONG_M, last_m))
    to_m = np.minimum(along + half, end)
    from_m = np.minimum(np.maximum(along - half, begin), to_m)
    return ThrowWindows(from_m, to_m, np.where(half > 0.0, to_m - from_m, 0.0) / speed)
