"""Field and channel measurements of a gauge: what each visit measured, with the stage it belongs to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from atlas.gauges.numbers import AREA, DISCHARGE, SPEED, STAGE, WIDTH, LeftOut, day_of, properties_of
from atlas.records import FieldMeasurement

__all__ = ["GAGE_HEIGHT", "STREAMFLOW", "own_properties", "read_measurements"]

STREAMFLOW, GAGE_HEIGHT = "00060", "00065"
"""Parameter codes of discharge and of gauge height (USGS)."""
_ICE: Final = "ice"
_SAME_STAGE_M: Final = 0.05
"""Stages of one visit farther apart than this do not say at which of them was measured."""


@dataclass(frozen=True, slots=True)
class _Visit:
    """What field measurements say of one visit."""

    stages_m: tuple[float, ...]
    under_ice: bool


def own_properties(
    features: Iterable[object], location: str, left_out: LeftOut, *, key: str = ""
) -> list[dict[str, Any]]:
    """Properties of the features of one station; a service that gives others is not believed in those.

    Parameters
    ----------
    key : of the station's identifier, where it is not ``monitoring_location_id``
    """
    own = []
    for feature in features:
        found = properties_of(feature)
        identifier = None if found is None else found.get(key or "monitoring_location_id")
        if found is None:
            left_out.add("a feature without properties")
        elif identifier != location:
            left_out.add("of another station", identifier)
        else:
            own.append(found)
    return own


def _visits(field: Sequence[dict[str, Any]], left_out: LeftOut) -> dict[str, _Visit]:
    stages: dict[str, list[float]] = {}
    icy = set()
    for one in field:
        visit = one.get("field_visit_id")
        if not isinstance(visit, str) or not visit:
            continue
        stages.setdefault(visit, [])
        if _ICE in str(one.get("control_condition") or "").lower().split():
            icy.add(visit)
        if one.get("parameter_code") == GAGE_HEIGHT:
            stage_m = left_out.value(one.get("value"), one.get("unit_of_measure"), STAGE, "stage")
            if stage_m is not None:
                stages[visit].append(stage_m)
    return {visit: _Visit(tuple(found), visit in icy) for visit, found in stages.items()}


def _stage_m(visit: _Visit | None, left_out: LeftOut) -> float | None:
    """The stage of a visit, the mean of its readings; None where there is none or they differ."""
    if visit is None or not visit.stages_m:
        return None
    if max(visit.stages_m) - min(visit.stages_m) > _SAME_STAGE_M:
        left_out.add("stage: several on one visit")
        return None
    return sum(visit.stages_m) / len(visit.stages_m)


def _measured(one: dict[str, Any], visit: _Visit | None, left_out: LeftOut) -> FieldMeasurement | None:
    day = day_of(one.get("time"))
    if day is None:
        left_out.add("a measurement without a day", one.get("time"))
        return None
    values = {
        name: left_out.value(one.get(f"channel_{name}"), one.get(f"channel_{name}_unit"), plausible, name)
        for name, plausible in (("flow", DISCHARGE), ("width", WIDTH), ("area", AREA), ("velocity", SPEED))
    }
    flow, width, area, velocity = values.values()
    if flow is None or width is None or area is None or velocity is None:
        missing = ", ".join(name for name, value in values.items() if value is None)
        left_out.add(f"a measurement without {missing}")
        return None
    return FieldMeasurement(day, _stage_m(visit, left_out), flow, width, area, velocity)


def read_measurements(
    channel: Sequence[dict[str, Any]], field: Sequence[dict[str, Any]], left_out: LeftOut
) -> tuple[FieldMeasurement, ...]:
    """Measurements by day, each with the stage of its visit.

    Parameters
    ----------
    channel, field : properties of features of ``channel-measurements`` and ``field-measurements``, of one
        station
    left_out : what is not taken is kept here

    Notes
    -----
    A visit with several channels is left out: each is a part of the river. So is one under ice, and a
    channel that stands there twice counts once.
    """
    visits = _visits(field, left_out)
    by_visit: dict[str, list[dict[str, Any]]] = {}
    for one in channel:
        visit = one.get("field_visit_id")
        if isinstance(visit, str) and visit:
            by_visit.setdefault(visit, []).append(one)
        else:
            left_out.add("a measurement without a visit")
    found = []
    for key, channels in by_visit.items():
        visit = visits.get(key)
        measured = {_measured(one, visit, left_out) for one in channels} - {None}
        if len(measured) > 1:
            left_out.add("a visit with several channels")
        elif visit is not None and visit.under_ice:
            left_out.add("a visit under ice")
        else:
            found += [one for one in measured if one is not None]
    return tuple(sorted(found, key=lambda one: (one.day, one.discharge_m3_s)))
