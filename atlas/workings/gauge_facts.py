"""What a site's gauge says of its limit: stages, flow, flood categories, days a month."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.plan import SitePlan
from atlas.records import GaugeRecord
from atlas.units import Figure, UnitSystem
from atlas.water import (
    FloodPlace,
    GaugedRiver,
    Seasons,
    StagesAtSpeed,
    days_outside,
    flood_place,
    stages_at_speed,
)
from atlas.workings.section import FIGURES, Row, Section, figure, number

__all__ = ["GaugeFacts", "gauge_facts", "gauge_object", "gauge_section"]


@dataclass(frozen=True, slots=True)
class GaugeFacts:
    """A gauge and the site's limit.

    Attributes
    ----------
    river : fits; None where the gauge gives none for this site
    limit_stage_m : from which the rig is outside plan
    stages : at which the limit speed is reached
    limit_m3_s : least flow at which the limit stage may be reached: the lower end of the rating's interval
    flood : where the limit stage lies among the flood categories
    seasons : days a month at or over `limit_m3_s`
    """

    record: GaugeRecord
    river: GaugedRiver | None
    limit_stage_m: float | None
    stages: StagesAtSpeed | None
    limit_m3_s: float | None
    flood: FloodPlace | None
    seasons: Seasons | None


def _limit_m3_s(river: GaugedRiver | None, stage_m: float | None) -> float | None:
    """Lower end of the flow at a stage; None below the stages the rating is made from."""
    if river is None or stage_m is None or stage_m < river.lowest_m:
        return None
    return float(river.rating.discharge_m3_s(stage_m=stage_m, level=river.level)[1])


def gauge_facts(plan: SitePlan) -> GaugeFacts | None:
    """Of the chosen rig; None where nothing is kept of the site's gauge."""
    gauged = plan.site.access.gauged
    if gauged is None:
        return None
    record, limit = gauged.record, plan.chosen.limit
    river = None if plan.river is None else plan.river.gauged
    stage_m = None if limit is None else limit.stage_m
    flow = _limit_m3_s(river, stage_m)
    return GaugeFacts(
        record=record,
        river=river,
        limit_stage_m=stage_m,
        stages=None
        if river is None or limit is None
        else stages_at_speed(river, surface_speed_m_s=limit.surface_speed_m_s),
        limit_m3_s=flow,
        flood=None if stage_m is None else flood_place(record.flood, stage_m=stage_m),
        seasons=None if flow is None or record.daily is None else days_outside(record.daily, limit_m3_s=flow),
    )


def _fits(river: GaugedRiver) -> dict[str, object]:
    laws = {"speed": river.speed, "width": river.width, "depth": river.depth}
    return {
        "rows": len(river.rows),
        "dropped": river.dropped,
        "flows_m3_s": [river.least_m3_s, river.most_m3_s],
        "level": river.level,
        "rating": {
            "coefficient": river.rating.coefficient,
            "exponent": river.rating.exponent,
            "offset_m": river.rating.offset_m,
        },
        "laws": {
            name: None if fit is None else {"coefficient": fit.coefficient, "exponent": fit.exponent}
            for name, fit in laws.items()
        },
    }


def gauge_object(plan: SitePlan) -> dict[str, object] | None:
    """The gauge of a site as data: SI and unrounded; None where nothing is kept of it."""
    facts = gauge_facts(plan)
    if facts is None:
        return None
    stages, seasons = facts.stages, facts.seasons
    return {
        "name": facts.record.name,
        "station": facts.record.station,
        "datum": facts.record.datum,
        "refreshed": None if facts.record.refreshed is None else facts.record.refreshed.isoformat(),
        "fits": None if facts.river is None else _fits(facts.river),
        "limit_stages_m": None if stages is None else [stages.low_m, stages.middle_m, stages.high_m],
        "limit_discharge_m3_s": facts.limit_m3_s,
        "flood": [
            {"category": one.category.value, "stage_m": one.stage_m, "discharge_m3_s": one.discharge_m3_s}
            for one in facts.record.flood
        ],
        "days_outside": None if seasons is None else list(seasons.days),
    }


def _fit_rows(river: GaugedRiver) -> list[Row]:
    rating, speed, width = river.rating, river.speed, river.width
    law = f"{rating.coefficient:.4g} (stage - {rating.offset_m:.3f})^{rating.exponent:.3f}"
    return [
        (f"flow, m3/s, of {rating.line.count} rows", law, ""),
        (f"fastest thread, m/s, of {speed.line.count} rows", _law(speed.coefficient, speed.exponent), ""),
        (f"width, m, of {width.line.count} rows", _law(width.coefficient, width.exponent), ""),
        ("flows measured", f"{river.least_m3_s:.2f} to {river.most_m3_s:.2f} m3/s", ""),
    ]


def _law(coefficient: float, exponent: float) -> str:
    return f"{coefficient:.4g} flow^{exponent:.4f}"


def _limit_rows(facts: GaugeFacts, system: UnitSystem) -> list[Row]:
    rows = []
    if facts.stages is not None:
        for name, stage_m in (
            ("limit speed reached at the earliest", facts.stages.low_m),
            ("limit speed reached most likely", facts.stages.middle_m),
            ("limit speed reached at the latest", facts.stages.high_m),
        ):
            rows.append(figure(name, Figure.LIMIT_STAGE, stage_m, 3, "m", system))
    if facts.limit_m3_s is not None:
        rows.append(figure("limit flow", Figure.LIMIT_DISCHARGE, facts.limit_m3_s, 2, "m3/s", system))
    rows += [
        figure(f"flood: {one.category.value}", Figure.STAGE, one.stage_m, 3, "m", system)
        for one in facts.record.flood
        if one.stage_m is not None
    ]
    return rows


def gauge_section(plan: SitePlan, system: UnitSystem) -> Section:
    """The gauge of a site, as a step of the derivation; empty where nothing is kept of it."""
    facts = gauge_facts(plan)
    if facts is None:
        return Section(title="Gauge")
    rows = [] if facts.river is None else _fit_rows(facts.river)
    notes = [facts.record.station or "station unknown", f"datum: {facts.record.datum or 'unknown'}"]
    if facts.river is None:
        notes.append("its measurements are not used: see the warnings")
    elif facts.river.dropped:
        notes.append(f"{facts.river.dropped} dropped: flow is not width x depth x speed within 5 %")
    seasons = facts.seasons
    if seasons is not None:
        days = " ".join(number(value, 0) for value in seasons.days)
        notes.append(f"days a month at or over the limit flow, January to December, median of years: {days}")
    return Section(
        title=f"Gauge {facts.record.name}",
        notes=tuple(notes),
        head=FIGURES,
        rows=(*rows, *_limit_rows(facts, system)),
    )
