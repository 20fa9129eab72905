"""The water at every row of the level table: how its speed was come by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from atlas.plan import CaseResult, SitePlan, StageResult
from atlas.plan.build import stage_settings
from atlas.records import FlowNote, MeanKind
from atlas.settings import PolicyValues
from atlas.units import Figure
from atlas.water import RiverModel, StageSettings, river_model
from atlas.workings.paper.entries import Instance, Quantity, Value
from atlas.workings.paper.gauge_rows import gauged_rows
from atlas.workings.paper.ledger import Ledger

__all__ = ["water_chapter"]

_SAME_M_S = 1e-9
_SCALED_MIDDLE = "v_r * (d / d_r0)**n_v"
_SCALED_UPPER = "v_m * (1 + m_u)"
_FITTED_MIDDLE = "exp(y_b + n_v * (log(d) - x_b))"
_FITTED_UPPER = "exp(y_b + n_v * (log(d) - x_b) + t_s * sqrt(1 + 1 / n_n + (log(d) - x_b)**2 / S_x))"


@dataclass(frozen=True, slots=True)
class _River:
    """What the chapter is written from."""

    plan: SitePlan
    settings: StageSettings
    model: RiverModel

    @property
    def stages(self) -> tuple[StageResult[CaseResult], ...]:
        return self.plan.chosen.stages

    @property
    def notes(self) -> tuple[FlowNote, ...]:
        return self.plan.site.access.flow_notes


def _cell(symbol: str, value: float | None, unit: str, decimals: int, none: str) -> Value | str:
    return none if value is None else Value(symbol, value, unit, decimals)


def _notes_table(ledger: Ledger, river: _River) -> None:
    """The river as it was noted."""
    none = ledger.words("derivation.unknown")
    head = ledger.words.of("derivation.flow_note")
    quantities = [
        Quantity(head["stage"], "s", "m"),
        Quantity(head["discharge"], "Q", "m³/s"),
        Quantity(head["width"], "B", "m"),
        Quantity(head["depth"], "d", "m"),
        Quantity(head["surface"], "v", "m/s"),
        Quantity(head["mean"], "v_a", "m/s"),
        Quantity(head["kind"], "", ""),
    ]
    instances = [
        Instance(
            none if note.date is None else note.date.isoformat(),
            "",
            (
                _cell("s", note.stage_m, "m", 3, none),
                _cell("Q", note.discharge_m3_s, "m³/s", 2, none),
                _cell("B", note.width_m, "m", 2, none),
                _cell("d", note.depth_m, "m", 2, none),
                _cell("v", note.surface_speed_m_s, "m/s", 4, none),
                _cell("v_a", note.mean_speed_m_s, "m/s", 4, none),
                none if note.mean_kind is None else head[note.mean_kind.value],
            ),
        )
        for note in river.notes
    ]
    ledger.table("flow_notes", quantities, instances, source=ledger.source("notes"))


def _own_ratio(notes: Sequence[FlowNote], kind: MeanKind) -> tuple[float, float]:
    """Mean and surface speed of the note whose ratio is least."""
    both = [
        (note.mean_speed_m_s, note.surface_speed_m_s)
        for note in notes
        if note.mean_speed_m_s and note.surface_speed_m_s and (note.mean_kind or MeanKind.SECTION) is kind
    ]
    return min(both, key=lambda pair: pair[0] / pair[1])


def _mean_of(river: _River, row: StageResult[CaseResult], kind: MeanKind, ratio: float) -> float | None:
    """The noted mean from which a row's speed came."""
    for note in river.notes:
        mean = note.mean_speed_m_s
        if (
            mean
            and (note.mean_kind or MeanKind.SECTION) is kind
            and abs(mean / ratio - row.surface_speed_m_s) < _SAME_M_S
        ):
            return mean
    return None


