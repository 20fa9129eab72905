"""Judged cases computed again for another set tension, speed, water or height of the ties; their margins."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.rigging.limits import clearance_needed_m
from atlas.units import Figure
from atlas.workings.paper.entries import Instance, Quantity, Relation, Value, sided
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.loads_chapters import case_sides
from atlas.workings.paper.rigged import Over, Rigged, case_drag_n

__all__ = [
    "Asked",
    "at_speed",
    "cases_table",
    "clearance_asked",
    "drags_at_speed",
    "force_margins",
    "least_clearance",
]


@dataclass(frozen=True, slots=True)
class Asked:
    """What the judged cases are computed again for.

    Attributes
    ----------
    mark : added to the index of every symbol
    drags_n : of the judged cases
    most_n : set tension for the greatest tension
    least_n : set tension for the least clearance
    needed_m : clearance asked
    over : water and ties
    """

    mark: str
    drags_n: tuple[float, ...]
    most_n: float
    least_n: float
    needed_m: float
    over: Over


def at_speed(
    ledger: Ledger, rigged: Rigged, *, mark: str, speed_m_s: float, over: Over, set_n: tuple[float, float]
) -> Asked:
    """At a design speed; `set_n` are the least and the most set."""
    drags = tuple(case_drag_n(rigged.policy, case.case, speed_m_s=speed_m_s) for case in rigged.judged)
    needed = float(clearance_needed_m(base_m=ledger.known["C_0"].value, speed_m_s=speed_m_s))
    return Asked(mark, drags, set_n[1], set_n[0], needed, over)


def cases_table(ledger: Ledger, rigged: Rigged, asked: Asked, key: str) -> None:
    """Greatest tension and least clearance of each judged case, with the place of each."""
    needed_m = (asked.needed_m,) * len(asked.drags_n)
    drags_n, over = asked.drags_n, asked.over
    tight = rigged.tightest(drag_n=drags_n, clearance_m=needed_m, pretension_n=asked.most_n, over=over)
    low = rigged.lowest(drag_n=drags_n, clearance_m=needed_m, pretension_n=asked.least_n, over=over)
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
        instances.append(
            Instance(ledger.words(f"case.{case.case}"), f"{sides[case.case]}{asked.mark}", cells)
        )
    ledger.table(key, quantities, instances, source=ledger.source("worse"), across=True)


def _of_all(rigged: Rigged, symbol: str, mark: str, function: str) -> str:
    sides = case_sides(rigged.rig.planning.cases)
    names = ", ".join(sided(symbol, f"{sides[case.case]}{mark}") for case in rigged.judged)
    return f"{function}({names})"


def force_margins(ledger: Ledger, rigged: Rigged, *, mark: str) -> None:
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


def least_clearance(ledger: Ledger, rigged: Rigged, *, mark: str, needed: str) -> None:
    """Least clearance of a table's cases against what is needed."""
    least = _of_all(rigged, "C", mark, "min")
    value = min(ledger.known[name].value for name in _names(least))
    clear = Value(f"C_{mark}", value, "m", 3)
    ledger.step("least_clearance", clear, least, ledger.source("least_of"), figure=Figure.CLEARANCE)
    ledger.check("check_clearance", clear.symbol, Relation.AT_LEAST, needed)


def clearance_asked(ledger: Ledger, asked: Asked, *, speed: str) -> None:
    """What clearance is asked at a speed that was told."""
    value = Value(f"C_n{asked.mark}", asked.needed_m, "m", 3)
    ledger.step("clearance_needed", value, f"C_0 + {speed}**2 / (2 * g)", ledger.source("waves"))


def drags_at_speed(ledger: Ledger, rigged: Rigged, asked: Asked, *, speed: str) -> None:
    """The drags of a table from a speed that was told."""
    sides = case_sides(rigged.rig.planning.cases)
    for case in rigged.judged:
        side = sides[case.case]
        title = ledger.title("drag_of", case=ledger.words(f"case.{case.case}"))
        formula = f"k_{side} * m_w * A_{side} * {speed}**2 / 2"
        ledger.step(
            "drag", ledger.known[f"D_{side}{asked.mark}"], formula, ledger.source("drag"), title=title
        )
