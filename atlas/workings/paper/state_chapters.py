"""The track line at one printed state, exactly: the rope as it was set, the load, closure and balance.

The unknowns are solved elsewhere; here they are put into the equations of the elastic catenary, which
give back what is known: the span, the rise, the place of the carriage, the length of the rope.
"""

from __future__ import annotations

from typing import SupportsFloat

import numpy as np

from atlas.rigging import hang_segment
from atlas.rigging.catenary import piece
from atlas.rigging.states import EndPull, unstretched_length_m
from atlas.units import Figure
from atlas.workings.paper.asked import StateAsked
from atlas.workings.paper.entries import Instance, Quantity, Value
from atlas.workings.paper.hung_chapters import load_entries
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.loads_chapters import case_sides
from atlas.workings.paper.rigged import Rigged

__all__ = ["StateAsked", "state_entries"]

# What follows from the pull at a tie point, in the order in which it is worked out: word, symbol, unit,
# decimals, formula. Without cancellation, so that the printed digits of a taut rope suffice.
_ALONG_A_SIDE = (
    ("lift_end", "V_1", "N", 3, "V_0 + w * s"),
    ("pull_tie", "t_0", "N", 3, "sqrt(Q_x**2 + Q_y**2 + V_0**2)"),
    ("pull_end", "t_1", "N", 3, "sqrt(Q_x**2 + Q_y**2 + V_1**2)"),
    ("unstretched_rise", "c", "m", 6, "s * (V_0 + V_1) / (t_0 + t_1)"),
    ("rise_share", "g", "m/N", 9, "(s + c) / (V_0 + t_0)"),
    ("run_a_newton", "m", "m/N", 9, "log(1 + w * g) / w + s / E"),
)
_SOLVED = (
    ("pull_along", "Q_x", "N", 3),
    ("pull_downstream", "Q_y", "N", 3),
    ("pull_up", "V_0", "N", 3),
    ("side_length", "s", "m", 5),
)
_SHAPE_POINTS = 2001
"""On each side of the carriage: the chords between them miss the curve by less than a micrometre."""


def _side(
    ledger: Ledger,
    name: str,
    side: str,
    pull: EndPull,
    *,
    length_m: float,
    weight_n_m: float,
    stiffness_n: float,
) -> Instance:
    """One side of a rope as a column, from its tie point to its other end."""
    ends = piece(
        tension=pull.tension_n,
        lift=pull.up_n,
        length=np.array(length_m),
        weight=np.array(weight_n_m),
        compliance=np.array(1.0 / stiffness_n),
    )
    numbers: dict[str, SupportsFloat] = {
        "Q_x": pull.along_n, "Q_y": pull.downstream_n, "V_0": pull.up_n, "s": length_m,
        "V_1": ends.end_lift, "t_0": pull.tension_n, "t_1": ends.end_tension,
        "c": ends.unstretched_rise, "g": ends.rise_share, "m": ends.run_a_newton,
    }  # fmt: skip
    rows = (*_SOLVED, *(row[:4] for row in _ALONG_A_SIDE))
    cells = tuple(Value(symbol, float(numbers[symbol]), unit, decimals) for _, symbol, unit, decimals in rows)
    return Instance(ledger.words(f"derivation.side.{name}"), side, cells)


def _side_quantities(ledger: Ledger) -> tuple[Quantity, ...]:
    solved = [Quantity(ledger.title(key), symbol, unit) for key, symbol, unit, _ in _SOLVED]
    worked = [
        Quantity(ledger.title(key), symbol, unit, formula) for key, symbol, unit, _, formula in _ALONG_A_SIDE
    ]
    return (*solved, *worked)


def _taken(ledger: Ledger, rigged: Rigged, asked: StateAsked) -> None:
    """Set tension and stiffness of the state: which of the haul's two, which bound."""
    haul, rope, place = rigged.rig.haul, rigged.rig.rope, asked.place
    least = min(
        ("H_lo", haul.least_n), ("H_up", haul.most_n), key=lambda one: abs(place.pretension_n - one[1])
    )
    bound = min(
        ("EA_lo", rope.stiffness_low_n),
        ("EA_hi", rope.stiffness_high_n),
        key=lambda one: abs(place.stiffness_n - one[1]),
    )
    source = ledger.source("worse")
    ledger.step("set_tension", Value("H_0", place.pretension_n, "N", 1), least[0], source)
    ledger.step("stiffness_taken", Value("E", place.stiffness_n, "N", 0), bound[0], source)


