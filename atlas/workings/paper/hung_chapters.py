"""What pulls on the carriage at a printed state: drag alone, or every line by its way and tension."""

from __future__ import annotations

import numpy as np

from atlas.rigging.ferry import StationPoint
from atlas.rigging.pulls import END_ROOM_M, LEAST_MOST_N
from atlas.units import Figure
from atlas.workings.paper.asked import StateAsked
from atlas.workings.paper.entries import Instance, Quantity, Value, sided
from atlas.workings.paper.formula import evaluate, names_in, parse
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.rigged import Rigged

__all__ = ["TENDED", "load_entries"]

TENDED = (("ferry-near", "p"), ("ferry-far", "q"), ("up-down", "u"))
"""Tended lines with the index of their symbols."""

# The way from the ring to a station, in the order in which it is worked out: word, symbol, formula.
_WAY = (
    ("way_along", "g_x", "x - x_c"),
    ("way_downstream", "g_y", "y - y_c"),
    ("way_up", "g_z", "z - z_r"),
    ("way", "g_s", "sqrt(g_x**2 + g_y**2 + g_z**2)"),
)


def _worked(ledger: Ledger, formula: str) -> float:
    """A formula's result from the unrounded numbers that were told."""
    node = parse(formula)
    return float(evaluate(node, {name: ledger.known[name].value for name in names_in(node)}))


def _step(
    ledger: Ledger,
    key: str,
    symbol: str,
    unit: str,
    decimals: int,
    formula: str,
    *,
    figure: Figure | None = None,
) -> None:
    result = Value(symbol, _worked(ledger, formula), unit, decimals)
    ledger.step(key, result, formula, ledger.source("statics"), figure=figure)


def _place(ledger: Ledger, rigged: Rigged, asked: StateAsked) -> None:
    """Where the carriage hangs, and what holds it there."""
    place, track = asked.place, asked.track
    ledger.given("carriage_place", Value("x_c", place.at_m, "m", 4), ledger.source("worst_place"))
    bow = Value("y_c", float(track.downstream_m), "m", 4)
    ledger.given("carriage_bow", bow, ledger.source("solved"), figure=Figure.BOW)
    ledger.given("carriage_height", Value("z_c", float(track.height_m), "m", 4), ledger.source("solved"))
    ring_m = float(rigged.setup.near_tie_height_m + track.height_m - rigged.setup.ring_below_line_m)
    over_m = ring_m - rigged.rig.planning.rise_m - rigged.setup.bow_ring_m
    statics = ledger.source("statics")
    ledger.step("ring_over_bow", Value("h_r", over_m, "m", 4), "z_n + z_c - l_r - h_w - l_b", statics)
    strand_m = max(rigged.setup.reach_m - float(track.downstream_m), rigged.setup.strand_least_m)
    ledger.step("strand_reach", Value("r_s", strand_m, "m", 4), "max(r - y_c, r_lo)", statics)


def _drag(ledger: Ledger, rigged: Rigged, side: str) -> None:
    """The drag put on the line: of the case, or cut at the range shown."""
    drag = ledger.known[f"D_{side}"]
    most_n = rigged.drag_most_n
    if drag.value <= most_n:
        ledger.step("drag_taken", Value("F_d", drag.value, "N", 2), drag.symbol, ledger.source("statics"))
    else:
        ledger.given("drag_taken", Value("F_d", most_n, "N", 2), ledger.source("cut"))


def _ways(ledger: Ledger, rigged: Rigged) -> None:
    """From the ring to the stations of the tended lines."""
    setup = rigged.setup
    stations: tuple[StationPoint, ...] = (setup.ferry_near, setup.ferry_far, setup.up_down)
    instances = []
    for (line, index), station in zip(TENDED, stations, strict=True):
        cells = [
            Value("x", station.x_m, "m", 4),
            Value("y", station.y_m, "m", 4),
            Value("z", station.z_m, "m", 4),
        ]
        numbers = {name: ledger.known[name].value for name in ("x_c", "y_c", "z_r")}
        numbers |= {cell.symbol: cell.value for cell in cells}
        for _, symbol, formula in _WAY:
            numbers[symbol] = float(evaluate(parse(formula), numbers))
            cells.append(Value(symbol, numbers[symbol], "m", 4))
        instances.append(Instance(ledger.words(f"line.{line}"), index, tuple(cells)))
    quantities = (
        *(Quantity(ledger.title(f"station_{axis}"), axis, "m") for axis in ("x", "y", "z")),
        *(Quantity(ledger.title(key), symbol, "m", formula) for key, symbol, formula in _WAY),
    )
    ledger.table("ways", quantities, instances, source=ledger.source("geometry"), across=True)


