"""The chosen rig as the rigging core takes it: what a plan's numbers are computed again with.

Nothing is computed here but by the core's public functions; the rest is handing over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians

import numpy as np
from numpy.typing import NDArray

from atlas.plan import CaseResult, LoadPlace, RigPlan, SitePlan
from atlas.plan.mechanics import drag_most_n
from atlas.rigging import Rope, TrackLine, TrackState
from atlas.rigging.carriage import CarriageSetup
from atlas.rigging.envelope import Conditions, Envelope, clearance, places_between, tension, worst
from atlas.settings import PolicyValues
from atlas.water import drag_n

__all__ = ["Rigged", "case_drag_n"]

Floats = NDArray[np.float64]

_PLACES = 17


def case_drag_n(policy: PolicyValues, case: str, *, speed_m_s: float) -> float:
    """Drag of a case with its surge [N]."""
    asked = policy.cases[case]
    force = drag_n(area_cd_m2=asked.area, speed_m_s=speed_m_s, density_kg_m3=policy.loads.water_density)
    return asked.surge * float(force)


@dataclass(frozen=True, slots=True)
class Rigged:
    """The rig of a plan with the policy it was computed with."""

    plan: SitePlan
    policy: PolicyValues

    @property
    def rig(self) -> RigPlan:
        """The chosen rig."""
        return self.plan.chosen

    @property
    def setup(self) -> CarriageSetup:
        """Site and rig as the carriage meets them."""
        frame, loads = self.plan.frame, self.policy.loads
        return CarriageSetup(
            span_m=frame.span_m,
            rise_m=frame.rise_m,
            near_tie_height_m=frame.near_tie_height_m,
            reach_m=frame.reach_down_m / cos(radians(frame.skew_deg)),
            weight_n_m=self.rig.rope.weight_n_m,
            carriage_weight_n=loads.carriage_weight,
            ring_below_line_m=loads.ring_below_line,
            bow_ring_m=loads.bow_ring_above_water,
            strand_least_m=loads.strand_distance_least,
        )

    @property
    def judged(self) -> tuple[CaseResult, ...]:
        """The judged cases of the planning row."""
        return tuple(case for case in self.rig.planning.cases if case.judged)

    @property
    def places_m(self) -> Floats:
        """Places of the carriage at the planning stage."""
        return places_between(from_m=self.rig.travel_from_m, to_m=self.rig.travel_to_m, count=_PLACES)

    def line_at(self, place: LoadPlace) -> TrackLine:
        """The track line as it was set for a printed state."""
        frame, rope = self.plan.frame, self.rig.rope
        return TrackLine(
            span_m=frame.span_m,
            rise_m=frame.rise_m,
            rope=Rope(strength_n=rope.strength_n, weight_n_m=rope.weight_n_m, stiffness_n=place.stiffness_n),
            pretension_n=place.pretension_n,
            seating_m=place.seating_m,
        )

    def state_at(self, place: LoadPlace) -> TrackState:
        """A printed state, solved again from its place and load."""
        return self.line_at(place).loaded(
            at_m=place.at_m, downstream_n=place.downstream_n, down_n=-place.up_n
        )

    def tightest(self, *, drag_n: Sequence[float], pretension_n: float) -> Envelope:
        """Greatest tension of each drag over the places: unseated, stiff bound."""
        conditions = Conditions(
            np.asarray(drag_n), self.rig.planning.rise_m, pretension_n, self.rig.rope.stiffness_high_n, 0.0
        )
        return worst(self.setup, tension, conditions, places_m=self.places_m)

    def tightest_n(self, drag_n: Sequence[float], *, pretension_n: float) -> list[float]:
        """Greatest tension of each drag over the places [N]."""
        found: list[float] = self.tightest(drag_n=drag_n, pretension_n=pretension_n).value.tolist()
        return found

    @property
    def drag_most_n(self) -> float:
        """Greatest drag that is put on the line [N]."""
        return drag_most_n()

    def lowest(self, *, drag_n: Sequence[float], pretension_n: Sequence[float]) -> Envelope:
        """Least clearance, its sign turned, of each drag over the places: seated.

        Shape (set tensions, bounds, drags).
        """
        rope = self.rig.rope
        conditions = Conditions(
            np.asarray(drag_n),
            self.rig.planning.rise_m,
            np.asarray(pretension_n)[:, None, None],
            np.array([rope.stiffness_low_n, rope.stiffness_high_n])[:, None],
            self.rig.seating_m,
        )
        return worst(self.setup, clearance, conditions, places_m=self.places_m)
