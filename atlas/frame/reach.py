"""How far below the track line the boat must work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from atlas.frame.problems import FrameProblem
from atlas.frame.site_frame import PlacedShape
from atlas.frame.water_edges import APART_MOST, share_apart

__all__ = ["ReachDown", "find_reach_down"]


@dataclass(frozen=True, slots=True)
class ReachDown:
    """From the track line to the farthest point where the boat must work, square to the chord [m]."""

    reach_down_m: float
    drawn: bool


def find_reach_down(
    work_areas: Sequence[PlacedShape], *, given_m: float | None
) -> ReachDown | tuple[FrameProblem, ...]:
    """Greatest y of the work areas, else the given value, or why neither serves.

    Parameters
    ----------
    work_areas : in the site's frame [m]
    given_m : surveyed reach-down [m], or None
    """
    if not work_areas:
        return (_unknown(),) if given_m is None else ReachDown(given_m, drawn=False)
    lowest_m = [max(y for part in area.parts for _, y in part) for area in work_areas]
    upstream = tuple(_upstream(down_m) for down_m in lowest_m if down_m <= 0.0)
    if upstream:
        return upstream
    drawn_m = max(lowest_m)
    if given_m is not None and share_apart(drawn_m, given_m) > APART_MOST:
        return (_disagrees(given_m, drawn_m=drawn_m),)
    return ReachDown(drawn_m, drawn=True)


def _unknown() -> FrameProblem:
    return FrameProblem(
        code="reach_down_unknown",
        field="reach_down",
        got="neither work_area nor reach_down",
        allowed="a work_area feature, or reach_down",
        todo="draw where the boat must reach, or give reach_down below the track line",
        what="how far down the boat must work cannot be told",
    )


def _upstream(down_m: float) -> FrameProblem:
    return FrameProblem(
        code="work_area_upstream",
        field="geometry",
        got=f"work_area {-down_m:.1f} m upstream of the track line at its lowest",
        allowed="a work_area that reaches below the track line",
        todo="move the work_area or the track anchors, or correct the sense of flow",
        what="the work area lies wholly upstream of the track line",
        role="work_area",
    )


def _disagrees(given_m: float, *, drawn_m: float) -> FrameProblem:
    return FrameProblem(
        code="reach_down_disagrees",
        field="reach_down",
        got=f"{given_m:.1f} m given, {drawn_m:.1f} m to the far end of the drawn work_area",
        allowed=f"at most {APART_MOST:.0%} apart",
        todo="correct reach_down or the work_area",
        what="the given reach_down and the drawn work area disagree",
    )
