"""Numbers of the decision points that rising water sets: time left, and the rise that turns a crew back."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from atlas.rigging.shown import FloatArray, Shown, require

__all__ = ["rise_to_stop_m", "time_left_s"]

_ROOM_M = Shown("room_m", 0.0, 30.0, "m")
_ROOM_LEFT_M = Shown("room_m", -30.0, 30.0, "m")
_RISE_M_S = Shown("rise_m_s", 1e-7, 1.0, "m/s")
_SECONDS_S = Shown("seconds", 1.0, 86400.0, "s")


def time_left_s(*, room_m: npt.ArrayLike, rise_m_s: npt.ArrayLike, clear_s: npt.ArrayLike) -> FloatArray:
    """Time until the river must begin to be cleared; broadcasts; not over zero is now [s].

    Parameters
    ----------
    room_m : limit stage less the stage now; negative past the limit [m]
    rise_m_s : of the water, from two readings [m/s]
    clear_s : to bring everybody out of the water [s]

    Raises
    ------
    OutOfRange
        For water that does not rise, a room past 30 m either way, and times outside a second to a day.

    Notes
    -----
    room / rise - clear: the water goes on rising as it did.
    """
    room, rise, clear = (
        require(_ROOM_LEFT_M, room_m), require(_RISE_M_S, rise_m_s), require(_SECONDS_S, clear_s)
    )  # fmt: skip
    return np.asarray(room / rise - clear)


def rise_to_stop_m(*, room_m: npt.ArrayLike, between_s: npt.ArrayLike, clear_s: npt.ArrayLike) -> FloatArray:
    """Rise from one look at the stage mark to the next that turns the crew back; broadcasts [m].

    Parameters
    ----------
    room_m : limit stage less the stage at the first look [m]
    between_s : from one look to the next [s]
    clear_s : to bring everybody out of the water [s]

    Raises
    ------
    OutOfRange
        For a room outside 0 to 30 m, and times outside a second to a day.

    Notes
    -----
    Found a rise r, a crew that stays until the next look has room - 2 r left then, and the water rises
    r clear / between more while the river is cleared: r = room between / (2 between + clear) is the most with
    which that does not pass the limit. The water goes on rising as it did.
    """
    room, between, clear = (
        require(_ROOM_M, room_m), require(_SECONDS_S, between_s), require(_SECONDS_S, clear_s)
    )  # fmt: skip
    return np.asarray(room * between / (2.0 * between + clear))
