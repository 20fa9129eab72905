"""The latest reading of a site's gauge on its briefing: how old, how fast it rises, how long it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from atlas.faults import BlockOverrun
from atlas.paper import Box, Cell, LaidOut
from atlas.paper.flow import Piece
from atlas.paper.press import Press, settable
from atlas.plan import SitePlan
from atlas.records import GaugeReading
from atlas.rigging.decisions import time_left_s
from atlas.units import Figure, Quantity, UnitSystem
from atlas.units.quantity import factor_to_base
from atlas.water import rise_rate_m_s
from atlas.workings.paper.gauge_graphs import gauge_graphs
from atlas.workings.paper.plot import Plot, lay_plot
from atlas.workings.paper.style import style_of

__all__ = ["ReadingSaid", "graph_pieces", "reading_rows", "reading_told"]

_MINUTE_S, _HOUR_S, _DAY_S = 60.0, 3600.0, 86400.0
_HOURS_FROM, _DAYS_FROM = 2.0 * _HOUR_S, 2.0 * _DAY_S
_RISES_FROM_M_S = 0.005 / _HOUR_S
"""Half a centimetre an hour: under it a gauge shows nothing."""
_ROOM_MOST_M = 30.0
_GRAPH_MM = 44.0


@dataclass(frozen=True, slots=True)
class ReadingSaid:
    """A reading with what it is held against.

    Attributes
    ----------
    age_s : of the reading, when the briefing was made [s]
    clear_s : how long the river takes to be cleared [s]
    taken : it is recent enough to be today's water
    """

    reading: GaugeReading
    age_s: float
    clear_s: float
    taken: bool


def _age(press: Press, age_s: float) -> str:
    """How old, told no younger than it is."""
    for least_s, unit_s, key in ((_DAYS_FROM, _DAY_S, "days"), (_HOURS_FROM, _HOUR_S, "hours")):
        if age_s >= least_s:
            return press.words(f"brief.reading.{key}", count=f"{-int(-age_s // unit_s)}")
    return press.words("brief.reading.minutes", count=f"{-int(-age_s // _MINUTE_S)}")


def reading_told(press: Press, said: ReadingSaid) -> str:
    """Gauge, moment and age."""
    reading = said.reading
    return press.words(
        "brief.reading.told" if said.taken else "brief.reading.not_taken",
        gauge=settable(reading.gauge, press, "small"),
        time=f"{reading.at:%Y-%m-%d %H:%M} UTC",
        age=_age(press, said.age_s),
        provisional=press.words("brief.reading.provisional") if reading.provisional else "",
    )


def _rate_m_s(reading: GaugeReading) -> float | None:
    """Of the water, by the latest stage and those before it."""
    before = [(reading.at - one.at).total_seconds() for one in reading.trail]
    if 0.0 not in before:
        return None
    return rise_rate_m_s(before_s=before, stage_m=[one.stage_m for one in reading.trail])


def _left(press: Press, plan: SitePlan, said: ReadingSaid, rate_m_s: float) -> str | None:
    """Minutes until the river must begin to be cleared, the age of the reading taken off."""
    limit = plan.chosen.limit
    stage_m = said.reading.stage_m
    if limit is None or limit.stage_m is None or stage_m is None:
        return None
    room_m = limit.stage_m - stage_m
    if abs(room_m) > _ROOM_MOST_M:
        return None
    left_s = float(time_left_s(room_m=room_m, rise_m_s=rate_m_s, clear_s=said.clear_s)) - said.age_s
    if left_s < _MINUTE_S:
        return press.words("brief.reading.now")
    return press.first(Figure.MINUTES_LEFT, left_s / _MINUTE_S)


def reading_rows(press: Press, plan: SitePlan, said: ReadingSaid | None) -> list[tuple[str | Cell, ...]]:
    """The water's rise over the last hours, and the minutes it leaves."""
    if said is None or not said.taken:
        return []
    rate = _rate_m_s(said.reading)
    words = press.words
    if rate is None:
        return [(words("brief.limit.rise"), "", words("sheet.unknown"))]
    if rate < _RISES_FROM_M_S:
        return [(words("brief.limit.rise"), "", words("brief.reading.steady"))]
    shown = press.first(Figure.RISE_AN_HOUR, rate * _HOUR_S)
    rows: list[tuple[str | Cell, ...]] = [
        (words("brief.limit.rise"), "", words("brief.reading.rises", rise=shown))
    ]
    left = _left(press, plan, said, rate)
    if left is not None:
        strong = Cell(text=left, style=press.looks.styles["figure"])
        rows.append((words("brief.limit.left"), strong, words("brief.reading.clear")))
    return rows


def _with_reading(plots: Sequence[Plot], name: str, stage_m: float) -> list[Plot]:
    """The reading in each of them, first of the named places, where it lies on the graph."""
    return [
        replace(plot, places=((name, stage_m), *plot.places)) if _holds(plot, stage_m) else plot
        for plot in plots
    ]


def _in_units(press: Press, plot: Plot) -> Plot:
    """The same graph in the county's own units."""
    if UnitSystem(press.county.units) is UnitSystem.SI:
        return plot
    across = factor_to_base(Quantity.LENGTH, "foot")
    up = factor_to_base(Quantity.SPEED, "mile / hour")
    curves = tuple(
        replace(curve, points=tuple((x / across, y / up) for x, y in curve.points)) for curve in plot.curves
    )
    return replace(
        plot,
        x_title=press.words("brief.reading.graph_stage", unit="ft"),
        y_title=press.words("brief.reading.graph_speed", unit="mph"),
        curves=curves,
        places=tuple((name, at / across) for name, at in plot.places),
    )


def _holds(plot: Plot, stage_m: float) -> bool:
    xs = [x for curve in plot.curves for x, _ in curve.points]
    return min(xs) <= stage_m <= max(xs)


def graph_pieces(press: Press, plan: SitePlan, said: ReadingSaid | None) -> list[Piece]:
    """Speed against stage with today's reading in it; nothing where no gauge gives it."""
    graphs = gauge_graphs(plan, press.words)
    if said is None or said.reading.stage_m is None or not graphs:
        return []
    style = style_of(press.template, press.words)
    named = _with_reading(graphs[0], press.words("brief.reading.now_at"), said.reading.stage_m)
    plots = [_in_units(press, plot) for plot in named]

    def lay(box: Box) -> LaidOut:
        room = replace(box, height_mm=_GRAPH_MM)
        for plot in plots[:-1]:
            try:
                return LaidOut(items=lay_plot(style, plot, room), height_mm=_GRAPH_MM, dropped=0)
            except BlockOverrun:  # with fewer names: the reading stays to the last
                continue
        return LaidOut(items=lay_plot(style, plots[-1], room), height_mm=_GRAPH_MM, dropped=0)

    return [Piece(lay)]
