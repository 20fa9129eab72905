"""A tether from its inputs on: stations, angle, equilibrium of the bow, what stands it, limit, lines."""

from __future__ import annotations

from math import cos, hypot, radians, sin

from atlas.plan import BowLoad, LinePlan, SitePlan, TetheredCase, TetherRig
from atlas.settings import Settings
from atlas.units import Figure
from atlas.workings.paper.entries import Instance, Quantity, Relation, Value
from atlas.workings.paper.ledger import Ledger

__all__ = [
    "bow_chapter",
    "stations_chapter",
    "tether_cases_chapter",
    "tether_limit_chapter",
    "tether_lines_chapter",
]

_BANKS = ("near", "far")
_ACROSS = "(x_{b} - x_{a}) * cos(s_f * pi / 180) - (y_{b} - y_{a}) * sin(s_f * pi / 180)"
_DOWN = "(x_{b} - x_{a}) * sin(s_f * pi / 180) + (y_{b} - y_{a}) * cos(s_f * pi / 180)"


def stations_chapter(ledger: Ledger, plan: SitePlan, rig: TetherRig) -> None:
    """Where the bow lines are worked from, and the greatest angle between them over the work area."""
    survey = ledger.source(
        "survey", file=plan.site.file.rsplit("/", 1)[-1], date=plan.site.access.surveyed.isoformat()
    )
    with ledger.chapter("tether_stations", exports=("x_1", "y_1", "z_1", "x_2", "y_2", "z_2", "s_f")):
        ledger.given("skew", Value("s_f", plan.frame.skew_deg, "°", 4), ledger.source("geometry"))
        for number, station in enumerate(rig.stations[:2], 1):
            source = survey if station.tag else ledger.source("tether_on_scene")
            tag = station.tag or ledger.words(f"station.bow_{station.bank}")
            for key, symbol, value in (
                ("x", "x", station.at[0]),
                ("y", "y", station.at[1]),
                ("z", "z", station.height_m),
            ):
                title = ledger.title(f"tether_{key}", tag=tag)
                ledger.given("", Value(f"{symbol}_{number}", value, "m", 4), source, title=title)
        worst = ledger.source("tether_outline")
        ledger.given("tether_angle_x", Value("x_a", rig.angle_at[0], "m", 4), worst)
        ledger.given("tether_angle_y", Value("y_a", rig.angle_at[1], "m", 4), worst)
        (x_a, y_a), runs = rig.angle_at, []
        for number, station in enumerate(rig.stations[:2], 1):
            run_m = hypot(station.at[0] - x_a, station.at[1] - y_a)
            runs.append((station.at[0] - x_a, station.at[1] - y_a))
            ledger.step(
                "tether_run",
                Value(f"r_{number}", run_m, "m", 4),
                f"hypot(x_{number} - x_a, y_{number} - y_a)",
                ledger.source("geometry"),
                title=ledger.title("tether_run", bank=ledger.words(f"sheet.bank.{station.bank}")),
            )
        product = runs[0][0] * runs[1][0] + runs[0][1] * runs[1][1]
        ledger.step(
            "tether_product",
            Value("q_a", product, "m²", 3),
            "(x_1 - x_a) * (x_2 - x_a) + (y_1 - y_a) * (y_2 - y_a)",
            ledger.source("geometry"),
        )
        ledger.step(
            "tether_angle",
            Value("a_b", rig.angle_deg, "°", 2),
            "acos(q_a / (r_1 * r_2)) * 180 / pi",
            ledger.source("geometry"),
            figure=Figure.INCLUDED_ANGLE,
        )
        ledger.limit("tether_angle_most", "a_m", "tether.included_angle_most", "°", 1)
        ledger.check("tether_angle_kept", "a_b", Relation.AT_MOST, "a_m")


def _worst(rig: TetherRig, index: int) -> tuple[TetheredCase, BowLoad]:
    """The judged case at the planning stage in which a bow line pulls most."""
    cases = [case for case in rig.planning.cases if case.judged]
    case = max(cases, key=lambda one: one.bow[index].tension_n)
    return case, case.bow[index]


