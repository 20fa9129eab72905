"""From which speed, and from which stage, a judged case is outside plan; the float check."""

from __future__ import annotations

from atlas.plan import Limit
from atlas.units import Figure
from atlas.workings.paper.asked_table import (
    Asked,
    at_speed,
    cases_table,
    clearance_asked,
    drags_at_speed,
    force_margins,
    least_clearance,
)
from atlas.workings.paper.entries import Relation, Value
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.rigged import Over, Rigged

__all__ = ["limit_chapter", "water_entries"]


def _float(ledger: Ledger, limit: Limit) -> None:
    """The float check: whole steps of the pace, and the seconds at the limit."""
    check = ledger.policy.values.float_check
    metric = (
        abs(
            limit.float_distance_m / check.paces_step_si - round(limit.float_distance_m / check.paces_step_si)
        )
        < 1e-6
    )
    name = "paces_step_si" if metric else "paces_step"
    step = ledger.limit("pace", "l_p", f"float_check.{name}", "m", 4)
    ledger.limit("float_least", "t_lo", "float_check.seconds_least", "s", 1)
    paces = round(limit.float_distance_m / step.value)
    ledger.given("paces", Value("n_f", paces, "", 0), ledger.source("whole_steps"))
    distance = Value("l_f", limit.float_distance_m, "m", 3)
    ledger.step(
        "float_distance", distance, "n_f * l_p", ledger.source("statics"), figure=Figure.FLOAT_DISTANCE
    )
    seconds = Value("t_f", limit.float_seconds, "s", 2)
    ledger.step("float_seconds", seconds, "l_f / v_L", ledger.source("statics"), figure=Figure.FLOAT_SECONDS)
    ledger.check("check_float", "t_f", Relation.AT_LEAST, "t_lo")


def limit_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """The limit at the planning stage's geometry, the limit stage, the lesser of both; the float check."""
    limit = rigged.rig.limit
    with ledger.chapter("limit", exports=("v_L",)):
        if limit is None:
            ledger.remark(ledger.words("derivation.note.no_limit"), strong=True)
            return
        held = limit.surface_speed_m_s if limit.held_speed_m_s is None else limit.held_speed_m_s
        ledger.given("held_speed", Value("v_h", held, "m/s", 4), ledger.source("bracketed"))
        _states_at(ledger, rigged, mark="L", speed_m_s=held, over=rigged.planning)
        _governed(ledger, limit.held_governed_by or limit.governed_by)
        least = "v_h"
        if limit.stage_speed_m_s is not None:
            _at_stage(ledger, rigged, limit)
            least = "min(v_h, v_g)"
        speed = Value("v_L", limit.surface_speed_m_s, "m/s", 4)
        ledger.step("limit_speed", speed, least, ledger.source("least_of"), figure=Figure.LIMIT_SPEED)
        _governed(ledger, limit.governed_by)
        _float(ledger, limit)


def _governed(ledger: Ledger, code: str) -> None:
    governed = ledger.words(f"governed.{code}")
    ledger.remark(ledger.words("derivation.note.governed", what=governed), strong=True)


def _states_at(ledger: Ledger, rigged: Rigged, *, mark: str, speed_m_s: float, over: Over) -> None:
    """The judged cases at a speed, with what the haul sets."""
    speed = {"L": "v_h", "g": "v_g"}[mark]
    haul = rigged.rig.haul
    asked = at_speed(
        ledger, rigged, mark=mark, speed_m_s=speed_m_s, over=over, set_n=(haul.least_n, haul.most_n)
    )
    _margins(ledger, rigged, asked, key={"L": "limit_states", "g": "stage_states"}[mark], speed=speed)


def _margins(ledger: Ledger, rigged: Rigged, asked: Asked, *, key: str, speed: str) -> None:
    cases_table(ledger, rigged, asked, key)
    drags_at_speed(ledger, rigged, asked, speed=speed)
    force_margins(ledger, rigged, mark=asked.mark)
    clearance_asked(ledger, asked, speed=speed)
    least_clearance(ledger, rigged, mark=asked.mark, needed=f"C_n{asked.mark}")


def water_entries(ledger: Ledger, rigged: Rigged, *, mark: str, rise_m: float, width_m: float) -> Over:
    """A water with its setbacks and the carriage's travel over it."""
    frame, over = rigged.plan.frame, rigged.over(rise_m=rise_m, width_m=width_m)
    geometry = ledger.source("grown")
    ledger.given("width_there", Value(f"B_{mark}", width_m, "m", 3), ledger.source("way"))
    grown_m = (width_m - frame.width_m) / 2.0
    for key, symbol, surveyed_m in (
        ("setback_near", "b_n", frame.setback_near_m),
        ("setback_far", "b_f", frame.setback_far_m),
    ):
        value = Value(f"{symbol}{mark}", surveyed_m - grown_m, "m", 3)
        ledger.step(key, value, f"{symbol} - (B_{mark} - B) / 2", geometry)
    levered = rigged.rig.leverage_m
    if levered is None:
        return over
    for key, symbol, end_m in (("leverage_from", "x_l1", levered[0]), ("leverage_to", "x_l2", levered[1])):
        ledger.given(key, Value(symbol, end_m, "m", 3), ledger.source("leverage"))
    ends = (Value(f"x_1{mark}", over.travel_m[0], "m", 3), Value(f"x_2{mark}", over.travel_m[1], "m", 3))
    source = ledger.source("travel")
    ledger.step("travel_from", ends[0], f"max(b_n{mark}, 0.02 * L, x_l1)", source)
    ledger.step("travel_to", ends[1], f"min(L - b_f{mark}, 0.98 * L, x_l2)", source)
    return over


def _at_stage(ledger: Ledger, rigged: Rigged, limit: Limit) -> None:
    """The limit stage: rise, speed and width of its water, and the states there."""
    if limit.rise_m is None or limit.stage_speed_m_s is None or limit.stage_width_m is None:
        return
    ledger.remark(ledger.words("derivation.note.way"))
    ledger.given("limit_rise", Value("h_g", limit.rise_m, "m", 4), ledger.source("bracketed"))
    if limit.stage_m is not None and "s_0" in ledger.known:
        stage = Value("s_L", limit.stage_m, "m", 3)
        ledger.step("limit_stage", stage, "s_0 + h_g", ledger.source("statics"), figure=Figure.LIMIT_STAGE)
    ledger.given("stage_speed", Value("v_g", limit.stage_speed_m_s, "m/s", 4), ledger.source("way"))
    over = water_entries(ledger, rigged, mark="g", rise_m=limit.rise_m, width_m=limit.stage_width_m)
    _states_at(ledger, rigged, mark="g", speed_m_s=limit.stage_speed_m_s, over=over)
    _governed(ledger, limit.stage_governed_by or limit.governed_by)
