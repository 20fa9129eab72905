"""The forces on the carriage at a printed state, as vectors that close."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, radians, sin, sqrt

import numpy as np

from atlas.rigging.ferry import toward
from atlas.workings.paper.asked import StateAsked
from atlas.workings.paper.rigged import Rigged

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
    """Both sides of the track line, weight, and what hangs on the carriage."""
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
    weight = Force("weight", 0.0, 0.0, -weight_n)
    hung = _hung(rigged, asked) if place.whole else _alone(asked, weight_n)
    return tuple(force for force in (*sides, *hung, weight) if force.size_n > 0.0)


def _alone(asked: StateAsked, weight_n: float) -> tuple[Force, ...]:
    """Strands with the drag straight across, and what holds the carriage along the line."""
    place = asked.place
    return (
        Force("strands", 0.0, place.downstream_n, place.up_n + weight_n),
        Force("along", place.along_n, 0.0, 0.0),
    )


def _hung(rigged: Rigged, asked: StateAsked) -> tuple[Force, ...]:
    """Strands along the flow, working strand and both ferry lines."""
    pulls, setup = rigged.hung_at(asked.place, asked.case), rigged.setup
    skew = radians(setup.skew_deg)
    ring = {name: np.array(value) for name, value in zip(("x_m", "y_m", "z_m"), pulls.ring_m, strict=True)}
    found = [Force("strands", pulls.drag_n * sin(skew), pulls.drag_n * cos(skew), -pulls.strand_down_n)]
    for code, station, tension_n in (
        ("working", setup.up_down, pulls.working_n),
        ("ferry_near", setup.ferry_near, pulls.ferry_near_n),
        ("ferry_far", setup.ferry_far, pulls.ferry_far_n),
    ):
        x, y, z, _ = toward(station, **ring)
        found.append(Force(code, tension_n * float(x), tension_n * float(y), tension_n * float(z)))
    return tuple(found)
