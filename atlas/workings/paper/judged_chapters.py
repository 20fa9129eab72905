"""What the states are held against: factor of each part, capture, clearance, tended lines, closest boat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from atlas.plan import SitePlan, TrackCase
from atlas.rigging.limits import clearance_needed_m, rule_for
from atlas.rigging.rope import STANDARD_GRAVITY_M_S2
from atlas.settings import LineRule, PartRule, Settings
from atlas.units import Figure
from atlas.workings.paper.asked import StateAsked
from atlas.workings.paper.entries import Instance, Quantity, Relation, Value, sided
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.lowest_lines import lowest_lines
from atlas.workings.paper.rigged import Rigged
from atlas.workings.paper.state_chapters import state_entries

__all__ = ["clearance_chapter", "parts_chapter", "tended_chapter", "tension_chapter"]

_RIG = "movable-control-point"


def _tightest(rigged: Rigged) -> TrackCase:
    return max(rigged.judged, key=lambda case: case.tension_n)


def tension_chapter(ledger: Ledger, rigged: Rigged) -> StateAsked:
    """The judged case with the greatest tension, at its worst place."""
    case = _tightest(rigged)
    asked = StateAsked.of(rigged, case, case.tension_at)
    with ledger.chapter("tension", exports=("T_m", "R_m"), case=ledger.words(f"case.{case.case}")):
        ledger.remark(ledger.words("derivation.note.tension"))
        state_entries(ledger, rigged, asked)
        source, known = ledger.source("kept_on"), ledger.known
        ledger.step("tension_kept_on", Value("T_m", known["T"].value, "N", 1), "T", source)
        ledger.step("resultant_kept_on", Value("R_m", known["F_r"].value, "N", 2), "F_r", source)
    return asked


def _parts(settings: Settings, plan: SitePlan) -> list[PartRule]:
    """Parts of the track line that bear something as it is locked off here."""
    tied_off = plan.site.access.tied_off
    return [part for part in settings.rig(_RIG).part if not (part.device_only and tied_off)]


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of the track line, what it bears and on whose word."""

    name: str
    strength_n: float
    source: str


def _part_table(ledger: Ledger, parts: Sequence[_Part], *, load: str) -> None:
    """Strength over load of the parts that stand the same load, and the weakest of them."""
    quantities = (
        Quantity(ledger.title("part_strength"), "S", "N"),
        Quantity(ledger.title("part_factor"), "f", "", f"S / {load}"),
        Quantity(ledger.title("part_source"), "", ""),
    )
    load_n = ledger.known[load].value
    side = {"T_m": "t", "R_m": "r"}[load]
    instances = [
        Instance(
            part.name,
            f"{side}{number}",
            (Value("S", part.strength_n, "N", 0), Value("f", part.strength_n / load_n, "", 3), part.source),
        )
        for number, part in enumerate(parts, 1)
    ]
    ledger.table(f"factors_{side}", quantities, instances)
    weakest = Value(f"S_{side}", min(part.strength_n for part in parts), "N", 0)
    names = [sided("S", instance.side) for instance in instances]
    formula = f"min({', '.join(names)})" if len(names) > 1 else names[0]
    ledger.step(f"weakest_{side}", weakest, formula, ledger.source("least_of"))


def _factors(ledger: Ledger, rigged: Rigged, settings: Settings) -> None:
    """Every part's factor, and the least of them against what is asked."""
    tension = [_Part(ledger.words("track_part.rope"), ledger.known["S_k"].value, ledger.source("kept"))]
    resultant: list[_Part] = []
    for part in _parts(settings, rigged.plan):
        bears = _Part(ledger.words(f"track_part.{part.name}"), part.rating_kn * 1e3, part.source)
        (tension if part.stands == "tension" else resultant).append(bears)
    _part_table(ledger, tension, load="T_m")
    if resultant:
        _part_table(ledger, resultant, load="R_m")
    ledger.limit("factor_asked", "f_0", "limits.factor_track")
    case = _tightest(rigged)
    title = ledger.title("least_factor", part=ledger.words(f"track_part.{case.factor_part}"))
    least = Value("f_lo", case.factor, "", 3)
    formula = "min(S_t / T_m, S_r / R_m)" if resultant else "S_t / T_m"
    ledger.step("least_factor", least, formula, ledger.source("least_of"), title=title, figure=Figure.FACTOR)
    ledger.check("check_factor", "f_lo", Relation.AT_LEAST, "f_0")


