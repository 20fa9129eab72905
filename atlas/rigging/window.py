"""The pretension window: set tensions between which every limit holds at the planning stage."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from atlas.rigging.carriage import CarriageSetup
from atlas.rigging.envelope import Conditions, clearance, tension, worst
from atlas.rigging.limits import ForceLimit, least_margin, least_rule
from atlas.rigging.shown import PRETENSION_N

__all__ = ["PlanningWater", "RopeBounds", "WindowEnds", "pretension_window", "tie_rise_that_opens"]

Floats = NDArray[np.float64]

LEAST_SET_N = PRETENSION_N.low
"""Set tensions are looked for from the least in which the track line was shown to hold [N]."""
_CLOSE_N = 0.05
_CLOSE_M = 5e-4


@dataclass(frozen=True, slots=True)
class RopeBounds:
    """EA of the rope and its bounds [N], and what lock-off loses [m]."""

    stiffness_n: float
    low_n: float
    high_n: float
    seating_m: float


@dataclass(frozen=True, slots=True)
class PlanningWater:
    """The judged cases at one stage.

    Attributes
    ----------
    drag_n : shape (cases,)
    water_rise_m : over the survey day's water
    clearance_needed_m : at the stage's design speed
    places_m : shape (places,), the carriage's travel
    """

    drag_n: Floats
    water_rise_m: float
    clearance_needed_m: float
    places_m: Floats


@dataclass(frozen=True, slots=True)
class WindowEnds:
    """Both ends looked for separately; the window is empty unless low <= high.

    Attributes
    ----------
    low_n : least set tension that keeps the clearance [N]; None where none does up to `high_n`
    high_n : greatest at which force limits and set-tension rules hold [N]; None where none does
    governed_by : code of what sets the upper end
    """

    low_n: float | None
    high_n: float | None
    governed_by: str

    @property
    def is_open(self) -> bool:
        """Whether some set tension meets every limit."""
        return self.low_n is not None and self.high_n is not None and self.low_n <= self.high_n


def _bracketed(margin: Callable[[float], float], *, low: float, high: float, close: float) -> float | None:
    """Where `margin` passes through zero between `low` and `high`; None if it does not."""
    if margin(low) * margin(high) > 0.0:
        return None
    return float(brentq(margin, low, high, xtol=close))


def force_margin(
    setup: CarriageSetup,
    limits: Sequence[ForceLimit],
    water: PlanningWater,
    bounds: RopeBounds,
    *,
    pretension_n: float,
) -> tuple[float, str]:
    """Least force margin over cases and places, unseated and at the stiff bound, and its code."""
    at = worst(
        setup,
        tension,
        Conditions(water.drag_n, water.water_rise_m, pretension_n, bounds.high_n, 0.0),
        places_m=water.places_m,
    )
    margins, index = least_margin(limits, tension_n=at.value, resultant_n=at.state.resultant_n[..., 0])
    case = int(np.argmin(margins))
    return float(margins[case]), limits[int(index[case])].code


def clearance_margin_m(
    setup: CarriageSetup, water: PlanningWater, bounds: RopeBounds, *, pretension_n: float
) -> float:
    """Least clearance over what is needed [m]: over cases, places and both stiffness bounds, seated."""
    at = worst(
        setup,
        clearance,
        Conditions(
            water.drag_n[None, :],
            water.water_rise_m,
            pretension_n,
            np.array([[bounds.low_n], [bounds.high_n]]),
            bounds.seating_m,
        ),
        places_m=water.places_m,
    )
    return float(-at.value.max()) - water.clearance_needed_m


def pretension_window(
    setup: CarriageSetup,
    limits: Sequence[ForceLimit],
    water: PlanningWater,
    bounds: RopeBounds,
    *,
    rules: Sequence[tuple[str, float]],
) -> WindowEnds:
    """Both ends of the window by bracketing: tension rises and clearance grows with set tension.

    Parameters
    ----------
    limits : on the loaded line
    rules : on set tension, as (code, most [N])

    Raises
    ------
    OutOfRange, NoSolution
        From the track line.
    """
    rule_code, rule_most_n = least_rule(rules)

    def force(pretension_n: float) -> float:
        return force_margin(setup, limits, water, bounds, pretension_n=pretension_n)[0]

    def clear(pretension_n: float) -> float:
        return clearance_margin_m(setup, water, bounds, pretension_n=pretension_n)

    if force(LEAST_SET_N) < 0.0:
        code = force_margin(setup, limits, water, bounds, pretension_n=LEAST_SET_N)[1]
        return WindowEnds(low_n=None, high_n=None, governed_by=code)
    root_n = _bracketed(force, low=LEAST_SET_N, high=rule_most_n, close=_CLOSE_N)
    # the root itself may lie a hair past the limit: step back by what it was closed to
    high_n = rule_most_n if root_n is None else root_n - _CLOSE_N
    code = (
        rule_code
        if root_n is None
        else force_margin(setup, limits, water, bounds, pretension_n=root_n + _CLOSE_N)[1]
    )
    if clear(LEAST_SET_N) >= 0.0:
        return WindowEnds(low_n=LEAST_SET_N, high_n=high_n, governed_by=code)
    low_root_n = _bracketed(clear, low=LEAST_SET_N, high=high_n, close=_CLOSE_N)
    low_n = None if low_root_n is None else low_root_n + _CLOSE_N
    return WindowEnds(low_n=low_n, high_n=high_n, governed_by=code)


def tie_rise_that_opens(
    setup: CarriageSetup,
    water: PlanningWater,
    bounds: RopeBounds,
    *,
    pretension_n: float,
    rise_most_m: float,
) -> float | None:
    """How much higher both ties must be for the clearance to hold at a set tension [m].

    None where even `rise_most_m` does not do: then only slower water or a stronger line will.
    """

    def margin(rise_m: float) -> float:
        raised = replace(setup, near_tie_height_m=setup.near_tie_height_m + rise_m)
        return clearance_margin_m(raised, water, bounds, pretension_n=pretension_n)

    root_m = _bracketed(margin, low=0.0, high=rise_most_m, close=_CLOSE_M)
    return None if root_m is None else root_m + _CLOSE_M