def _from_mean(
    ledger: Ledger, river: _River, row: StageResult[CaseResult], kind: MeanKind, *, side: str
) -> bool:
    """A speed that came from a mean, with the ratio; False where the note is not found."""
    key = f"loads.surface_from_{kind.value}"
    ratio = ledger.policy.value_of(key)
    pair = _own_ratio(river.notes, kind) if "note_ratio" in row.assumed else None
    if pair is not None:
        ratio = pair[0] / pair[1]
    mean = _mean_of(river, row, kind, ratio)
    if mean is None:
        return False
    values = {"number": side}
    if pair is None:
        ledger.limit(f"ratio_{kind.value}", f"k_v{side}", key)
    else:
        noted = ledger.source("notes")
        ledger.given("ratio_mean", Value(f"v_b{side}", pair[0], "m/s", 4), noted)
        ledger.given("ratio_surface", Value(f"v_t{side}", pair[1], "m/s", 4), noted)
        own = Value(f"k_v{side}", ratio, "", 4)
        ledger.step("ratio_own", own, f"v_b{side} / v_t{side}", ledger.source("own_ratio"))
    ledger.given(
        "mean_speed",
        Value(f"v_a{side}", mean, "m/s", 4),
        ledger.source("notes"),
        title=ledger.title("mean_speed", **values),
    )
    ledger.step(
        "surface_from_mean",
        Value(f"v_{side}", row.surface_speed_m_s, "m/s", 4),
        f"v_a{side} / k_v{side}",
        ledger.source("surface_from_mean"),
        title=ledger.title("surface_from_mean", **values),
        figure=Figure.SPEED,
    )
    return True


def _by_formula(row: StageResult[CaseResult]) -> bool:
    """Whether the row's speed is the model's, whole or in part."""
    return row.modelled or "raised_to_gauge" in row.assumed


def _noted_rows(ledger: Ledger, river: _River) -> None:
    for number, row in enumerate(river.stages, 1):
        if _by_formula(row):
            continue
        side = str(number)
        kinds = [kind for kind in MeanKind if f"speed_from_{kind.value}_mean" in row.assumed]
        if kinds and _from_mean(ledger, river, row, kinds[0], side=side):
            continue
        ledger.given(
            "noted_speed",
            Value(f"v_{side}", row.design_speed_m_s, "m/s", 4),
            ledger.source("notes"),
            title=ledger.title("noted_speed", number=side),
            figure=Figure.SPEED,
        )


def _scaled(ledger: Ledger, river: _River) -> tuple[str, str]:
    """What the highest note's scaling takes."""
    speed = river.model.speed
    ledger.given("scaled_speed", Value("v_r", speed.value, "m/s", 4), ledger.source("highest_note"))
    ledger.given("scaled_depth", Value("d_r0", speed.depth_m, "m", 4), ledger.source("highest_note"))
    ledger.given("speed_exponent", Value("n_v", speed.exponent, "", 4), ledger.source("hydraulic_geometry"))
    ledger.limit("speed_margin", "m_u", "loads.one_note_margin")
    return _SCALED_MIDDLE, _SCALED_UPPER


def _fitted(ledger: Ledger, river: _River) -> tuple[str, str]:
    """What the fitted power law takes."""
    speed = river.model.speed
    line = speed.line
    if line is None:
        return _scaled(ledger, river)
    fit = ledger.source("fit", count=str(line.count))
    ledger.given("fit_slope", Value("n_v", line.slope, "", 5), fit)
    ledger.given("fit_mean_depth", Value("x_b", line.mean_x, "", 5), fit)
    ledger.given("fit_mean_speed", Value("y_b", line.mean_y, "", 5), fit)
    ledger.given("fit_count", Value("n_n", line.count, "", 0), fit)
    ledger.given("fit_spread", Value("S_x", line.spread_x, "", 6), fit)
    level = f"{100 * speed.level:g}"
    ledger.given(
        "fit_reach", Value("t_s", line.reach(speed.level), "", 6), ledger.source("interval", level=level)
    )
    return _FITTED_MIDDLE, _FITTED_UPPER


def _floor_m_s(river: _River, number: int, row: StageResult[CaseResult]) -> float:
    """What was seen at this water or below, and the rows below."""
    below = [other.design_speed_m_s for other in river.stages[: number - 1]]
    return max([float(river.model.speed_floor.at(np.array(row.rise_m))), *below])


