"""Each line part by part, and what every anchor is asked to hold."""

from __future__ import annotations

from atlas.plan import AnchorPlan, LinePlan, SitePlan
from atlas.plan.rig_results import AnchorPull
from atlas.rigging.haul import ideal_advantage
from atlas.units import Figure
from atlas.workings.paper.entries import Instance, Quantity, Value
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.rigged import Rigged

__all__ = ["anchors_chapter", "lines_chapter"]


def _far_anchor_size(ledger: Ledger, plan: SitePlan) -> None:
    far = next(anchor for anchor in plan.site.anchors if anchor.tag == plan.frame.track_far_tag)
    if far.diameter_m is None:
        ledger.limit("anchor_size", "d_a", "lines.anchor_diameter_assumed", "m", 4)
        return
    source = ledger.source(
        "survey", file=plan.site.file.rsplit("/", 1)[-1], date=plan.site.access.surveyed.isoformat()
    )
    ledger.given("anchor_size", Value("d_a", far.diameter_m, "m", 4), source, figure=Figure.ANCHOR_SIZE)


def _given_once(ledger: Ledger, rigged: Rigged) -> None:
    """What several lines take of the policy."""
    ledger.limit("wraps", "n_w", "lines.wraps", decimals=0)
    _far_anchor_size(ledger, rigged.plan)
    ledger.limit("tail_far", "l_tf", "lines.tail_far_tie_off", "m", 2)
    ledger.limit("tail_near", "l_tn", "lines.tail_near", "m", 2)
    ledger.limit("throw", "l_t", "lines.throw", "m", 2)
    ledger.limit("tail_tended", "l_tt", "lines.tail_tended", "m", 2)
    ledger.limit("tail_messenger", "l_tm", "lines.tail_messenger", "m", 2)
    ledger.limit("spare_fraction", "k_sp", "lines.spare_fraction")
    ledger.limit("spare_least", "l_sp", "lines.spare_least", "m", 2)


_FORMULAS = {
    "chord": "L_c",
    "wraps": "n_w * pi * (d_a + d_r)",
    "far_tail": "l_tf",
    "near_tail": "l_tn",
    "tail": "l_tt",
    "over_and_back": "2 * L",
    "bank_tails": "2 * l_tm",
}
"""How a part follows from what was told; parts that are not here are measured on the loaded carriage."""


def _part_formula(part: str) -> str | None:
    """How a part follows; None for one that is measured on the loaded carriage."""
    own = {"spare": "max(k_sp * l_s, l_sp)", "floor": "l_fl - l_s - l_k", "haul": "A_l * l_t"}
    return own.get(part) or _FORMULAS.get(part)


def _parts(ledger: Ledger, line: LinePlan) -> list[str]:
    """A line's parts one after another, their sum before the spare; the symbols that make the whole."""
    symbols: list[str] = []
    planned_m = 0.0
    for number, part in enumerate(line.parts, 1):
        if part.part == "spare":
            planned = Value("l_s", planned_m, "m", 3)
            ledger.step("parts_sum", planned, " + ".join(symbols), ledger.source("sum"))
            symbols = ["l_s"]
        symbol = {"spare": "l_k", "floor": "l_z"}.get(part.part, f"l_{number}")
        value = Value(symbol, part.length_m, "m", 3)
        name = ledger.words(f"part.{part.part}")
        title, source = name[:1].upper() + name[1:], ledger.source(f"part_{part.part}")
        formula = _part_formula(part.part)
        if formula is None:
            ledger.given("part", value, source, title=title)
        else:
            ledger.step("part", value, formula, source, title=title)
        planned_m += part.length_m
        symbols.append(symbol)
    return symbols


def _line(ledger: Ledger, rigged: Rigged, line: LinePlan) -> None:
    """One line: its parts, spare, what the floor adds, and the sum."""
    with ledger.chapter("line", exports=(), line=ledger.words(f"line.{line.line}")):
        if line.floor_m is not None:
            floor = Value("l_fl", line.floor_m, "m", 3)
            ledger.given("floor", floor, ledger.source(f"floor_{line.line}"), figure=Figure.FLOOR_LENGTH)
        if any(part.part == "haul" for part in line.parts):
            _advantage(ledger, rigged, line)
        symbols = _parts(ledger, line)
        needed = Value("l", line.needed_m, "m", 3)
        source = ledger.source("sum")
        ledger.step("needed", needed, " + ".join(symbols), source, figure=Figure.NEEDED_LENGTH)
        ledger.remark(_taken(ledger, line), strong=line.short_m > 0.0)


