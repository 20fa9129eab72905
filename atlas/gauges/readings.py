"""Latest stage and discharge of a gauge, the hours before, and its daily flows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from atlas.gauges.measurements import GAGE_HEIGHT, STREAMFLOW
from atlas.gauges.numbers import FLOW, STAGE, LeftOut, Plausible, day_of, moment_of
from atlas.records import DailyFlows, GaugeReading, StageAt

__all__ = ["MEAN_OF_DAY", "read_daily", "read_latest"]

MEAN_OF_DAY = "00003"
"""Statistic code of a daily mean (USGS)."""
_TRAIL = timedelta(hours=12)
_FUTURE = timedelta(minutes=10)
"""Clocks differ by less: a reading later than that is not of this gauge's today."""
_DAYS_MOST = 36_600


def _sound(one: dict[str, Any], plausible: Plausible, name: str, left_out: LeftOut) -> float | None:
    """A value without a remark: ice, a broken instrument, backwater are remarks, and none is weighed here."""
    remark = one.get("qualifier")
    if remark not in (None, "", []):
        told = ", ".join(map(str, remark)) if isinstance(remark, list) else str(remark)
        left_out.add(f"{name} with a remark", told)
        return None
    return left_out.value(one.get("value"), one.get("unit_of_measure"), plausible, name)


def _timed(
    rows: Sequence[dict[str, Any]], code: str, now: datetime, left_out: LeftOut
) -> list[tuple[datetime, float, bool]]:
    """Moment, value and whether it is provisional, by rising time."""
    plausible, name = (STAGE, "stage") if code == GAGE_HEIGHT else (FLOW, "flow")
    found = []
    for one in rows:
        if one.get("parameter_code") != code:
            continue
        at = moment_of(one.get("time"))
        if at is None or at > now + _FUTURE:
            left_out.add(f"{name} at no moment there was", one.get("time"))
            continue
        value = _sound(one, plausible, name, left_out)
        if value is not None:
            found.append((at, value, one.get("approval_status") != "Approved"))
    return sorted(found)


def read_latest(
    gauge: str,
    latest: Sequence[dict[str, Any]],
    trail: Sequence[dict[str, Any]],
    left_out: LeftOut,
    *,
    now: datetime,
) -> GaugeReading | None:
    """The latest reading; None where there is none to be trusted.

    Parameters
    ----------
    latest, trail : properties of features of ``latest-continuous`` and ``continuous``, of one station
    now : with its zone
    """
    stages = _timed([*trail, *latest], GAGE_HEIGHT, now, left_out)
    flows = _timed(latest, STREAMFLOW, now, left_out)
    if not stages and not flows:
        return None
    at, stage_m, provisional = stages[-1] if stages else (flows[-1][0], None, flows[-1][2])
    # a flow of another hour is not that of this stage
    flow = next((value for moment, value, _ in reversed(flows) if abs(moment - at) <= _TRAIL / 12), None)
    before = {moment: value for moment, value, _ in stages if moment >= at - _TRAIL}
    return GaugeReading(
        gauge=gauge,
        at=at,
        stage_m=stage_m,
        discharge_m3_s=flow,
        provisional=provisional,
        trail=tuple(StageAt(moment, value) for moment, value in before.items()),
    )


def read_daily(rows: Sequence[dict[str, Any]], left_out: LeftOut, *, today: date) -> DailyFlows | None:
    """Daily mean flows without gaps in their days; a day without a value is unknown, not dry.

    Parameters
    ----------
    rows : properties of features of ``daily``, of one station
    """
    by_day: dict[date, float] = {}
    for one in rows:
        if one.get("parameter_code") != STREAMFLOW or one.get("statistic_id") != MEAN_OF_DAY:
            continue
        day = day_of(one.get("time"))
        if day is None or day > today:
            left_out.add("a daily flow at no day there was", one.get("time"))
            continue
        flow = left_out.value(one.get("value"), one.get("unit_of_measure"), FLOW, "daily flow")
        if flow is not None:
            by_day[day] = flow
    if not by_day:
        return None
    first, last = min(by_day), max(by_day)
    count = min((last - first).days + 1, _DAYS_MOST)
    days = (first + timedelta(days=number) for number in range(count))
    return DailyFlows(first, tuple(by_day.get(day) for day in days))