def _drag(ledger: Ledger, case: TetheredCase) -> None:
    ledger.limit("surge", "k", f"cases.{case.case}.surge")
    ledger.limit("area", "A", f"cases.{case.case}.area", "m²", 4)
    ledger.limit("water_density", "m_w", "loads.water_density", "kg/m³", 0)
    drag = Value("D", case.drag_n, "N", 1)
    ledger.step("drag", drag, "k * m_w * A * v**2 / 2", ledger.source("drag"), figure=Figure.TENSION)


def _levers(ledger: Ledger, plan: SitePlan, rig: TetherRig, load: BowLoad) -> dict[str, float]:
    """How far the bow lies across from and downriver of each station."""
    s = radians(plan.frame.skew_deg)
    (x, y), found = load.at, {}
    for number, station in enumerate(rig.stations[:2], 1):
        dx, dy = x - station.at[0], y - station.at[1]
        across, down = dx * cos(s) - dy * sin(s), dx * sin(s) + dy * cos(s)
        sign = 1.0 if number == 1 else -1.0
        found[f"b_{number}"], found[f"m_{number}"] = sign * across, down
        formula = _ACROSS.format(b="p", a=number) if number == 1 else _ACROSS.format(b="2", a="p")
        bank = ledger.words(f"sheet.bank.{station.bank}")
        ledger.step(
            "",
            Value(f"b_{number}", sign * across, "m", 4),
            formula,
            ledger.source("geometry"),
            title=ledger.title("tether_across", bank=bank),
        )
        ledger.step(
            "",
            Value(f"m_{number}", down, "m", 4),
            _DOWN.format(b="p", a=number),
            ledger.source("geometry"),
            title=ledger.title("tether_down", bank=bank),
        )
    return found


def _tensions(ledger: Ledger, rig: TetherRig, levers: dict[str, float], drag_n: float) -> None:
    """Straight distances and both lines' pulls with the bow there; upriver they hold the drag."""
    area = levers["b_1"] * levers["m_2"] + levers["b_2"] * levers["m_1"]
    ledger.step(
        "tether_area", Value("F", area, "m²", 3), "b_1 * m_2 + b_2 * m_1", ledger.source("tether_balance")
    )
    ring_m = rig.planning.rise_m + rig.bow_ring_m
    held_n = 0.0
    for number, station in enumerate(rig.stations[:2], 1):
        up_m = station.height_m - ring_m
        straight_m = hypot(levers[f"b_{number}"], levers[f"m_{number}"], up_m)
        bank = ledger.words(f"sheet.bank.{station.bank}")
        ledger.step(
            "",
            Value(f"d_{number}", straight_m, "m", 4),
            f"sqrt(b_{number}**2 + m_{number}**2 + (z_{number} - h_w - z_b)**2)",
            ledger.source("geometry"),
            title=ledger.title("tether_straight", bank=bank),
        )
        other = 3 - number
        pull_n = drag_n * straight_m * levers[f"b_{other}"] / area
        held_n += pull_n * levers[f"m_{number}"] / straight_m
        ledger.step(
            "",
            Value(f"T_{number}", pull_n, "N", 1),
            f"D * d_{number} * b_{other} / F",
            ledger.source("tether_balance"),
            title=ledger.title("tether_pull", bank=bank),
            figure=Figure.TENSION,
        )
    ledger.step(
        "tether_upriver",
        Value("D_h", held_n, "N", 1),
        "T_1 * m_1 / d_1 + T_2 * m_2 / d_2",
        ledger.source("tether_upriver"),
    )


