"""The limit speed: the greatest design speed with every case inside plan for the printed haul."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from atlas.rigging.carriage import CarriageSetup
from atlas.rigging.envelope import Conditions, clearance, tension, worst
from atlas.rigging.limits import ForceLimit, clearance_needed_m, least_margin
from atlas.rigging.window import RopeBounds

__all__ = ["LimitSpeed", "limit_speed"]

Floats = NDArray[np.float64]

_GRID = 16
_CLOSE_M_S = 1e-4


@dataclass(frozen=True, slots=True)
class LimitSpeed:
    """The limit [m/s] and the code of what is met first just past it."""

    speed_m_s: float
    governed_by: str


@dataclass(frozen=True, slots=True)
class _Question:
    setup: CarriageSetup
    limits: Sequence[ForceLimit]
    bounds: RopeBounds
    set_least_n: float
    set_most_n: float
    drag_per_speed2: Floats
    water_rise_m: float
    clearance_base_m: float
    places_m: Floats

    def margins(self, speed_m_s: Floats) -> tuple[Floats, list[str]]:
        """Least margin at each speed, as a share of its limit, and what sets it."""
        drag = self.drag_per_speed2[None, :] * speed_m_s[:, None] ** 2
        pulled = worst(
            self.setup,
            tension,
            Conditions(drag, self.water_rise_m, self.set_most_n, self.bounds.high_n, 0.0),
            places_m=self.places_m,
        )
        force, index = least_margin(
            self.limits, tension_n=pulled.value, resultant_n=pulled.state.resultant_n[..., 0]
        )
        case = force.argmin(axis=1)
        force_least = force.min(axis=1)
        codes = [self.limits[index[row, column]].code for row, column in enumerate(case)]
        set_n = np.array([self.set_least_n, self.set_most_n])[:, None, None, None]
        stiffness_n = np.array([self.bounds.low_n, self.bounds.high_n])[None, :, None, None]
        hangs = worst(
            self.setup,
            clearance,
            Conditions(drag, self.water_rise_m, set_n, stiffness_n, self.bounds.seating_m),
            places_m=self.places_m,
        )
        least_m = -hangs.value.max(axis=(0, 1, 3))
        needed_m = clearance_needed_m(base_m=self.clearance_base_m, speed_m_s=speed_m_s)
        clear = (least_m - needed_m) / needed_m
        return np.minimum(force_least, clear), [
            "clearance" if hang < pull else code
            for hang, pull, code in zip(clear, force_least, codes, strict=True)
        ]

    def margin(self, speed_m_s: float) -> float:
        """Least margin at one speed."""
        return float(self.margins(np.array([speed_m_s]))[0][0])


def limit_speed(
    setup: CarriageSetup,
    limits: Sequence[ForceLimit],
    bounds: RopeBounds,
    *,
    set_n: tuple[float, float],
    drag_per_speed2: Floats,
    water_rise_m: float,
    clearance_base_m: float,
    places_m: Floats,
    speed_most_m_s: float,
) -> LimitSpeed | None:
    """First design speed at which a judged case leaves the plan, planning-stage geometry held.

    Parameters
    ----------
    set_n : what the printed haul sets at least and at most [N]
    drag_per_speed2 : shape (cases,), drag at 1 m/s, surge included [N s2/m2]
    speed_most_m_s : where the search ends; a rig inside plan up to it has that as its limit

    Returns
    -------
    LimitSpeed or None
        None where the rig is outside plan in still water.

    Notes
    -----
    The margin need not fall steadily with speed, so the first speed of a grid with a negative margin
    is taken and the root before it bracketed: the limit is never past the first failure seen.
    """
    question = _Question(
        setup, limits, bounds, set_n[0], set_n[1], drag_per_speed2, water_rise_m, clearance_base_m, places_m
    )
    speeds = np.linspace(0.0, speed_most_m_s, _GRID)
    margins, _ = question.margins(speeds)
    failing = np.flatnonzero(margins < 0.0)
    if failing.size == 0:
        return LimitSpeed(speed_m_s=speed_most_m_s, governed_by="search_end")
    first = int(failing[0])
    if first == 0:
        return None
    root = float(brentq(question.margin, speeds[first - 1], speeds[first], xtol=_CLOSE_M_S))
    return LimitSpeed(
        speed_m_s=root - _CLOSE_M_S, governed_by=question.margins(np.array([root + _CLOSE_M_S]))[1][0]
    )
