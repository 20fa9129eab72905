"""The rigs of a site side by side, on paper."""

from __future__ import annotations

from atlas.plan import RigPlan, SitePlan, TetherRig, TrackLineRig
from atlas.units import Figure
from atlas.workings.paper.entries import Instance, Quantity
from atlas.workings.paper.ledger import Ledger

__all__ = ["compare_chapter"]


def _cells(ledger: Ledger, rig: RigPlan) -> tuple[str, ...]:
    """Verdict, limits, greatest tension, factor, clearance or angle, longest line, people."""
    words, none = ledger.words, ledger.words("derivation.none")
    if not rig.stages:
        return (words("sheet.levels.outside"), *([none] * 8))
    limit = rig.limit
    judged = [case for case in rig.planning.cases if case.judged]
    line = max(rig.lines, key=lambda one: one.needed_m)
    return (
        words("sheet.levels.inside" if rig.inside else "sheet.levels.outside"),
        none if limit is None else ledger.shown(Figure.LIMIT_SPEED, limit.surface_speed_m_s),
        none if limit is None else words(f"governed.{limit.governed_by}"),
        none if limit is None or limit.stage_m is None else ledger.shown(Figure.LIMIT_STAGE, limit.stage_m),
        ledger.shown(Figure.TENSION, max(case.tension_n for case in judged)),
        ledger.shown(Figure.FACTOR, min(case.factor for case in judged)),
        _peculiar(ledger, rig),
        ledger.shown(Figure.NEEDED_LENGTH, line.needed_m),
        ledger.shown(Figure.PEOPLE_NEEDED, rig.people),
    )


def _peculiar(ledger: Ledger, rig: RigPlan) -> str:
    if isinstance(rig, TetherRig):
        return ledger.shown(Figure.INCLUDED_ANGLE, rig.angle_deg)
    if isinstance(rig, TrackLineRig):
        return ledger.shown(
            Figure.CLEARANCE, min(case.clearance_m for case in rig.planning.cases if case.judged)
        )
    return ledger.words("derivation.none")


_ROWS = (
    "verdict", "limit", "governed", "stage", "tension", "factor", "peculiar", "longest", "people",
)  # fmt: skip


def compare_chapter(ledger: Ledger, plan: SitePlan) -> None:
    """A column for each rig, the chosen one first; and why each that is outside plan is so."""
    if len(plan.rigs) == 1:
        return
    words = ledger.words
    quantities = [Quantity(words(f"derivation.compare.{row}"), "", "") for row in _ROWS]
    instances = [Instance(words(f"rig.{rig.rig}"), "", _cells(ledger, rig)) for rig in plan.rigs]
    named = "named" if plan.site.access.rig else "by_rule"
    with ledger.chapter("compare", exports=()):
        ledger.table(
            "compare", quantities, instances, source=words(f"derivation.compare.{named}"), across=True
        )
        for rig in plan.rigs:
            if rig.reasons and not rig.inside:
                texts = words("sheet.separator").join(note.text for note in rig.reasons)
                ledger.remark(words("derivation.compare.why", rig=words(f"rig.{rig.rig}"), why=texts))
