"""The rope of the track line, the drag of every case, and what the haul sets."""

from __future__ import annotations

from collections.abc import Iterable

from atlas.plan import SitePlan, TrackCase
from atlas.records import RopeStock
from atlas.rigging.haul import ideal_advantage, real_advantage
from atlas.settings import Settings
from atlas.units import Figure
from atlas.workings.paper.entries import Instance, Quantity, Value
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.rigged import Rigged

__all__ = ["case_sides", "drag_chapter", "haul_chapter", "rope_chapter"]

_REAL_ADVANTAGE = {
    "2:1": "1 + e_p",
    "3:1": "1 + e_p + e_p**2",
    "4:1": "(1 + e_p)**2",
    "6:1": "(1 + e_p) * (1 + e_p + e_p**2)",
    "9:1": "(1 + e_p + e_p**2)**2",
}
_LAID_SAG = 0.05
"""Sag over span of a line laid bank to bank, as the plan takes it for the haul's travel."""


def case_sides(cases: Iterable[TrackCase]) -> dict[str, str]:
    """Index of each case's symbols: the first letter of its last word, or a number where two are alike."""
    sides: dict[str, str] = {}
    for number, case in enumerate(cases, 1):
        letter = case.case.rsplit("-", 1)[-1][:1]
        sides[case.case] = letter if letter not in sides.values() else str(number)
    return sides


def _cache_rope(plan: SitePlan) -> RopeStock | None:
    take = next(line.take for line in plan.track_line.lines if line.line == "track")
    return plan.stock(take[0]) if take else None


def _stiffness(ledger: Ledger, plan: SitePlan, stock: RopeStock | None, cache: str) -> None:
    """EA and its bounds, by the basis of the rope's elongation."""
    rope = plan.track_line.rope
    centre = Value("EA", rope.stiffness_n, "N", 0)
    low, high = Value("EA_lo", rope.stiffness_low_n, "N", 0), Value("EA_hi", rope.stiffness_high_n, "N", 0)
    if stock is not None and stock.elongation_basis != "10pct":
        ledger.given("elongation_50_150", Value("j", stock.elongation, "", 4), cache)
        ledger.given("gravity", Value("g", 9.80665, "m/s²", 5), ledger.source("gravity"))
        ledger.step("stiffness", centre, "100 * g / j", ledger.source("en_1891"))
        ledger.limit("high_elongation", "j_hi", "stiffness.high_elongation_of_50_150kg", decimals=4)
        ledger.step("stiffness_low", low, "min(EA, 0.1 * S / j_hi)", ledger.source("en_1891"))
        ledger.step("stiffness_high", high, "max(EA, 0.1 * S / j_hi)", ledger.source("en_1891"))
        return
    if stock is None:
        ledger.given("stiffness", centre, ledger.policy_source("planning_rope.stiffness"))
    else:
        ledger.given("elongation_10", Value("j", stock.elongation, "", 4), cache)
        ledger.step("stiffness", centre, "0.1 * S / j", ledger.source("ci_1801"))
    ledger.limit("low_factor", "k_lo", "stiffness.low_of_10pct")
    ledger.limit("high_factor", "k_hi", "stiffness.high_of_10pct")
    ledger.step("stiffness_low", low, "k_lo * EA", ledger.source("bound"))
    ledger.step("stiffness_high", high, "k_hi * EA", ledger.source("bound"))


def _ends(ledger: Ledger, settings: Settings, *, kept: float, wet: float) -> None:
    """Strength kept at both ends; the far one's figure for a thin anchor where that is what was taken."""
    rig, ends = settings.rig("movable-control-point"), settings.policy.values.ends
    far_end: str = rig.far_end
    taken = min(getattr(ends, rig.far_end), getattr(ends, rig.near_end))
    if abs(wet * taken - kept) > 1e-9:
        far_end = "wraps_thin"
    ledger.limit("far_end", "k_f", f"ends.{far_end}")
    ledger.limit("near_end", "k_n", f"ends.{rig.near_end}")