def _advantage(ledger: Ledger, rigged: Rigged, line: LinePlan) -> None:
    """Advantage of the haul that is built in the line: that of the haul printed, or a greater one."""
    haul_m = next(part.length_m for part in line.parts if part.part == "haul")
    built = round(haul_m / rigged.policy.lines.throw)
    own = ideal_advantage(rigged.rig.haul.system)
    source = ledger.source("pulleys" if built == own else "haul_grown")
    ledger.given("built_advantage", Value("A_l", built, "", 0), source)


def _taken(ledger: Ledger, line: LinePlan) -> str:
    """The ropes taken, or what is lacking."""
    if line.short_m > 0.0:
        return ledger.words("derivation.note.short", short=ledger.shown(Figure.SHORT_LENGTH, line.short_m))
    if not line.take:
        return ledger.words("derivation.note.launcher_line")
    ropes = ", ".join(
        ledger.words(
            "derivation.note.taken",
            rope=take.rope,
            agency=take.agency,
            length=ledger.shown(Figure.ROPE_HELD, take.length_m),
        )
        for take in line.take
    )
    return ledger.words("derivation.note.take", ropes=ropes)


def lines_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """What the lines share, then each of them."""
    with ledger.chapter("lines"):
        _given_once(ledger, rigged)
    for line in rigged.rig.lines:
        _line(ledger, rigged, line)


def _hold(ledger: Ledger, plan: SitePlan, anchor: AnchorPlan) -> str:
    """Whose word an anchor's hold is."""
    if anchor.rating_n is None:
        return ledger.words("derivation.hold.none")
    if not anchor.rating_assumed:
        return ledger.words("derivation.hold.survey")
    size = next(one.diameter_m for one in plan.site.anchors if one.tag == anchor.tag)
    kind = plan_kind(anchor)
    return ledger.words(
        "derivation.hold.assumed",
        kind=kind,
        size=f"{size:.3f}",
        source=ledger.policy.provenance[f"anchor_kinds.{anchor.kind}.of_size_squared"].source,
    )


def plan_kind(anchor: AnchorPlan) -> str:
    """The kind as the policy names it."""
    return (anchor.kind or "").replace("_", " ")


def _anchor_cells(ledger: Ledger, rigged: Rigged, anchor: AnchorPlan) -> tuple[Value | str, ...]:
    none = ledger.words("derivation.unknown")
    limits, frame = rigged.policy.limits, rigged.plan.frame
    track = anchor.tag in (frame.track_near_tag, frame.track_far_tag)
    least = limits.anchor_track_least if track else limits.anchor_station_least

    def cell(symbol: str, value: float | None, unit: str, decimals: int) -> Value | str:
        return none if value is None else Value(symbol, value, unit, decimals)

    marks = [
        ledger.words(f"derivation.anchor.{name}")
        for name, holds in (
            ("do_not_use", anchor.do_not_use),
            ("drowned", anchor.drowned),
            ("on_scene", not anchor.surveyed),
            ("unused", anchor.load_n is None and not anchor.do_not_use and not anchor.drowned),
            (
                "short",
                anchor.rating_n is not None
                and anchor.needed_n is not None
                and anchor.rating_n < anchor.needed_n,
            ),
        )
        if holds
    ]
    return (
        cell("z", anchor.height_planning_m, "m", 2),
        cell("Q", anchor.load_n, "N", 2),
        cell("q_b", anchor.pull_bearing_deg, "°", 0),
        cell("q_u", anchor.pull_up_deg, "°", 1),
        none if anchor.load_n is None else Value("N_lo", least, "N", 0),
        cell("N", anchor.needed_n, "N", 1),
        cell("N_h", anchor.rating_n, "N", 1),
        cell("k", anchor.ratio, "", 2),
        ", ".join(marks) or ledger.words("derivation.anchor.holds"),
    )


