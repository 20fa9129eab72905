"""The closest boat: how near the held boat may be hauled before its steep strands pull the line down."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from atlas.rigging.carriage import CarriageSetup
from atlas.rigging.envelope import Conditions, clearance, worst
from atlas.rigging.window import RopeBounds

__all__ = ["closest_boat_m"]

Floats = NDArray[np.float64]

_NEAREST_M, _FARTHEST_M = 0.5, 200.0
_CLOSE_M = 1e-3


def closest_boat_m(
    setup: CarriageSetup,
    bounds: RopeBounds,
    *,
    drag_n: float,
    water_rise_m: float,
    pretension_n: float,
    clearance_least_m: float,
    places_m: Floats,
) -> float | None:
    """Least horizontal strand length [m] at which the held boat keeps `clearance_least_m`.

    Over the carriage's travel, both stiffness bounds, seated, at the least set tension. None where no
    length up to 200 m keeps it: the line hangs too low with the boat straight downstream already.
    """

    def margin(strand_m: float) -> float:
        at = worst(
            setup,
            clearance,
            Conditions(
                drag_n,
                water_rise_m,
                pretension_n,
                np.array([bounds.low_n, bounds.high_n]),
                bounds.seating_m,
            ),
            places_m=places_m,
            strand_m=strand_m,
        )
        return float(-at.value.max()) - clearance_least_m

    if margin(_NEAREST_M) >= 0.0:
        return _NEAREST_M
    if margin(_FARTHEST_M) < 0.0:
        return None
    return float(brentq(margin, _NEAREST_M, _FARTHEST_M, xtol=_CLOSE_M)) + _CLOSE_M
