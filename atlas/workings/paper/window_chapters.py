"""Between which set tensions every limit holds, and from which speed of the water none does."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.plan import Limit, Window
from atlas.rigging.limits import clearance_needed_m
from atlas.units import Figure
from atlas.workings.paper.entries import Instance, Quantity, Relation, Value, sided
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.loads_chapters import case_sides
from atlas.workings.paper.rigged import Rigged, case_drag_n

__all__ = ["limit_chapter", "window_chapter"]


@dataclass(frozen=True, slots=True)
class _Asked:
    """Set tensions and drags for which the judged cases are computed again.

    Attributes
    ----------
    drags_n : of the judged cases
    most_n : set tension for the greatest tension
    least_n : set tension for the least clearance
    needed_m : clearance asked
    """

    drags_n: tuple[float, ...]
    most_n: float
    least_n: float
    needed_m: float


def _cases_table(ledger: Ledger, rigged: Rigged, asked: _Asked, key: str, *, mark: str) -> None:
    """Greatest tension and least clearance of each judged case, with the place of each."""
    needed_m = (asked.needed_m,) * len(asked.drags_n)
    tight = rigged.tightest(drag_n=asked.drags_n, clearance_m=needed_m, pretension_n=asked.most_n)
    low = rigged.lowest(drag_n=asked.drags_n, clearance_m=needed_m, pretension_n=asked.least_n)
    sides = case_sides(rigged.rig.planning.cases)
    quantities = (
        Quantity(ledger.title("drag_here"), "D", "N"),
        Quantity(ledger.title("tension_here"), "T", "N"),
        Quantity(ledger.title("tension_place"), "x_T", "m"),
        Quantity(ledger.title("resultant_here"), "F_r", "N"),
        Quantity(ledger.title("clearance_here"), "C", "m"),
        Quantity(ledger.title("clearance_place"), "x_C", "m"),
    )
    instances = []
    for number, case in enumerate(rigged.judged):
        cells = (
            Value("D", asked.drags_n[number], "N", 1),
            Value("T", float(tight.tension_n[number, 0]), "N", 1),
            Value("x_T", float(tight.at_m[number, 0]), "m", 2),
            Value("F_r", float(tight.resultant_n[number, 0]), "N", 1),
            Value("C", float(low.clearance_m[number, 0]), "m", 3),
            Value("x_C", float(low.at_m[number, 0]), "m", 2),
        )
        instances.append(Instance(ledger.words(f"case.{case.case}"), f"{sides[case.case]}{mark}", cells))
    ledger.table(key, quantities, instances, source=ledger.source("worse"), across=True)


def _of_all(rigged: Rigged, symbol: str, mark: str, function: str) -> str:
    sides = case_sides(rigged.rig.planning.cases)
    names = ", ".join(sided(symbol, f"{sides[case.case]}{mark}") for case in rigged.judged)
    return f"{function}({names})"


def _force_margins(ledger: Ledger, rigged: Rigged, *, mark: str) -> None:
    """Least factor of all parts and load on the capture, at the greatest tension of a table."""
    tension = _greatest(ledger, rigged, "T", mark, key="greatest_tension")
    resultant = _greatest(ledger, rigged, "F_r", mark, key="greatest_resultant")
    known = ledger.known
    least, formula = known["S_t"].value / tension.value, f"S_t / {tension.symbol}"
    if "S_r" in known:
        least = min(least, known["S_r"].value / resultant.value)
        formula = f"min({formula}, S_r / {resultant.symbol})"
    factor = Value(f"f_{mark}", least, "", 3)
    ledger.step("factor_here", factor, formula, ledger.source("least_of"), figure=Figure.FACTOR)
    ledger.check("check_factor", factor.symbol, Relation.AT_LEAST, "f_0")
    if "T_c" in known:
        ledger.check("check_capture", tension.symbol, Relation.AT_MOST, "T_c")


def _greatest(ledger: Ledger, rigged: Rigged, symbol: str, mark: str, *, key: str) -> Value:
    formula = _of_all(rigged, symbol, mark, "max")
    most = max(ledger.known[name].value for name in _names(formula))
    value = Value(sided(symbol, mark), most, "N", 1)
    return ledger.step(key, value, formula, ledger.source("greatest"), figure=Figure.TENSION)


def _names(formula: str) -> list[str]:
    return formula[formula.index("(") + 1 : -1].split(", ")


def _least_clearance(ledger: Ledger, rigged: Rigged, *, mark: str, needed: str) -> None:
    least = _of_all(rigged, "C", mark, "min")
    value = min(ledger.known[name].value for name in _names(least))
    clear = Value(f"C_{mark}", value, "m", 3)
    ledger.step("least_clearance", clear, least, ledger.source("least_of"), figure=Figure.CLEARANCE)
    ledger.check("check_clearance", clear.symbol, Relation.AT_LEAST, needed)


def _drags_n(rigged: Rigged, *, speed_m_s: float) -> tuple[float, ...]:
    return tuple(case_drag_n(rigged.policy, case.case, speed_m_s=speed_m_s) for case in rigged.judged)


def _ends(ledger: Ledger, rigged: Rigged, window: Window) -> None:
    """Both ends, each with the states in which its limit is just met."""
    drags = tuple(case.drag_n for case in rigged.judged)
    low = Value("H_1", window.low_n, "N", 1)
    high = Value("H_2", window.high_n, "N", 1)
    ledger.given("window_low", low, ledger.source("bracketed"), figure=Figure.WINDOW_LOW)
    ledger.given("window_high", high, ledger.source("bracketed"), figure=Figure.WINDOW_HIGH)
    asked = _Asked(drags, window.high_n, window.low_n, rigged.judged[0].clearance_needed_m)
    _cases_table(ledger, rigged, asked, "window_states", mark="w")
    _least_clearance(ledger, rigged, mark="w", needed="C_n")
    _force_margins(ledger, rigged, mark="w")
    ledger.check("check_window_rule", "H_2", Relation.AT_MOST, "H_r")
    ledger.check("check_window_share", "H_2", Relation.AT_MOST, "H_s")
    ledger.remark(
        ledger.words(
            "derivation.note.window",
            low=ledger.words(f"governed.{window.low_governed_by}"),
            high=ledger.words(f"governed.{window.high_governed_by}"),
        ),
        strong=True,
    )
    ledger.check("haul_from", "H_lo", Relation.AT_LEAST, "H_1")
    ledger.check("haul_to", "H_up", Relation.AT_MOST, "H_2")


def window_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """The window, or why there is none."""
    window = rigged.rig.window
    with ledger.chapter("window", exports=("H_1", "H_2")):
        ledger.remark(ledger.words("derivation.note.window_asks"))
        if window is not None:
            _ends(ledger, rigged, window)
            return
        ledger.remark(ledger.words("derivation.note.no_window"), strong=True)
        if rigged.rig.window_opens is not None:
            ledger.remark(rigged.rig.window_opens.text)


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
    """The limit speed with the states at it, and the float check."""
    limit = rigged.rig.limit
    with ledger.chapter("limit", exports=("v_L",)):
        if limit is None:
            ledger.remark(ledger.words("derivation.note.no_limit"), strong=True)
            return
        speed = limit.surface_speed_m_s
        ledger.given(
            "limit_speed",
            Value("v_L", speed, "m/s", 4),
            ledger.source("bracketed"),
            figure=Figure.LIMIT_SPEED,
        )
        haul = rigged.rig.haul
        needed = float(clearance_needed_m(base_m=ledger.known["C_0"].value, speed_m_s=speed))
        asked = _Asked(_drags_n(rigged, speed_m_s=speed), haul.most_n, haul.least_n, needed)
        _cases_table(ledger, rigged, asked, "limit_states", mark="L")
        for case in rigged.judged:
            _drag_at_limit(ledger, rigged, case.case)
        _force_margins(ledger, rigged, mark="L")
        ledger.step(
            "clearance_needed",
            Value("C_nL", needed, "m", 3),
            "C_0 + v_L**2 / (2 * g)",
            ledger.source("waves"),
        )
        _least_clearance(ledger, rigged, mark="L", needed="C_nL")
        governed = ledger.words(f"governed.{limit.governed_by}")
        ledger.remark(ledger.words("derivation.note.governed", what=governed), strong=True)
        _float(ledger, limit)


def _drag_at_limit(ledger: Ledger, rigged: Rigged, case: str) -> None:
    side = case_sides(rigged.rig.planning.cases)[case]
    drag = ledger.known[f"D_{side}L"]
    title = ledger.title("drag_of", case=ledger.words(f"case.{case}"))
    ledger.step("drag", drag, f"k_{side} * m_w * A_{side} * v_L**2 / 2", ledger.source("drag"), title=title)