def rope_chapter(ledger: Ledger, plan: SitePlan, settings: Settings) -> None:
    """The rope taken, its stiffness with both bounds, and the strength it keeps."""
    rope = plan.track_line.rope
    stock = _cache_rope(plan)
    cache = ledger.source("cache", agency=rope.agency or "", rope=rope.name)
    fibre = "nylon" if stock is None else stock.fibre
    fibre = fibre if hasattr(settings.policy.values.wet, fibre) else "unknown"

    def taken(key: str, symbol: str, value: float, unit: str, decimals: int, figure: Figure | None) -> None:
        source = cache if stock is not None else ledger.policy_source(f"planning_rope.{key}")
        ledger.given(f"rope_{key}", Value(symbol, value, unit, decimals), source, figure=figure)

    whose = ledger.words("derivation.note.planning_rope") if rope.agency is None else rope.agency
    with ledger.chapter("rope", rope=rope.name, whose=whose):
        taken("diameter", "d_r", rope.diameter_m, "m", 4, Figure.ROPE_DIAMETER)
        taken("strength", "S", rope.strength_n, "N", 0, Figure.STRENGTH_HELD)
        taken("weight", "w", rope.weight_n_m, "N/m", 4, None)
        _stiffness(ledger, plan, stock, cache)
        ledger.limit("wet", "k_w", f"wet.{fibre}")
        _ends(ledger, settings, kept=rope.kept, wet=settings.policy.value_of(f"wet.{fibre}"))
        kept = Value("S_k", rope.strength_n * rope.kept, "N", 0)
        ledger.step(
            "strength_kept",
            kept,
            "S * k_w * min(k_f, k_n)",
            ledger.source("kept"),
            figure=Figure.STRENGTH_HELD,
        )


def drag_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """Drag of every case at the planning stage."""
    policy, planning = rigged.policy, rigged.rig.planning
    sides = case_sides(planning.cases)
    quantities = (
        Quantity(ledger.title("surge"), "k", ""),
        Quantity(ledger.title("area"), "A", "m²"),
        Quantity(ledger.title("drag"), "D", "N", "k * m_w * A * v**2 / 2"),
    )
    instances = [
        Instance(
            ledger.words(f"case.{case.case}"),
            sides[case.case],
            (
                Value("k", policy.cases[case.case].surge, "", 2),
                Value("A", policy.cases[case.case].area, "m²", 4),
                Value("D", case.drag_n, "N", 1),
            ),
        )
        for case in planning.cases
    ]
    with ledger.chapter("drag"):
        ledger.limit("water_density", "m_w", "loads.water_density", "kg/m³", 1)
        ledger.table("drags", quantities, instances, source=ledger.source("drag"), across=True)
        for case in planning.cases:
            sources = ledger.policy.provenance
            ledger.remark(
                ledger.words(
                    "derivation.note.case",
                    case=ledger.words(f"case.{case.case}"),
                    area=sources[f"cases.{case.case}.area"].source,
                    surge=sources[f"cases.{case.case}.surge"].source,
                )
            )
        ledger.limit("carriage_weight", "W", "loads.carriage_weight", "N", 1)
        ledger.limit("ring_below_line", "l_r", "loads.ring_below_line", "m", 3)
        ledger.limit("bow_ring", "l_b", "loads.bow_ring_above_water", "m", 3)
        ledger.limit("strand_least", "r_lo", "loads.strand_distance_least", "m", 3)
        reach_m = rigged.setup.reach_m
        ledger.step("reach", Value("r", reach_m, "m", 3), "R / cos(a * pi / 180)", ledger.source("geometry"))


def haul_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """What the printed haul reaches at least, may have set at most, and how much rope it takes in."""
    haul = rigged.rig.haul
    efficiency = rigged.policy.haul.pulley_efficiency
    with ledger.chapter("haul", system=haul.system, people=str(haul.people)):
        ledger.given("people", Value("n_p", haul.people, "", 0), ledger.source("chosen"), figure=Figure.COUNT)
        ledger.limit("pull", "P", "limits.pull_per_person", "N", 1)
        ledger.limit("efficiency", "e_p", "haul.pulley_efficiency")
        ledger.given(
            "ideal_advantage", Value("A_i", ideal_advantage(haul.system), "", 0), ledger.source("pulleys")
        )
        real = real_advantage(haul.system, pulley_efficiency=efficiency)
        ledger.step(
            "real_advantage",
            Value("A_r", real, "", 4),
            _REAL_ADVANTAGE[haul.system],
            ledger.source("pulleys"),
        )
        statics = ledger.source("statics")
        least, most = Value("H_lo", haul.least_n, "N", 1), Value("H_up", haul.most_n, "N", 1)
        ledger.step("haul_least", least, "n_p * P * A_r", statics, figure=Figure.HAUL_LEAST)
        ledger.step("haul_most", most, "n_p * P * A_i", statics, figure=Figure.HAUL_MOST)
        ledger.limit("seating", "q", "loads.seating", "m", 3)
        ledger.given("laid_sag", Value("f_s", _LAID_SAG, "", 2), ledger.source("laid_sag"))
        travel = Value("l_h", haul.travel_m, "m", 3)
        ledger.step(
            "haul_travel", travel, "8 / 3 * f_s**2 * L + L * H_up / EA_lo + q", ledger.source("parabola"),
            figure=Figure.HAUL_TRAVEL,
        )  # fmt: skip