def _capture(ledger: Ledger, rigged: Rigged) -> None:
    """The loaded tension against what the capture holds."""
    rig = rigged.rig
    if rig.capture_limit_n is None:
        ledger.remark(ledger.words("derivation.note.tied_off"))
        return
    source = ledger.source("capture", item=ledger.words(f"gear.{rig.capture}"))
    limit = Value("T_c", rig.capture_limit_n, "N", 0)
    ledger.given("capture", limit, source, figure=Figure.STRENGTH_HELD)
    ledger.check("check_capture", "T_m", Relation.AT_MOST, "T_c")


def _set_rules(ledger: Ledger, rigged: Rigged) -> None:
    """The most the haul may set against the rules on set tension."""
    limits, rope = rigged.policy.limits, rigged.rig.rope
    rule = rule_for(
        diameter_m=rope.diameter_m,
        rule_of_12=limits.rule_of_12,
        rule_of_18=limits.rule_of_18,
        rule_of_18_from_m=limits.rule_of_18_from,
    )
    name = "rule_of_18" if rule == limits.rule_of_18 else "rule_of_12"
    source = ledger.source("rule")
    ledger.limit("rule", "n_r", f"limits.{name}", decimals=0)
    ledger.step("rule_tension", Value("H_r", rule * limits.pull_per_person, "N", 1), "n_r * P", source)
    ledger.limit("share", "k_H", "limits.set_fraction_of_strength")
    share_n = limits.set_fraction_of_strength * rope.strength_n
    ledger.step("share_tension", Value("H_s", share_n, "N", 1), "k_H * S", source)
    ledger.check("check_rule", "H_up", Relation.AT_MOST, "H_r")
    ledger.check("check_share", "H_up", Relation.AT_MOST, "H_s")


def parts_chapter(ledger: Ledger, rigged: Rigged, settings: Settings) -> None:
    """Factor of every part, the capture, and the rules on the set tension."""
    with ledger.chapter("parts"):
        _factors(ledger, rigged, settings)
        _capture(ledger, rigged)
        _set_rules(ledger, rigged)


def _lowest(rigged: Rigged) -> TrackCase:
    return min(rigged.judged, key=lambda case: case.clearance_m - case.clearance_needed_m)


def _clear(ledger: Ledger, asked: StateAsked) -> None:
    """The clearance of the hardware, or of the line that hangs lower."""
    case, hardware = asked.case, "z_n + z_c - l_r - h_w"
    clear, source = Value("C", case.clearance_m, "m", 3), ledger.source("statics")
    if case.lowest_line is None:
        ledger.step("clearance", clear, hardware, source, figure=Figure.CLEARANCE)
        return
    line, known = case.lowest_line, ledger.known
    ring_m = line.carriage_end_m - (known["l_r"].value if case.clearance_part == "track-line" else 0.0)
    ledger.step("hardware_clearance", Value("C_h", ring_m, "m", 3), hardware, source)
    lowest_lines(ledger, [(ledger.words(f"clearance_part.{case.clearance_part}"), "l", line)])
    ledger.step("clearance", clear, "min(C_h, C_l)", ledger.source("least_of"), figure=Figure.CLEARANCE)