def _assumed_holds(ledger: Ledger, rigged: Rigged) -> None:
    """Holds that were assumed from kind and size."""
    sizes = {anchor.tag: anchor.diameter_m for anchor in rigged.plan.site.anchors}
    instances = []
    for anchor in rigged.rig.anchors:
        size = sizes.get(anchor.tag)
        if not anchor.rating_assumed or anchor.rating_n is None or size is None or anchor.kind is None:
            continue
        kind = rigged.policy.anchor_kinds[anchor.kind]
        cells = (
            plan_kind(anchor),
            Value("d", size, "m", 4),
            Value("k_d", kind.of_size_squared, "N/m²", 0),
            Value("N_m", kind.most, "N", 0),
            Value("N_h", anchor.rating_n, "N", 1),
            ledger.policy.provenance[f"anchor_kinds.{anchor.kind}.of_size_squared"].source,
        )
        instances.append(Instance(anchor.tag, "", cells))
    if not instances:
        return
    head = ledger.words.of("derivation.hold")
    quantities = (
        Quantity(head["kind"], "", ""),
        Quantity(head["size"], "d", "m"),
        Quantity(head["coefficient"], "k_d", "N/m²"),
        Quantity(head["most"], "N_m", "N"),
        Quantity(head["hold"], "N_h", "N", "min(k_d * d**2, N_m)"),
        Quantity(head["source"], "", ""),
    )
    ledger.table("assumed_holds", quantities, instances)


def _pulls(ledger: Ledger, rigged: Rigged) -> None:
    """The greatest pull of all lines on each tie point and station, as a vector."""
    worst: dict[str, AnchorPull] = {}
    for case in rigged.judged:
        for pull in case.anchor_pulls:
            if pull.stands not in worst or pull.load_n > worst[pull.stands].load_n:
                worst[pull.stands] = pull
    head = ledger.words.of("derivation.pull")
    quantities = (
        Quantity(head["along"], "X", "N"),
        Quantity(head["downstream"], "Y", "N"),
        Quantity(head["up"], "Z", "N"),
        Quantity(head["load"], "Q", "N", "sqrt(X**2 + Y**2 + Z**2)"),
    )
    instances = [
        Instance(
            ledger.words(f"derivation.pull.{stands}"),
            "",
            (
                Value("X", pull.along_n, "N", 2),
                Value("Y", pull.downstream_n, "N", 2),
                Value("Z", pull.up_n, "N", 2),
                Value("Q", pull.load_n, "N", 2),
            ),
        )
        for stands, pull in worst.items()
    ]
    ledger.table("anchor_pulls", quantities, instances, source=ledger.source("anchor_pulls"))


def anchors_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """Load, what is asked, what is held, at the planning stage."""
    head = ledger.words.of("derivation.anchor")
    quantities = (
        Quantity(head["height"], "z", "m"),
        Quantity(head["load"], "Q", "N"),
        Quantity(head["bearing"], "q_b", "°"),
        Quantity(head["up"], "q_u", "°"),
        Quantity(head["least"], "N_lo", "N"),
        Quantity(head["needed"], "N", "N", "max(k_a * Q, N_lo)"),
        Quantity(head["held"], "N_h", "N"),
        Quantity(head["ratio"], "k", "", "N_h / Q"),
        Quantity(head["marks"], "", ""),
    )
    instances = [
        Instance(f"{anchor.tag} {' '.join(_uses(ledger, anchor))}", "", _anchor_cells(ledger, rigged, anchor))
        for anchor in rigged.rig.anchors
    ]
    with ledger.chapter("anchors"):
        _pulls(ledger, rigged)
        ledger.limit("anchor_ratio", "k_a", "limits.anchor_ratio")
        ledger.table("anchors", quantities, instances, source=ledger.source("anchors"))
        _assumed_holds(ledger, rigged)


def _uses(ledger: Ledger, anchor: AnchorPlan) -> list[str]:
    return [ledger.words(f"sheet.use.{use}") for use in anchor.uses]