def _stands(ledger: Ledger, plan: SitePlan, rig: TetherRig, settings: Settings, index: int) -> None:
    """Rope and connectors against the factor, the anchor against its ratio, the speed at the limit."""
    number, rope = index + 1, rig.ropes[index]
    take = next(line.take for line in rig.lines if line.line == rope.line)
    stock = plan.stock(take[0]) if take else None
    cache = ledger.source("cache", agency=rope.agency or "", rope=rope.name or "")
    source = cache if stock is not None else ledger.source("tether_weakest")
    ledger.given("rope_strength", Value("S", rope.strength_n, "N", 0), source, figure=Figure.STRENGTH_HELD)
    rule = next(one for one in settings.rig(rig.rig).line if one.name == rope.line)
    fibre = "unknown" if stock is None else stock.fibre
    fibre = fibre if hasattr(settings.policy.values.wet, fibre) else "unknown"
    ledger.limit("wet", "k_w", f"wet.{fibre}")
    ledger.limit("tether_end", "k_n", f"ends.{rule.end}")
    kept_n = rope.strength_n * rope.kept
    ledger.step("strength_kept", Value("S_k", kept_n, "N", 0), "S * k_w * k_n", ledger.source("kept"))
    strength_n, symbols = kept_n, ["S_k"]
    for place, part in enumerate(settings.rig(rig.rig).part, 1):
        value = Value(f"S_{place}", part.rating_kn * 1e3, "N", 0)
        ledger.given("", value, part.source, title=ledger.words(f"track_part.{part.name}"))
        symbols.append(value.symbol)
        strength_n = min(strength_n, part.rating_kn * 1e3)
    tension_n = _worst(rig, index)[1].tension_n
    least = f"min({', '.join(symbols)})"
    ledger.step(
        "tether_factor",
        Value("f", strength_n / tension_n, "", 3),
        f"{least} / T_{number}",
        ledger.source("tether_factor"),
        figure=Figure.FACTOR,
    )
    ledger.limit("factor_lines", "f_m", "limits.factor_lines")
    ledger.check("tether_factor_kept", "f", Relation.AT_LEAST, "f_m")
    _limit_speed(ledger, plan, rig, index, least=least, strength_n=strength_n)


def _limit_speed(
    ledger: Ledger, plan: SitePlan, rig: TetherRig, index: int, *, least: str, strength_n: float
) -> None:
    """The station's anchor, and the speed at which rope, connectors or anchor are at their limit."""
    number, limits = index + 1, ledger.policy.values.limits
    tension_n = _worst(rig, index)[1].tension_n
    most_n, most = strength_n / limits.factor_lines, f"{least} / f_m"
    anchor = next((one for one in rig.anchors if one.tag == rig.stations[index].tag), None)
    if anchor is not None and anchor.rating_n is not None:
        ledger.limit("anchor_ratio", "r_a", "limits.anchor_ratio")
        ledger.limit("tether_anchor_least", "H_l", "limits.anchor_station_least", "N", 0)
        hold = Value("H", anchor.rating_n, "N", 0)
        source = ledger.source("tether_hold_assumed" if anchor.rating_assumed else "tether_hold")
        ledger.given("tether_hold", hold, source, title=ledger.title("tether_hold", tag=anchor.tag))
        needed_n = max(limits.anchor_ratio * tension_n, limits.anchor_station_least)
        ledger.step(
            "tether_needed",
            Value("H_n", needed_n, "N", 0),
            f"max(r_a * T_{number}, H_l)",
            ledger.source("tether_ratio"),
            figure=Figure.STRENGTH_NEEDED,
        )
        ledger.check("tether_hold_kept", "H", Relation.AT_LEAST, "H_n")
        most_n, most = min(most_n, anchor.rating_n / limits.anchor_ratio), f"min({most}, H / r_a)"
    speed = plan.chosen.planning.design_speed_m_s * (most_n / tension_n) ** 0.5
    ledger.step(
        "tether_speed",
        Value(f"v_{number}", speed, "m/s", 3),
        f"v * sqrt({most} / T_{number})",
        ledger.source("tether_square"),
        figure=Figure.LIMIT_SPEED,
    )


def bow_chapter(ledger: Ledger, plan: SitePlan, rig: TetherRig, settings: Settings, index: int) -> None:
    """One bow line at its worst, from the drag to the speed at which it is at its limit."""
    case, load = _worst(rig, index)
    number = index + 1
    line, told = ledger.words(f"line.{load.line}"), ledger.words(f"case.{case.case}")
    with ledger.chapter("tether_bow", exports=(f"v_{number}",), line=line, case=told):
        _drag(ledger, case)
        source = ledger.source("tether_worst")
        ledger.given("tether_place_x", Value("x_p", load.at[0], "m", 4), source)
        ledger.given("tether_place_y", Value("y_p", load.at[1], "m", 4), source)
        ledger.limit("bow_ring", "z_b", "loads.bow_ring_above_water", "m", 2)
        levers = _levers(ledger, plan, rig, load)
        _tensions(ledger, rig, levers, case.drag_n)
        _stands(ledger, plan, rig, settings, index)


