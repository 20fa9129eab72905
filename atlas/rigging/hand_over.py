"""The hand-over check: what a line that touches the water pulls while it is brought across.

The current carries the line into a bow in plan. As a parabola of sag share f over the wetted width W with
the drag q of each metre across it ends in

    T = q W / (8 f) hypot(1, 4 f)

(a cable under a load even along its span; Irvine, Cable Structures, 1981, section 1.2). q is 1/2 rho Cd d v^2
of a long cylinder across the flow, Cd 1.20.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from atlas.rigging.shown import FloatArray, Shown, require

__all__ = ["hand_over_bow_m", "hand_over_pull_n"]

_DRAG_N_M = Shown("drag_n_m", 0.0, 1000.0, "N/m")
_WIDTH_M = Shown("width_m", 1.0, 500.0, "m")
_SAG_SHARE = Shown("sag_share", 0.01, 0.25, "")


def hand_over_pull_n(
    *, drag_n_m: npt.ArrayLike, width_m: npt.ArrayLike, sag_share: npt.ArrayLike
) -> FloatArray:
    """Pull at the end of a line that lies in the water from bank to bank; broadcasts [N].

    Parameters
    ----------
    drag_n_m : drag of a metre of the line across the fastest water [N/m]
    width_m : of the water [m]
    sag_share : how far downstream the middle hangs, over the width; 0.05 kept tight, 0.2 slack

    Raises
    ------
    OutOfRange
        Outside 0 to 1000 N/m, 1 to 500 m, sags of 0.01 to 0.25.

    Notes
    -----
    The whole width is taken at the one speed and each metre across as if square to the current. On the
    slanted parts of the bow the current pushes less, so the true pull is lower: by 2 % at a sag of 0.05,
    by a fifth at 0.2 (a chain under the push square to each link). Debris on the line is left out, and can be
    many times the line's own drag. Bringing a line across is slow against the current, so its own way
    through the water is left out too.
    """
    drag, width, share = (
        require(_DRAG_N_M, drag_n_m), require(_WIDTH_M, width_m), require(_SAG_SHARE, sag_share)
    )  # fmt: skip
    return np.asarray(drag * width / (8.0 * share) * np.hypot(1.0, 4.0 * share))


def hand_over_bow_m(*, width_m: npt.ArrayLike, sag_share: npt.ArrayLike) -> FloatArray:
    """How far downstream the middle of the line is carried at that sag; broadcasts [m].

    Raises
    ------
    OutOfRange
        As `hand_over_pull_n`.
    """
    return np.asarray(require(_WIDTH_M, width_m) * require(_SAG_SHARE, sag_share))
