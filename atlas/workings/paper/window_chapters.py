"""Between which set tensions every limit holds at the planning stage."""

from __future__ import annotations

from atlas.plan import Window
from atlas.units import Figure
from atlas.workings.paper.asked_table import Asked, cases_table, force_margins, least_clearance
from atlas.workings.paper.entries import Relation, Value
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.rigged import Rigged

__all__ = ["window_chapter"]


def _ends(ledger: Ledger, rigged: Rigged, window: Window) -> None:
    """Both ends, each with the states in which its limit is just met."""
    drags = tuple(case.drag_n for case in rigged.judged)
    low = Value("H_1", window.low_n, "N", 1)
    high = Value("H_2", window.high_n, "N", 1)
    ledger.given("window_low", low, ledger.source("bracketed"), figure=Figure.WINDOW_LOW)
    ledger.given("window_high", high, ledger.source("bracketed"), figure=Figure.WINDOW_HIGH)
    needed_m = rigged.judged[0].clearance_needed_m
    asked = Asked("w", drags, window.high_n, window.low_n, needed_m, rigged.planning)
    cases_table(ledger, rigged, asked, "window_states")
    least_clearance(ledger, rigged, mark="w", needed="C_n")
    force_margins(ledger, rigged, mark="w")
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