def tether_limit_chapter(ledger: Ledger, rig: TetherRig) -> None:
    """The lesser speed of both lines, and the limit stage as it was found."""
    limit = rig.limit
    with ledger.chapter("tether_limit"):
        if limit is None or limit.held_speed_m_s is None:
            ledger.remark(ledger.words("derivation.note.tether_no_limit"), strong=True)
            return
        ledger.limit("tether_speed_most", "v_m", "loads.speed_most", "m/s", 1)
        ledger.step(
            "tether_held",
            Value("v_h", limit.held_speed_m_s, "m/s", 3),
            "min(v_1, v_2, v_m)",
            ledger.source("tether_held"),
            figure=Figure.LIMIT_SPEED,
        )
        symbols = ["v_h"]
        if limit.stage_speed_m_s is not None:
            value = Value("v_s", limit.stage_speed_m_s, "m/s", 3)
            ledger.given(
                "tether_stage_speed", value, ledger.source("tether_rising"), figure=Figure.LIMIT_SPEED
            )
            symbols.append("v_s")
        if limit.stage_m is not None:
            stage = Value("s_l", limit.stage_m, "m", 3)
            ledger.given("tether_stage", stage, ledger.source("tether_rising"), figure=Figure.LIMIT_STAGE)
        ledger.step(
            "tether_printed",
            Value("v_l", limit.surface_speed_m_s, "m/s", 3),
            f"min({', '.join(symbols)})" if len(symbols) > 1 else "v_h",
            ledger.source("tether_lower"),
            figure=Figure.LIMIT_SPEED,
        )


def _line(ledger: Ledger, line: LinePlan) -> None:
    """One line: its parts, the spare, what the floor adds, and the sum."""
    with ledger.chapter("line", exports=(), line=ledger.words(f"line.{line.line}")):
        symbols: list[str] = []
        planned_m = 0.0
        for number, part in enumerate(line.parts, 1):
            name = ledger.words(f"part.{part.part}")
            title, source = name[:1].upper() + name[1:], ledger.source(f"part_{part.part}")
            if part.part == "spare":
                sum_m = Value("l_s", planned_m, "m", 3)
                ledger.step("parts_sum", sum_m, " + ".join(symbols), ledger.source("sum"))
                spare = Value("l_k", part.length_m, "m", 3)
                ledger.step("", spare, "max(k_sp * l_s, l_sp)", source, title=title)
                symbols = ["l_s", "l_k"]
                continue
            value = Value(f"l_{number}", part.length_m, "m", 3)
            ledger.given("", value, source, title=title)
            planned_m += part.length_m
            symbols.append(value.symbol)
        needed = Value("l", line.needed_m, "m", 3)
        ledger.step("needed", needed, " + ".join(symbols), ledger.source("sum"), figure=Figure.NEEDED_LENGTH)


def tether_lines_chapter(ledger: Ledger, rig: TetherRig) -> None:
    """Every line part by part."""
    with ledger.chapter("lines", exports=("k_sp", "l_sp")):
        ledger.limit("spare_fraction", "k_sp", "lines.spare_fraction")
        ledger.limit("spare_least", "l_sp", "lines.spare_least", "m", 2)
    for line in rig.lines:
        _line(ledger, line)


def tether_cases_chapter(ledger: Ledger, rig: TetherRig) -> None:
    """Every case at every row, as it was computed."""
    quantities = (
        Quantity(ledger.title("drag"), "D", "N"),
        Quantity(ledger.words("line.bow-near"), "T_1", "N"),
        Quantity(ledger.words("line.bow-far"), "T_2", "N"),
        Quantity(ledger.title("tether_factor"), "f", ""),
        Quantity(ledger.title("tether_verdict"), "", ""),
    )
    instances = []
    for number, stage in enumerate(rig.stages, 1):
        for case in stage.cases:
            verdict = ledger.words(f"sheet.levels.{'inside' if case.inside else 'outside'}")
            near, far = case.bow
            cells = (
                Value("D", case.drag_n, "N", 0),
                Value("T_1", near.tension_n, "N", 0),
                Value("T_2", far.tension_n, "N", 0),
                Value("f", case.factor, "", 2),
                verdict,
            )
            name = f"{number} {ledger.words(f'case.{case.case}')}"
            instances.append(Instance(name, "", cells))
    with ledger.chapter("cases"):
        ledger.table("tether_cases", quantities, instances, source=ledger.source("tether_balance"))
