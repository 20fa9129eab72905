"""Flood categories of a gauge, as the service of flood forecasts gives them."""

from __future__ import annotations

from typing import Any, Final

from atlas.gauges.numbers import DISCHARGE, STAGE, LeftOut
from atlas.records import FloodCategory, FloodLevel

__all__ = ["read_flood"]

_THOUSANDS: Final = {"kcfs": ("cfs", 1000.0)}
"""Units in thousands: observed flow is given so, that of categories is not."""


def _flow_m3_s(raw: object, unit: object, left_out: LeftOut) -> float | None:
    if isinstance(unit, str) and unit in _THOUSANDS and isinstance(raw, int | float) and raw >= 0:
        plain, times = _THOUSANDS[unit]
        return left_out.value(raw * times, plain, DISCHARGE, "flow of a flood category")
    return left_out.value(raw, unit, DISCHARGE, "flow of a flood category")


def read_flood(answer: dict[str, Any], identifier: str, left_out: LeftOut) -> tuple[FloodLevel, ...]:
    """Levels from which each category begins, by rising category.

    Parameters
    ----------
    answer : of ``gauges/{id}``
    identifier : that was asked for

    Notes
    -----
    All are left out where they do not rise from action to major (NWS Manual 10-950): one of them is wrong,
    and nobody can tell which.
    """
    if answer.get("lid") != identifier:
        left_out.add("flood categories of another gauge", answer.get("lid"))
        return ()
    flood = answer.get("flood")
    if not isinstance(flood, dict) or not isinstance(flood.get("categories"), dict):
        return ()
    found = []
    for category in FloodCategory:
        level = flood["categories"].get(category.value)
        if not isinstance(level, dict):
            continue
        stage_m = left_out.value(
            level.get("stage"), flood.get("stageUnits"), STAGE, "stage of a flood category"
        )
        flow = _flow_m3_s(level.get("flow"), flood.get("flowUnits"), left_out)
        if stage_m is not None or flow is not None:
            found.append(FloodLevel(category, stage_m, flow))
    for values in ([one.stage_m for one in found], [one.discharge_m3_s for one in found]):
        known = [value for value in values if value is not None]
        if known != sorted(known):
            left_out.add("flood categories that do not rise from action to major")
            return ()
    return tuple(found)