def clearance_chapter(ledger: Ledger, rigged: Rigged) -> StateAsked:
    """The judged case that keeps least clearance, at its worst place."""
    case = _lowest(rigged)
    asked = StateAsked.of(rigged, case, case.clearance_at)
    key = "clearance_boats" if rigged.policy.limits.boats_pass_under else "clearance"
    with ledger.chapter(
        "clearance", exports=("C", "C_0", "C_n", "g"), case=ledger.words(f"case.{case.case}")
    ):
        ledger.remark(ledger.words("derivation.note.clearance"))
        state_entries(ledger, rigged, asked)
        _clear(ledger, asked)
        base = ledger.limit("clearance_base", "C_0", f"limits.{key}", "m", 3)
        ledger.given("gravity", Value("g", STANDARD_GRAVITY_M_S2, "m/s²", 5), ledger.source("gravity"))
        speed = ledger.known["v"].value
        needed = float(clearance_needed_m(base_m=base.value, speed_m_s=speed))
        ledger.step(
            "clearance_needed", Value("C_n", needed, "m", 3), "C_0 + v**2 / (2 * g)", ledger.source("waves"),
            figure=Figure.CLEARANCE_NEEDED,
        )  # fmt: skip
        ledger.check("check_clearance", "C", Relation.AT_LEAST, "C_n")
    return asked


def _tended_pulls_n(rigged: Rigged) -> dict[str, float]:
    """Greatest pull of each tended line over the judged cases [N]."""
    judged = rigged.judged
    return {
        "ferry-near": max(case.ferry_near_n for case in judged),
        "ferry-far": max(case.ferry_far_n for case in judged),
        "up-down": max(max(case.up_down_hold_n, case.up_down_haul_n) for case in judged),
    }


def _tended_line(ledger: Ledger, rigged: Rigged, rule: LineRule, *, pull_n: float) -> Instance:
    """The rope taken for a tended line, wet and with its end, over its pull."""
    policy = rigged.policy
    take = next(line.take for line in rigged.rig.lines if line.line == rule.name)
    stock = rigged.plan.stock(take[0]) if take else None
    # where nobody has one, the weakest that the rig's template asks for
    strength_n = rule.rope[0].strength_least_kn * 1e3 if stock is None else stock.strength_n
    fibre = "unknown" if stock is None else stock.fibre
    wet = float(getattr(policy.wet, fibre, policy.wet.unknown))
    end = float(getattr(policy.ends, rule.end))
    if len(take) > 1:  # the knot that joins two
        end = min(end, policy.ends.join)
    factor = strength_n * wet * end / pull_n
    verdict = "inside" if factor >= policy.limits.factor_lines else "outside"
    cells = (
        Value("S", strength_n, "N", 0),
        Value("k_w", wet, "", 2),
        Value("k_e", end, "", 2),
        Value("Q", pull_n, "N", 2),
        Value("f", factor, "", 2),
        ledger.words(f"derivation.verdict.{verdict}"),
    )
    return Instance(ledger.words(f"line.{rule.name}"), "", cells)


def _tended_factors(ledger: Ledger, rigged: Rigged, settings: Settings) -> None:
    """Factor of every tended line against what is asked."""
    pulls = _tended_pulls_n(rigged)
    rules = [rule for rule in settings.rig(_RIG).line if rule.name in pulls]
    quantities = (
        Quantity(ledger.title("part_strength"), "S", "N"),
        Quantity(ledger.title("wet"), "k_w", ""),
        Quantity(ledger.title("end"), "k_e", ""),
        Quantity(ledger.title("greatest_pull"), "Q", "N"),
        Quantity(ledger.title("part_factor"), "f", "", "S * k_w * k_e / Q"),
        Quantity(ledger.title("verdict"), "", ""),
    )
    instances = [_tended_line(ledger, rigged, rule, pull_n=pulls[rule.name]) for rule in rules]
    ledger.limit("factor_lines", "f_t", "limits.factor_lines")
    ledger.table("tended_factors", quantities, instances, source=ledger.source("tended"))


def tended_chapter(ledger: Ledger, rigged: Rigged, settings: Settings) -> None:
    """Ferry lines and up-down line, and how near the held boat may come."""
    closest_m = rigged.rig.closest_boat_m
    with ledger.chapter("tended"):
        _tended_factors(ledger, rigged, settings)
        if closest_m is None:
            ledger.remark(ledger.words("derivation.note.no_closest_boat"))
            return
        source = ledger.policy_source("limits.clearance_closest_boat")
        ledger.given("closest_boat", Value("l_c", closest_m, "m", 2), source, figure=Figure.CLOSEST_BOAT)
        ledger.check("check_closest", "l_c", Relation.AT_MOST, "R")
