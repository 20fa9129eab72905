"""How many days of each month a river runs over a limit, from daily flows."""

from __future__ import annotations

from calendar import monthrange
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Final

from atlas.faults import OutOfRange
from atlas.records import DailyFlows

__all__ = ["YEARS_LEAST", "Seasons", "days_outside"]

KNOWN_LEAST: Final = 0.8
"""Share of a month's days whose flow is known, without which that month of that year is not counted."""
YEARS_LEAST: Final = 5
"""Years of a month without which nothing is said of it."""
_MONTHS: Final = 12


@dataclass(frozen=True, slots=True)
class Seasons:
    """Days a month over a limit, in the middle of the years.

    Attributes
    ----------
    days : January to December; None where too few years are known
    years : of the month with the fewest of those that are told; 0 where none is
    """

    days: tuple[float | None, ...]
    years: int


def _counted(daily: DailyFlows, limit_m3_s: float) -> dict[int, list[float]]:
    """Days over the limit in each year, by month; unknown days are taken to be as the known ones."""
    known: dict[tuple[int, int], int] = defaultdict(int)
    over: dict[tuple[int, int], int] = defaultdict(int)
    for number, flow in enumerate(daily.flows_m3_s):
        day: date = daily.first + timedelta(days=number)
        if flow is not None:
            known[day.year, day.month] += 1
            over[day.year, day.month] += flow >= limit_m3_s
    by_month: dict[int, list[float]] = defaultdict(list)
    for (year, month), days in known.items():
        length = monthrange(year, month)[1]
        if days >= KNOWN_LEAST * length:
            by_month[month].append(over[year, month] * length / days)
    return by_month


def days_outside(daily: DailyFlows, *, limit_m3_s: float) -> Seasons:
    """Days a month at or over a flow: the median of the years.

    Parameters
    ----------
    daily : mean flow of each day
    limit_m3_s : flow from which the rig is outside plan [m3/s]

    Raises
    ------
    OutOfRange
        A limit that is not above 0 and finite.

    Notes
    -----
    A day's mean flow lies under its peak: a flashy river is outside plan on more days than are counted.
    """
    if not 0.0 < limit_m3_s < float("inf"):
        raise OutOfRange(f"days outside: limit of {limit_m3_s:g} m3/s; allowed: above 0, finite")
    by_month = _counted(daily, limit_m3_s)
    years = [len(by_month.get(month, ())) for month in range(1, _MONTHS + 1)]
    return Seasons(
        days=tuple(
            median(by_month[month]) if count >= YEARS_LEAST else None
            for month, count in zip(range(1, _MONTHS + 1), years, strict=True)
        ),
        years=min((count for count in years if count >= YEARS_LEAST), default=0),
    )