def _empty_line(ledger: Ledger, rigged: Rigged, asked: StateAsked) -> None:
    """The length at which the rope hangs empty with the set tension, and its proof."""
    frame, weight, stiffness = rigged.plan.frame, rigged.rig.rope.weight_n_m, asked.place.stiffness_n
    ends = {"rise_m": frame.rise_m, "weight_n_m": weight, "stiffness_n": stiffness}
    set_m = float(unstretched_length_m(span_m=frame.span_m, pretension_n=asked.place.pretension_n, **ends))
    ledger.given("set_length", Value("L_0", set_m, "m", 5), ledger.source("solved"))
    hung = hang_segment(run_m=frame.span_m, unstretched_m=set_m, **ends)
    empty = EndPull(hung.horizontal_n, np.zeros(()), hung.first_vertical_n)
    column = _side(ledger, "empty", "e", empty, length_m=set_m, weight_n_m=weight, stiffness_n=stiffness)
    source = ledger.source("catenary")
    ledger.table("empty_line", _side_quantities(ledger), [column], source=source, across=True)
    known, closure = ledger.known, ledger.source("closure")
    ledger.step("closes_set", known["H_0"], "Q_xe", closure)
    ledger.step("closes_length", known["L_0"], "s_e", closure)
    ledger.step("closes_span", known["L"], "Q_xe * m_e", closure)
    ledger.step("closes_rise", known["u"], "c_e + s_e * (V_0e + V_1e) / (2 * E)", closure)


def _set_line(ledger: Ledger, rigged: Rigged, asked: StateAsked) -> None:
    """The rope as it was set, and what seating gives back of it."""
    _taken(ledger, rigged, asked)
    _empty_line(ledger, rigged, asked)
    key, formula = ("seated", "L_0 + q") if asked.place.seating_m > 0.0 else ("unseated", "L_0")
    length = Value("L_1", float(asked.line.unstretched_m), "m", 5)
    ledger.step(key, length, formula, ledger.source(key))


def _closure(ledger: Ledger, asked: StateAsked) -> None:
    """Both sides of the loaded line lead to the carriage, and are as long as the rope."""
    known, source = ledger.known, ledger.source("closure")
    ledger.step("closes_near_run", known["x_c"], "Q_xn * m_n", source)
    ledger.step("closes_far_run", known["L"], "x_c - Q_xf * m_f", source)
    ledger.step("closes_near_bow", known["y_c"], "Q_yn * m_n", source)
    ledger.step("closes_far_bow", known["y_c"], "Q_yf * m_f", source)
    ledger.step("closes_near_height", known["z_c"], "c_n + s_n * (V_0n + V_1n) / (2 * E)", source)
    ledger.step("closes_far_height", known["z_c"], "u + c_f + s_f * (V_0f + V_1f) / (2 * E)", source)
    ledger.step("closes_whole_length", known["L_1"], "s_n + s_f", source)
    shape = asked.line.loaded_shape(asked.track, points_a_side=_SHAPE_POINTS)
    steps = np.diff(np.stack([shape.at_m, shape.downstream_m, shape.height_m]), axis=-1)
    stretched_m = float(np.sqrt((steps**2).sum(axis=0)).sum())
    ledger.step(
        "stretched",
        Value("L_2", stretched_m, "m", 3),
        "s_n * (1 + (t_0n + t_1n) / (2 * E)) + s_f * (1 + (t_0f + t_1f) / (2 * E))",
        ledger.source("hooke"),
    )


def _balance(ledger: Ledger, asked: StateAsked) -> None:
    """One tension on both sides, and three sums of forces on the carriage."""
    near, far, place = asked.track.near_pull, asked.track.far_pull, asked.place
    source = ledger.source("balance")
    tension = Value("T", float(asked.track.tension_n), "N", 1)
    ledger.step("tension", tension, "t_1n", source, figure=Figure.TENSION)
    ledger.step("tension_far", tension, "t_1f", source)
    along = place.along_n - float(near.along_n + far.along_n)
    across = place.downstream_n - float(near.downstream_n + far.downstream_n)
    lifts = float(near.up_n + far.up_n) + float(asked.line.rope.weight_n_m) * float(asked.line.unstretched_m)
    ledger.step("sum_along", Value("K_x", along, "N", 2), "F_x - Q_xn - Q_xf", source)
    ledger.step("sum_downstream", Value("K_y", across, "N", 2), "F_y - Q_yn - Q_yf", source)
    ledger.step("sum_up", Value("K_z", place.up_n - lifts, "N", 2), "-F_z - V_1n - V_1f", source)


def state_entries(ledger: Ledger, rigged: Rigged, asked: StateAsked) -> None:
    """All of a state: rope as set, load, both sides, closure, balance."""
    side = case_sides(rigged.rig.planning.cases)[asked.case.case]
    weight, stiffness = rigged.rig.rope.weight_n_m, asked.place.stiffness_n
    near_m = float(asked.track.near_length_m)
    far_m = float(asked.line.unstretched_m) - near_m
    _set_line(ledger, rigged, asked)
    load_entries(ledger, rigged, asked, side)
    columns = [
        _side(
            ledger,
            "near",
            "n",
            asked.track.near_pull,
            length_m=near_m,
            weight_n_m=weight,
            stiffness_n=stiffness,
        ),
        _side(
            ledger, "far", "f", asked.track.far_pull, length_m=far_m, weight_n_m=weight, stiffness_n=stiffness
        ),
    ]
    source = ledger.source("catenary")
    ledger.table("loaded_line", _side_quantities(ledger), columns, source=source, across=True)
    _closure(ledger, asked)
    _balance(ledger, asked)
