"""The bow at the limit, the least tie heights, and the water that empties the window."""

from __future__ import annotations

from dataclasses import replace

from atlas.plan import WindowCloses
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
from atlas.workings.paper.entries import Instance, Quantity, Relation, Value
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.limit_chapters import water_entries
from atlas.workings.paper.rigged import Rigged

__all__ = ["bow_chapter", "closing_chapter", "ties_chapter"]


def bow_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """The states in which the track line is at its limit, at thirds and mid-span, whatever the speed."""
    bows = rigged.rig.limit_bows
    with ledger.chapter("bow", exports=()):
        ledger.remark(ledger.words("derivation.note.bow"))
        if not bows:
            ledger.remark(ledger.words("derivation.note.no_bow"), strong=True)
            return
        source = ledger.source("worse")
        ledger.step("set_tension", Value("H_0", bows[0].place.pretension_n, "N", 1), "H_up", source)
        ledger.step("stiffness_taken", Value("E", bows[0].place.stiffness_n, "N", 0), "EA_hi", source)
        quantities = (
            Quantity(ledger.title("bow_place"), "x_c", "m"),
            Quantity(ledger.title("load_across"), "F_y", "N"),
            Quantity(ledger.title("load_sinking"), "F_z", "N"),
            Quantity(ledger.title("tension_here"), "T", "N"),
            Quantity(ledger.title("bow_at_limit"), "y_b", "m"),
        )
        instances = [
            Instance(
                ledger.words(f"governed.{bow.governed_by}"),
                str(number),
                (
                    Value("x_c", bow.at_m, "m", 3),
                    Value("F_y", bow.place.downstream_n, "N", 1),
                    Value("F_z", -bow.place.up_n, "N", 1),
                    Value("T", bow.tension_n, "N", 1),
                    Value("y_b", bow.bow_m, "m", 3),
                ),
            )
            for number, bow in enumerate(bows, 1)
        ]
        ledger.table("bow_states", quantities, instances, source=ledger.source("track_line"))
        _held_to_its_limit(ledger, rigged)


def _held_to_its_limit(ledger: Ledger, rigged: Rigged) -> None:
    """The rope's greatest tension by factor and capture, and the least bow of all places."""
    bows, known = rigged.rig.limit_bows, ledger.known
    most_n, formula = known["S_t"].value / known["f_0"].value, "S_t / f_0"
    if "T_c" in known:
        most_n, formula = min(most_n, known["T_c"].value), f"min({formula}, T_c)"
    ledger.step("tension_most", Value("T_L", most_n, "N", 1), formula, ledger.source("least_of"))
    names = ", ".join(f"T_{number}" for number, _ in enumerate(bows, 1))
    tension = Value("T_b", max(bow.tension_n for bow in bows), "N", 1)
    ledger.step("greatest_tension", tension, f"max({names})", ledger.source("greatest"))
    ledger.check("check_tension_most", "T_b", Relation.AT_MOST, "T_L")
    names = ", ".join(f"y_b{number}" for number, _ in enumerate(bows, 1))
    least = Value("y_L", min(bow.bow_m for bow in bows), "m", 3)
    ledger.step("least_bow", least, f"min({names})", ledger.source("least_of"), figure=Figure.LIMIT_BOW)


def ties_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """Least heights of both ties for the planning stage: there every case just keeps its clearance."""
    ties, haul = rigged.rig.tie_heights, rigged.rig.haul
    with ledger.chapter("ties", exports=()):
        if ties is None:
            ledger.remark(ledger.words("derivation.note.no_ties"), strong=True)
            return
        ledger.remark(ledger.words("derivation.note.ties"))
        ledger.given("raised", Value("r_t", ties.raised_m, "m", 4), ledger.source("bracketed"))
        rise_m, source = ledger.known["h_w"].value, ledger.source("statics")
        for key, symbol, tie, height_m in (
            ("near_tie_least", "z_nt", "z_n", ties.near_m),
            ("far_tie_least", "z_ft", "z_f", ties.far_m),
        ):
            value = Value(symbol, height_m - rise_m, "m", 3)
            formula = f"{tie} + r_t - h_w"
            ledger.step(key, value, formula, source, figure=Figure.TIE_HEIGHT_NEEDED)
        drags = tuple(case.drag_n for case in rigged.judged)
        over = replace(rigged.planning, raised_m=ties.raised_m)
        needed_m = rigged.judged[0].clearance_needed_m
        cases_table(
            ledger, rigged, Asked("t", drags, haul.most_n, haul.least_n, needed_m, over), "ties_states"
        )
        least_clearance(ledger, rigged, mark="t", needed="C_n")


def closing_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """The water over which no set tension meets every limit: there one is left."""
    closes = rigged.rig.window_closes
    with ledger.chapter("closing", exports=()):
        if closes is None:
            ledger.remark(ledger.words("derivation.note.no_closing"), strong=True)
            return
        ledger.remark(ledger.words("derivation.note.way"))
        _closing_water(ledger, rigged, closes)
        governed = ledger.words(f"governed.{closes.governed_by}")
        ledger.remark(ledger.words("derivation.note.closing", what=governed), strong=True)


def _closing_water(ledger: Ledger, rigged: Rigged, closes: WindowCloses) -> None:
    ledger.given("closing_rise", Value("h_k", closes.rise_m, "m", 4), ledger.source("bracketed"))
    if closes.stage_m is not None and "s_0" in ledger.known:
        stage = Value("s_k", closes.stage_m, "m", 3)
        ledger.step("closing_stage", stage, "s_0 + h_k", ledger.source("statics"), figure=Figure.LIMIT_STAGE)
    speed = Value("v_k", closes.design_speed_m_s, "m/s", 4)
    ledger.given("closing_speed", speed, ledger.source("way"))
    over = water_entries(ledger, rigged, mark="k", rise_m=closes.rise_m, width_m=closes.width_m)
    set_n = closes.set_n
    ledger.given("closing_set", Value("H_k", set_n, "N", 1), ledger.source("bracketed"))
    asked = at_speed(
        ledger, rigged, mark="k", speed_m_s=closes.design_speed_m_s, over=over, set_n=(set_n, set_n)
    )
    cases_table(ledger, rigged, asked, "closing_states")
    drags_at_speed(ledger, rigged, asked, speed="v_k")
    clearance_asked(ledger, asked, speed="v_k")
    least_clearance(ledger, rigged, mark="k", needed="C_nk")
    force_margins(ledger, rigged, mark="k")
    ledger.check("check_window_rule", "H_k", Relation.AT_MOST, "H_r")
    ledger.check("check_window_share", "H_k", Relation.AT_MOST, "H_s")