def _modelled_rows(ledger: Ledger, river: _River) -> None:
    """Rows whose speed nobody saw, with the model that gives it."""
    rows = [(number, row) for number, row in enumerate(river.stages, 1) if _by_formula(row)]
    if not rows:
        return
    model = river.model
    if model.gauged is not None:
        floors = [(number, row, _floor_m_s(river, number, row)) for number, row in rows]
        gauged_rows(ledger, model, model.gauged, floors)
        return
    middle, upper = _fitted(ledger, river)
    ledger.given("datum_depth", Value("d_0", model.datum_depth_m, "m", 4), ledger.source("datum_depth"))
    ledger.given("least_depth", Value("d_lo", model.depth_least_m, "m", 4), ledger.source("depth_least"))
    quantities = (
        Quantity(ledger.title("row_rise"), "y", "m"),
        Quantity(ledger.title("row_depth"), "d", "m", "max(y + d_0, d_lo)"),
        Quantity(ledger.title("row_middle"), "v_m", "m/s", middle),
        Quantity(ledger.title("row_upper"), "v_u", "m/s", upper),
        Quantity(ledger.title("row_floor"), "v_f", "m/s"),
        Quantity(ledger.title("row_design"), "v", "m/s", "max(v_u, v_f)"),
    )
    instances = []
    for number, row in rows:
        depth = np.maximum(np.array(row.rise_m) + model.datum_depth_m, model.depth_least_m)
        floor = _floor_m_s(river, number, row)
        cells = (
            Value("y", row.rise_m, "m", 4),
            Value("d", float(depth), "m", 4),
            Value("v_m", float(model.speed.middle(depth)), "m/s", 4),
            Value("v_u", float(model.speed.upper(depth)), "m/s", 4),
            Value("v_f", floor, "m/s", 4),
            Value("v", row.design_speed_m_s, "m/s", 4),
        )
        instances.append(Instance(ledger.title("row", number=str(number)), str(number), cells))
    ledger.table("modelled_rows", quantities, instances, source=ledger.source("modelled"), across=True)


def _rows_table(ledger: Ledger, river: _River) -> None:
    """Every row of the level table in one view."""
    none = ledger.words("derivation.unknown")
    head = ledger.words.of("derivation.stage_row")
    quantities = [
        Quantity(head["stage"], "s", "m"),
        Quantity(head["rise"], "y", "m"),
        Quantity(head["discharge"], "Q", "m³/s"),
        Quantity(head["width"], "B", "m"),
        Quantity(head["speed"], "v", "m/s"),
        Quantity(head["how"], "", ""),
    ]
    instances = [
        Instance(
            ledger.title("row", number=str(number)),
            "",
            (
                _cell("s", row.stage_m, "m", 3, none),
                Value("y", row.rise_m, "m", 3),
                _cell("Q", row.discharge_m3_s, "m³/s", 2, none),
                Value("B", row.width_m, "m", 2),
                Value("v", row.design_speed_m_s, "m/s", 4),
                _how(ledger, row),
            ),
        )
        for number, row in enumerate(river.stages, 1)
    ]
    ledger.table("stage_rows", quantities, instances)


def _how(ledger: Ledger, row: StageResult[CaseResult]) -> str:
    """How a row was come by, in words."""
    marks = [ledger.words(f"derivation.how.{'modelled' if row.modelled else row.name}")]
    marks += [ledger.words("derivation.how.planning")] if row.planning else []
    marks += [ledger.words("derivation.how.beyond")] if row.beyond_survey else []
    marks += [ledger.words(f"derivation.how.{code}") for code in row.assumed]
    return ", ".join(marks)


def water_chapter(ledger: Ledger, plan: SitePlan, policy: PolicyValues) -> None:
    """Notes, rows, and the planning row's rise and design speed."""
    settings = stage_settings(policy)
    model = river_model(plan.site.access, width_m=plan.frame.width_m, settings=settings)
    river = _River(plan, settings, model)
    number = next(number for number, row in enumerate(river.stages, 1) if row.planning)
    planning = plan.chosen.planning
    exports = ("v", "h_w", "s_0", "s_p")
    with ledger.chapter("water", exports=exports):
        _notes_table(ledger, river)
        _noted_rows(ledger, river)
        _modelled_rows(ledger, river)
        _rows_table(ledger, river)
        speed = Value("v", planning.design_speed_m_s, "m/s", 4)
        ledger.step("design_speed", speed, f"v_{number}", ledger.source("planning"), figure=Figure.SPEED)
        rise = Value("h_w", planning.rise_m, "m", 3)
        if planning.stage_m is None or model.datum_stage_m is None:
            ledger.given("rise_of_water", rise, ledger.source("stage_unknown"), figure=Figure.CLEARANCE)
            return
        if plan.site.access.stage_m is None:
            datum = Value("s_0", model.datum_stage_m, "m", 3)
            ledger.given("stage_of_survey", datum, ledger.source("lowest_note"), figure=Figure.STAGE)
        stage = Value("s_p", planning.stage_m, "m", 3)
        ledger.given("planning_stage", stage, ledger.source("planning"), figure=Figure.STAGE)
        ledger.step("rise_of_water", rise, "s_p - s_0", ledger.source("geometry"), figure=Figure.CLEARANCE)
