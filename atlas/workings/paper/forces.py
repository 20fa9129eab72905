"""The forces on the carriage at a printed state, as vectors that close."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

from atlas.workings.paper.rigged import Rigged
from atlas.workings.paper.state_chapters import StateAsked

__all__ = ["Force", "forces_of"]


@dataclass(frozen=True, slots=True)
class Force:
    """One pull on the carriage: toward the far bank, downstream, up [N]; `code` is its word."""

    code: str
    along_n: float
    downstream_n: float
    up_n: float

    @property
    def size_n(self) -> float:
        """How hard it pulls [N]."""
        return sqrt(self.along_n**2 + self.downstream_n**2 + self.up_n**2)

    @property
    def plan_n(self) -> float:
        """Its horizontal part [N]."""
        return hypot(self.along_n, self.downstream_n)


def forces_of(rigged: Rigged, asked: StateAsked) -> tuple[Force, ...]:
    """Both sides of the track line, strands, weight, and what holds the carriage in its place."""
    track, place = asked.track, asked.place
    weight_n_m = rigged.rig.rope.weight_n_m
    near_m = float(track.near_length_m)
    far_m = float(asked.line.unstretched_m) - near_m
    weight_n = rigged.policy.loads.carriage_weight
    sides = []
    for code, pull, length_m in (
        ("track_near", track.near_pull, near_m),
        ("track_far", track.far_pull, far_m),
    ):
        lift_n = float(pull.up_n) + weight_n_m * length_m
        sides.append(Force(code, -float(pull.along_n), -float(pull.downstream_n), -lift_n))
    strands = Force("strands", 0.0, place.downstream_n, place.up_n + weight_n)
    along = Force("along", place.along_n, 0.0, 0.0)
    weight = Force("weight", 0.0, 0.0, -weight_n)
    return tuple(force for force in (*sides, strands, along, weight) if force.size_n > 0.0)
