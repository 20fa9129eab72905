"""The chosen rig as the rigging core takes it: what a plan's numbers are computed again with.

Nothing is computed here but by the core's public functions; the rest is handing over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, radians, sqrt

import numpy as np

from atlas.plan import LoadPlace, SitePlan, TrackCase, TrackLineRig
from atlas.plan.mechanics import drag_most_n
from atlas.rigging import Rope, TrackLine, TrackState
from atlas.rigging.asked import Asked
from atlas.rigging.carriages import Carriages, carriages_at
from atlas.rigging.carried import CarriedRow
from atlas.rigging.clearance import line_clearance
from atlas.rigging.envelope import Measure, grid_of, tension, worst_of
from atlas.rigging.ferry import StationPoint
from atlas.rigging.fixtures import up_down_n
from atlas.rigging.setups import CarriageSetup, table_of
from atlas.rigging.shores import Shores
from atlas.rigging.worlds import Ropes, Worlds, hang_questions, pull_questions
from atlas.settings import PolicyValues
from atlas.water import drag_n

__all__ = ["HungAt", "Over", "Rigged", "case_drag_n"]

_PLACES = 17
_STATIONS = (("ferry", "near"), ("ferry", "far"), ("up_down", "near"))


@dataclass(frozen=True, slots=True)
class Over:
    """The water and the ties that states are taken over.

    Attributes
    ----------
    rise_m : of the water over the survey day's
    travel_m : between which the carriage works
    edges_m : between which there is water
    raised_m : both ties over their surveyed heights
    """

    rise_m: float
    travel_m: tuple[float, float]
    edges_m: tuple[float, float]
    raised_m: float = 0.0


@dataclass(frozen=True, slots=True)
class HungAt:
    """What hangs on the carriage with the whole system of forces.

    Attributes
    ----------
    ring_m : x, y and z of the carriage ring, z over the survey day's water
    strand_down_n : downward part of the strands' pull
    working_n, ferry_near_n, ferry_far_n : tensions, the ferry lines' without friction
    """

    ring_m: tuple[float, float, float]
    drag_n: float
    strand_down_n: float
    working_n: float
    ferry_near_n: float
    ferry_far_n: float


def case_drag_n(policy: PolicyValues, case: str, *, speed_m_s: float) -> float:
    """Drag of a case with its surge [N]."""
    asked = policy.cases[case]
    force = drag_n(area_cd_m2=asked.area, speed_m_s=speed_m_s, density_kg_m3=policy.loads.water_density)
    return asked.surge * float(force)


@dataclass(frozen=True, slots=True)
class Rigged:
    """The rig of a plan with the policy and the strands at the bow it was computed with."""

    plan: SitePlan
    policy: PolicyValues
    bow_strands: int

    @property
    def rig(self) -> TrackLineRig:
        """The chosen rig."""
        return self.plan.track_line

    @property
    def setup(self) -> CarriageSetup:
        """Site and rig as the carriage meets them."""
        frame, loads = self.plan.frame, self.policy.loads
        near, far, up_down = (self._station(use, bank) for use, bank in _STATIONS)
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
            ferry_near=near,
            ferry_far=far,
            up_down=up_down,
            skew_deg=frame.skew_deg,
            bow_strands=self.bow_strands,
            pulley_efficiency=self.policy.haul.pulley_efficiency,
            ferry_weight_n_m=loads.ferry_weight,
        )

    def _station(self, use: str, bank: str) -> StationPoint:
        """Where a line is worked from: the anchor that is pulled by it."""
        found = [
            anchor
            for anchor in self.rig.anchors
            if use in anchor.uses and anchor.bank == bank and anchor.load_n is not None
        ]
        # an anchor for several uses stands for this one only where no other does
        at = min(found, key=lambda anchor: "track" in anchor.uses)
        return StationPoint(at.at[0], at.at[1], at.height_m)

    @property
    def judged(self) -> tuple[TrackCase, ...]:
        """The judged cases of the planning row."""
        return tuple(case for case in self.rig.planning.cases if case.judged)

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

    def hung_at(self, place: LoadPlace, case: TrackCase) -> HungAt:
        """What hangs on the carriage at a printed state of the whole system."""
        state = carriages_at(
            table_of([self.setup]),
            Asked.of(
                site=0,
                whole=True,
                drag_n=min(case.drag_n, self.drag_most_n),
                water_rise_m=self.rig.planning.rise_m,
                clearance_m=case.clearance_needed_m,
                set_n=place.pretension_n,
                stiffness_n=place.stiffness_n,
                seating_m=place.seating_m,
            ),
            [place.at_m],
        )
        working_n = float(up_down_n(state)[0, 0])
        strand_n, drag_n = float(state.strand_n[0, 0]), float(state.asked.drag_n[0])
        return HungAt(
            ring_m=(place.at_m, float(state.bow_m[0, 0]), float(state.ring_m[0, 0])),
            drag_n=drag_n,
            strand_down_n=sqrt(max(strand_n**2 - drag_n**2, 0.0)),
            working_n=working_n,
            ferry_near_n=float(state.rows[CarriedRow.HELD_NEAR, 0, 0]),
            ferry_far_n=float(state.rows[CarriedRow.HELD_FAR, 0, 0]),
        )

    @property
    def planning(self) -> Over:
        """The planning stage's water, the ties as surveyed."""
        rig = self.rig
        row, travel_m = rig.planning, (rig.travel_from_m, rig.travel_to_m)
        return replace(self.over(rise_m=row.rise_m, width_m=row.width_m), travel_m=travel_m)

    def over(self, *, rise_m: float, width_m: float) -> Over:
        """Another water: the carriage works over it, and where both ferry lines have leverage."""
        frame, levered = self.plan.frame, self.rig.leverage_m
        from_m, to_m = (-np.inf, np.inf) if levered is None else levered
        figures = (frame.near_edge_x_m, frame.far_edge_x_m, frame.width_m, frame.span_m, from_m, to_m)
        shores = Shores(*(np.array([figure]) for figure in figures))
        asked = np.zeros(1, dtype=np.intp), np.array([width_m])
        near_m, far_m = shores.travel(*asked)
        first_m, last_m = shores.water(*asked)
        return Over(rise_m, (float(near_m[0]), float(far_m[0])), (float(first_m[0]), float(last_m[0])))

    def _worlds(
        self, drag_n: Sequence[float], clearance_m: Sequence[float], set_n: float, over: Over
    ) -> Worlds:
        """A world for each drag."""
        return Worlds.of(
            site=np.zeros(len(drag_n), dtype=np.intp),
            drag_n=np.asarray(drag_n, dtype=np.float64)[:, np.newaxis],
            hauled=np.ones((len(drag_n), 1), dtype=bool),
            water_rise_m=over.rise_m,
            clearance_m=np.asarray(clearance_m, dtype=np.float64),
            set_least_n=set_n,
            set_most_n=set_n,
            from_m=over.travel_m[0],
            to_m=over.travel_m[1],
            raised_m=over.raised_m,
            tended=not any(note.code == "no_leverage" for case in self.judged for note in case.why),
        ).between(*(np.full(len(drag_n), edge_m) for edge_m in over.edges_m))

    def _worst(self, worlds: Worlds, asked: Asked, measure: Measure) -> Carriages:
        """The worst state of each world, whichever system of forces and bound it is of."""
        each = asked.count // worlds.site.size
        ends = {"from_m": np.repeat(worlds.from_m, each), "to_m": np.repeat(worlds.to_m, each)}
        found = worst_of(
            grid_of(table_of([self.setup]), asked, count=_PLACES, measure=measure, **ends), measure
        )
        values = measure(found)[:, 0].reshape(-1, each)
        return found.part(np.arange(values.shape[0]) * each + np.argmax(values, axis=1))

    @property
    def _ropes(self) -> Ropes:
        rope = self.rig.rope
        bounds = (rope.stiffness_low_n, rope.stiffness_high_n, self.rig.seating_m)
        return Ropes(*(np.array([value]) for value in bounds))

    def tightest(
        self,
        *,
        drag_n: Sequence[float],
        clearance_m: Sequence[float],
        pretension_n: float,
        over: Over | None = None,
    ) -> Carriages:
        """State of greatest tension of each drag over the travel: unseated, stiff bound.

        `clearance_m` is what the ferry lines keep over the water with each drag; `over` None is the planning
        stage.
        """
        worlds = self._worlds(drag_n, clearance_m, pretension_n, over or self.planning)
        return self._worst(worlds, pull_questions(worlds, self._ropes), tension)

    def tightest_n(
        self, drag_n: Sequence[float], *, clearance_m: Sequence[float], pretension_n: float
    ) -> list[float]:
        """Greatest tension of each drag over the travel [N]."""
        found = self.tightest(drag_n=drag_n, clearance_m=clearance_m, pretension_n=pretension_n)
        tensions: list[float] = found.tension_n[:, 0].tolist()
        return tensions

    @property
    def drag_most_n(self) -> float:
        """Greatest drag that is put on the line [N]."""
        return drag_most_n()

    def lowest(
        self,
        *,
        drag_n: Sequence[float],
        clearance_m: Sequence[float],
        pretension_n: float,
        over: Over | None = None,
    ) -> Carriages:
        """State of least clearance of each drag over the travel: seated, both bounds; `over` as above."""
        worlds = self._worlds(drag_n, clearance_m, pretension_n, over or self.planning)
        return self._worst(worlds, hang_questions(worlds, self._ropes), line_clearance)
