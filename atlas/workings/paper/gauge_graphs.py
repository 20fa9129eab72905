"""Speed and width against the gauge's stage: what was measured, the fit, its interval, limit and floods."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from atlas.paper import Stroke
from atlas.plan import SitePlan
from atlas.records import FloodLevel
from atlas.settings import Words
from atlas.water import GaugedRiver, stages_at_speed
from atlas.workings.paper.plot import Curve, Plot

__all__ = ["gauge_graphs"]

_STAGES = 60
_FIT = Stroke(weight_mm=0.6)
_ENDS = Stroke(weight_mm=0.35, dash_mm=(2.4, 1.0))
_PAST = 1.05
"""How far over the highest thing shown the graph goes, in its range."""


def _range_m(plan: SitePlan, river: GaugedRiver) -> tuple[float, float]:
    """Stages shown: the rows measured, those of the level table, and the limit."""
    rig = plan.chosen
    shown = [row.stage_m for row in river.rows if row.stage_m is not None]
    shown += [stage.stage_m for stage in rig.stages if stage.stage_m is not None]
    if rig.limit is not None and rig.limit.stage_m is not None:
        shown.append(rig.limit.stage_m)
    return min(shown), min(shown) + _PAST * (max(shown) - min(shown))


def _points(river: GaugedRiver, name: str, *, noted: bool) -> Curve:
    """Rows with a stage, as marks."""
    found = [
        (row.stage_m, getattr(row, name))
        for row in river.rows
        if row.noted is noted and row.stage_m is not None and getattr(row, name) is not None
    ]
    return Curve("", tuple(found), _FIT, joined=False, hollow=noted)


def _plot(plan: SitePlan, words: Words, river: GaugedRiver, *, what: str) -> Plot:
    """`what` is speed or width."""
    low_m, high_m = _range_m(plan, river)
    stage = np.linspace(max(low_m, river.lowest_m), high_m, _STAGES)
    state = river.at(stage)
    middle, low, high = state.speed_m_s if what == "speed" else state.width_m
    level = words("derivation.graph.interval", level=f"{100 * river.level:g}")
    lines = ((words("derivation.graph.fit"), middle, _FIT), (level, high, _ENDS), ("", low, _ENDS))
    curves = [
        Curve(name, tuple(zip(stage.tolist(), values.tolist(), strict=True)), stroke)
        for name, values, stroke in lines
    ]
    rows = [
        _points(river, "speed_m_s" if what == "speed" else "width_m", noted=noted) for noted in (False, True)
    ]
    return Plot(
        title=words(f"derivation.graph.{what}_stage"),
        x_title=words("derivation.graph.stage"),
        y_title=words("derivation.graph.surface_speed" if what == "speed" else "derivation.graph.width"),
        curves=(*curves, *(row for row in rows if row.points)),
        places=_places(plan, words, river),
        from_zero=False,
    )


def _places(plan: SitePlan, words: Words, river: GaugedRiver) -> tuple[tuple[str, float], ...]:
    """Planning row, limit stage, and where the limit speed is most likely reached."""
    rig = plan.chosen
    _, high_m = _range_m(plan, river)
    found: list[tuple[str, float | None]] = [("planning_stage", rig.planning.stage_m)]
    if rig.limit is not None:
        likely = stages_at_speed(river, surface_speed_m_s=rig.limit.surface_speed_m_s).middle_m
        found += [("limit_stage", rig.limit.stage_m), ("limit_stage_most", likely)]
    return tuple(
        (words(f"derivation.graph.{name}"), at) for name, at in found if at is not None and at <= high_m
    )


def _fewer_floods(plot: Plot, flood: tuple[FloodLevel, ...], words: Words, *, to_m: float) -> Iterator[Plot]:
    """The plot with all flood categories that lie on it, then without the highest, and so on."""
    levels = [
        (words("derivation.graph.flood", category=words(f"flood.{one.category.value}")), one.stage_m)
        for one in flood
        if one.stage_m is not None and one.stage_m <= to_m
    ]
    for count in range(len(levels), -1, -1):
        yield replace(plot, places=(*plot.places, *levels[:count]))
    yield replace(plot, places=plot.places[:1])


def gauge_graphs(plan: SitePlan, words: Words) -> tuple[tuple[Plot, ...], ...]:
    """Speed and width against stage, each with fewer and fewer names; none where no gauge gives the rows."""
    gauged = plan.site.access.gauged
    river = None if plan.river is None else plan.river.gauged
    if river is None or gauged is None:
        return ()
    _, to_m = _range_m(plan, river)
    return tuple(
        tuple(_fewer_floods(_plot(plan, words, river, what=what), gauged.record.flood, words, to_m=to_m))
        for what in ("speed", "width")
    )