def _least(ledger: Ledger, asked: StateAsked) -> None:
    """Least tension of the ferry lines, which keeps them over the water."""
    ledger.limit("ferry_weight", "w_f", "loads.ferry_weight", "N/m", 3)
    needed = Value("C_f", asked.case.clearance_needed_m, "m", 4)
    ledger.given("line_clearance", needed, ledger.source("waves"))
    ledger.given("end_room", Value("b_0", END_ROOM_M, "m", 2), ledger.source("end_room"))
    ledger.given("least_most", Value("T_hi", LEAST_MOST_N, "N", 0), ledger.source("least_most"))
    _step(ledger, "room_ring", "b_r", "m", 4, "max(z_r - h_w - C_f, b_0)")
    for line, index in TENDED[:2]:
        title = ledger.words(f"line.{line}")
        room = Value(sided("b", index), _worked(ledger, f"max({sided('z', index)} - h_w - C_f, b_0)"), "m", 4)
        ledger.step(
            "room", room, f"max({sided('z', index)} - h_w - C_f, b_0)", ledger.source("statics"),
            title=ledger.title("room", line=title),
        )  # fmt: skip
        far = sided("g_s", index)
        formula = f"min(w_f * {far}**2 / (2 * (sqrt({room.symbol}) + sqrt(b_r))**2), T_hi)"
        least = Value(sided("T_0", index), _worked(ledger, formula), "N", 3)
        ledger.step(
            "least_tension", least, formula, ledger.source("parabola_line"),
            title=ledger.title("least_tension", line=title),
        )  # fmt: skip


def _shares(parts: tuple[tuple[str, str], ...], axis: str) -> str:
    """Sum of the parts of tensions along an axis, each by its way."""
    return " + ".join(
        f"{tension} * {sided(f'g_{axis}', index)} / {sided('g_s', index)}" for tension, index in parts
    )


def _tended(ledger: Ledger, rigged: Rigged, asked: StateAsked, slope: str) -> None:
    """Working strand and ferry lines: the far one gives what is missing along the line, the near the rest."""
    _step(ledger, "ring_height", "z_r", "m", 4, "z_n + z_c - l_r")
    _ways(ledger, rigged)
    strands = rigged.setup.bow_strands
    ledger.given("bow_strands", Value("n_s", strands, "", 0), ledger.source("rig_template"))
    _step(ledger, "working", "T_u", "N", 3, "P_s / n_s", figure=Figure.TENSION)
    _least(ledger, asked)
    known = (("T_0p", "p"), ("T_0q", "q"), ("T_u", "u"))
    _step(
        ledger,
        "left_along",
        "F_l",
        "N",
        3,
        f"F_x - F_d * sin(a * pi / 180) - ({_shares(known, 'x')})",
    )
    for line, index, sign in (("ferry-near", "p", "-F_l"), ("ferry-far", "q", "F_l")):
        formula = f"T_0{index} + max({sign}, 0) * {sided('g_s', index)} / abs({sided('g_x', index)})"
        tension = Value(f"T_{index}", _worked(ledger, formula), "N", 3)
        ledger.step(
            "ferry_tension", tension, formula, ledger.source("statics"),
            title=ledger.title("ferry_tension", line=ledger.words(f"line.{line}")),
        )  # fmt: skip
    lines = (("T_p", "p"), ("T_q", "q"), ("T_u", "u"))
    _step(
        ledger, "load_downstream_whole", "F_y", "N", 2,
        f"F_d * cos(a * pi / 180) + {_shares(lines, 'y')}",
    )  # fmt: skip
    _step(ledger, "load_down_whole", "F_z", "N", 2, f"W + F_d * {slope} - ({_shares(lines, 'z')})")


def load_entries(ledger: Ledger, rigged: Rigged, asked: StateAsked, side: str) -> None:
    """What pulls on the carriage where it hangs."""
    _place(ledger, rigged, asked)
    _drag(ledger, rigged, side)
    # a ring lower than the bow ring pulls down by nothing: the water carries the boat
    slope = "h_r / r_s" if ledger.known["h_r"].value >= 0.0 else "max(h_r, 0) / r_s"
    _step(ledger, "strands", "P_s", "N", 2, f"F_d * hypot(1, {slope})", figure=Figure.TENSION)
    ledger.given("load_along", Value("F_x", asked.place.along_n, "N", 2), ledger.source("along"))
    if asked.place.whole:
        _tended(ledger, rigged, asked, slope)
    else:
        _step(ledger, "load_downstream", "F_y", "N", 2, "F_d")
        _step(ledger, "load_down", "F_z", "N", 2, f"W + F_d * {slope}")
    formula = "sqrt(F_x**2 + F_y**2 + F_z**2)"
    resultant = float(np.sqrt(asked.place.along_n**2 + asked.place.downstream_n**2 + asked.place.up_n**2))
    ledger.step(
        "resultant", Value("F_r", resultant, "N", 2), formula, ledger.source("statics"), figure=Figure.TENSION
    )
