"""Stages judged whole: the track line's verdicts, and what else decides at them.

`atlas.plan.verdict` judges the track line and the anchors. Here come the factor of the tended lines,
which needs the ropes taken, and the closest boat; and how fast the water may be for all of it together.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from atlas.cover import Cover
from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics
from atlas.plan.reasons import Reasons
from atlas.plan.results import CaseResult, Note, StageResult
from atlas.plan.track_rope import wet_share
from atlas.plan.verdict import stage_results
from atlas.rigging.limit_speed import LimitSpeed
from atlas.rigging.limits import kept_strength
from atlas.water import StageRow

__all__ = ["Judge", "tended_strengths"]

Floats = NDArray[np.float64]

TENDED = ("ferry-near", "ferry-far", "up-down")
_SPEEDS = 5
_CLOSE_M_S = 1e-3


def tended_strengths(context: Context, covers: Mapping[str, Cover]) -> dict[str, float]:
    """Strength of each tended line, wet and with its end at the carriage [N].

    Of the rope taken; where none is, of the weakest that the rig's template asks for, its fibre unknown.
    """
    ropes = {stock.name: stock for stock in context.agency.ropes}
    strengths: dict[str, float] = {}
    for line in context.rig.line:
        if line.name not in TENDED:
            continue
        taken = covers[line.name].take
        strength_n, fibre = line.rope[0].strength_least_kn * 1e3, "unknown"
        if taken:
            stock = ropes[taken[0].name]
            strength_n, fibre = stock.strength_n, stock.fibre
        end: float = getattr(context.policy.ends, line.end)
        strengths[line.name] = strength_n * kept_strength(wet=wet_share(context, fibre), end=end)
    return strengths


def _tensions_n(case: CaseResult) -> dict[str, float]:
    """Greatest tension of each tended line [N]."""
    return {
        "ferry-near": case.ferry_near_n,
        "ferry-far": case.ferry_far_n,
        "up-down": max(case.up_down_hold_n, case.up_down_haul_n),
    }


@dataclass(frozen=True, slots=True)
class Judge:
    """Judges stages of one rig at one site.

    Attributes
    ----------
    strengths_n : of the tended lines, see `tended_strengths`
    """

    context: Context
    mechanics: Mechanics
    strengths_n: Mapping[str, float]

    def stages(self, rows: Sequence[StageRow]) -> tuple[StageResult, ...]:
        """Results of `rows`, with every reason but the closest boat's."""
        return self._stages(replace(self.context, rows=tuple(rows)))

    def _stages(self, context: Context) -> tuple[StageResult, ...]:
        found = stage_results(context, self.mechanics)
        return tuple(
            replace(stage, cases=tuple(self._with(case, self._line_notes(case)) for case in stage.cases))
            for stage in found
        )

    def with_closest_boat(
        self, stages: Sequence[StageResult], closest_m: float | None
    ) -> tuple[StageResult, ...]:
        """The planning row's held boat judged on how near it may come: no farther than the work reaches.

        `closest_m` None, no distance keeps the boat's clearance: then the greater one asked of the held
        boat is not kept either, and stands as the reason.
        """
        if closest_m is None or closest_m <= self.context.frame.reach_down_m:
            return tuple(stages)
        notes = [Reasons(self.context, self.mechanics).closest_boat(closest_m)]
        return tuple(
            replace(
                stage,
                cases=tuple(
                    self._with(case, notes if case.case == "boat-held" else []) for case in stage.cases
                ),
            )
            if stage.planning
            else stage
            for stage in stages
        )

    def slowest_outside(self, *, speed_most_m_s: float) -> LimitSpeed | None:
        """Where a judged case first leaves the plan, the planning stage's geometry held.

        The greatest speed below it that is inside, and the code of the first reason above it; None where
        nothing leaves the plan up to `speed_most_m_s`. A rig outside in still water has limit speed 0.
        What is looked for here grows with the speed, so that few speeds a turn find it.
        """
        if self._code_at(np.array([speed_most_m_s]))[0] is None:
            return None
        low, high, code = 0.0, speed_most_m_s, None
        while code is None or high - low > _CLOSE_M_S:
            speeds = np.linspace(low, high, _SPEEDS)
            codes = self._code_at(speeds)
            first = next(index for index, found in enumerate(codes) if found is not None)
            code = codes[first]
            if first == 0:
                return LimitSpeed(speed_m_s=float(speeds[0]), governed_by=str(code))
            low, high = float(speeds[first - 1]), float(speeds[first])
        return LimitSpeed(speed_m_s=low, governed_by=code)

    def _code_at(self, speeds_m_s: Floats) -> list[str | None]:
        """Code of the first reason of a judged case at each speed, None where all are inside."""
        planning = self.context.planning
        rows = [
            replace(planning, design_speed_m_s=speed, surface_speed_m_s=speed)
            for speed in speeds_m_s.tolist()
        ]
        judged = self.context.rig.model_copy(update={"printed_cases": []})
        return [
            next((note.code for case in stage.cases for note in case.why), None)
            for stage in self._stages(replace(self.context, rig=judged, rows=tuple(rows)))
        ]

    def _line_notes(self, case: CaseResult) -> list[Note]:
        reasons = Reasons(self.context, self.mechanics)
        tensions_n = _tensions_n(case)
        return [
            note
            for line, strength_n in self.strengths_n.items()
            for note in reasons.tended_line(line, strength_n=strength_n, tension_n=tensions_n[line])
        ]

    def _with(self, case: CaseResult, notes: Sequence[Note]) -> CaseResult:
        """A case with further reasons before the one that always stands."""
        if not notes:
            return case
        last = [note for note in case.why if note.code == "let_go"]
        first = [note for note in case.why if note.code != "let_go"]
        return replace(case, inside=False, why=(*first, *notes, *last))
