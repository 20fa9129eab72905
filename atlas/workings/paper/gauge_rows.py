"""How rows come from a gauge: flow by its rating, speed by the flow, and the interval of both together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from atlas.plan import CaseResult, StageResult
from atlas.water import GaugedRiver, RiverModel
from atlas.water.line_fit import LineFit
from atlas.workings.paper.entries import Instance, Quantity, Value
from atlas.workings.paper.ledger import Ledger

__all__ = ["gauged_rows"]

_LN_FLOW = "y_q + n_q * (log(z) - x_q)"
_DOUBT = "t_q * sqrt(1 + 1 / N_q + (log(z) - x_q)**2 / S_q)"
_LN_SPEED = "y_b + n_v * (q - x_b)"
_HALF = "hypot(t_s * sqrt(1 + 1 / n_n + (q - x_b)**2 / S_x), n_v * e)"


def _line(
    ledger: Ledger, line: LineFit, symbols: Sequence[str], source: str, *, of: str, level: float
) -> None:
    """Slope, means, count, spread and reach of one fit."""
    slope, mean_x, mean_y, count, spread, reach = symbols
    ledger.given(f"{of}_slope", Value(slope, line.slope, "", 5), source)
    ledger.given(f"{of}_mean_x", Value(mean_x, line.mean_x, "", 5), source)
    ledger.given(f"{of}_mean_y", Value(mean_y, line.mean_y, "", 5), source)
    ledger.given(f"{of}_count", Value(count, line.count, "", 0), source)
    ledger.given(f"{of}_spread", Value(spread, line.spread_x, "", 6), source)
    shown = ledger.source("interval", level=f"{100 * level:g}")
    ledger.given(f"{of}_reach", Value(reach, line.reach(level), "", 6), shown)


def _fits(ledger: Ledger, gauged: GaugedRiver) -> None:
    rating, speed = gauged.rating.line, gauged.speed.line
    rated = ledger.source("rating_fit", count=str(rating.count))
    ledger.given("rating_offset", Value("s_e", gauged.rating.offset_m, "m", 5), rated)
    ledger.given("rating_lowest", Value("s_lo", gauged.lowest_m, "m", 4), rated)
    _line(ledger, rating, ("n_q", "x_q", "y_q", "N_q", "S_q", "t_q"), rated, of="rating", level=gauged.level)
    fitted = ledger.source("gauge_fit", count=str(speed.count), dropped=str(gauged.dropped))
    _line(ledger, speed, ("n_v", "x_b", "y_b", "n_n", "S_x", "t_s"), fitted, of="speed", level=gauged.level)


def gauged_rows(
    ledger: Ledger,
    model: RiverModel,
    gauged: GaugedRiver,
    rows: Sequence[tuple[int, StageResult[CaseResult], float]],
) -> None:
    """The rows that the gauge gives, and noted ones that it raises.

    Parameters
    ----------
    rows : number, row, and the speed it may not go under [m/s]
    """
    _fits(ledger, gauged)
    title = ledger.title
    quantities = (
        Quantity(title("row_stage"), "s", "m"),
        Quantity(title("row_over_offset"), "z", "m", "max(s, s_lo) - s_e"),
        Quantity(title("row_ln_flow"), "q", "", _LN_FLOW),
        Quantity(title("row_doubt"), "e", "", _DOUBT),
        Quantity(title("row_half"), "b", "", _HALF),
        Quantity(title("row_middle"), "v_m", "m/s", f"exp({_LN_SPEED})"),
        Quantity(title("row_upper"), "v_u", "m/s", "v_m * exp(b)"),
        Quantity(title("row_floor"), "v_f", "m/s"),
        Quantity(title("row_design"), "v", "m/s", "max(v_u, v_f)"),
    )
    instances = []
    for number, row, floor_m_s in rows:
        stage_m = (model.datum_stage_m or 0.0) + row.rise_m
        over = max(stage_m, gauged.lowest_m) - gauged.rating.offset_m
        x = np.log(np.array(over))
        doubt = gauged.rating.line.half_width(x, level=gauged.level)
        flow = gauged.rating.line.at(x)
        state = gauged.at(stage_m)
        middle, _, upper = (float(value) for value in state.speed_m_s)
        cells = (
            Value("s", stage_m, "m", 4),
            Value("z", over, "m", 5),
            Value("q", float(flow), "", 5),
            Value("e", float(doubt), "", 5),
            Value("b", float(np.log(upper / middle)), "", 5),
            Value("v_m", middle, "m/s", 4),
            Value("v_u", upper, "m/s", 4),
            Value("v_f", floor_m_s, "m/s", 4),
            Value("v", row.design_speed_m_s, "m/s", 4),
        )
        instances.append(Instance(title("row", number=str(number)), str(number), cells))
    ledger.table("gauged_rows", quantities, instances, source=ledger.source("gauged"), across=True)
