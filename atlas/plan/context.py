"""What every step of planning one site looks at: the site, its frame and water, and the agency's settings."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from atlas.cover import Comer
from atlas.frame import SiteFrame, Stations
from atlas.plan.caches import Caches
from atlas.plan.gear_counts import GearFacts
from atlas.records import Agency, Site
from atlas.rigging.ferry import StationPoint
from atlas.settings import GearList, PolicyValues, Rig, Words
from atlas.units import UnitSystem
from atlas.water import ASKED, RiverModel, StageRow, drag_n

__all__ = ["CaseDrag", "Context"]

Floats = NDArray[np.float64]


@lru_cache  # a context is made anew for each rig and each turn of its gear
def _drag_per_speed2(*, area_cd_m2: float, density_kg_m3: float) -> float:
    """Drag at 1 m/s [N s2/m2]."""
    return float(drag_n(area_cd_m2=area_cd_m2, speed_m_s=1.0, density_kg_m3=density_kg_m3))


@dataclass(frozen=True, slots=True)
class CaseDrag:
    """A load case of the rig.

    Attributes
    ----------
    drag_per_speed2 : drag at 1 m/s with its surge [N s2/m2]
    hauled : the up-down line is hauled in it, which asks more of that line than to hold
    """

    name: str
    drag_per_speed2: float
    judged: bool
    hauled: bool = True


@dataclass(frozen=True, slots=True)
class Context:
    """Everything given about one site before anything is computed of its rig.

    Attributes
    ----------
    stations : with anchors that the planning stage drowns left out
    river : what the rows are modelled from
    rows : stages, lowest first; exactly one is the planning row
    comers : agencies that can come, the first due first, the others by minutes
    caches : theirs, and those of agencies that cannot come
    cases : the rig's, judged first
    gear_facts : what is rigged, counted; None before that is known
    """

    site: Site
    frame: SiteFrame
    comers: tuple[Comer, ...]
    caches: Caches
    policy: PolicyValues
    rig: Rig
    gear: GearList
    words: Words
    units: UnitSystem
    stations: Stations
    river: RiverModel
    rows: tuple[StageRow, ...]
    cases: tuple[CaseDrag, ...] = field(init=False)
    gear_facts: GearFacts | None = None

    def __post_init__(self) -> None:
        judged = (self._case(name, judged=True) for name in self.rig.judged_cases)
        printed = (self._case(name, judged=False) for name in self.rig.printed_cases)
        object.__setattr__(self, "cases", (*judged, *printed))

    @property
    def agency(self) -> Agency:
        """The first due."""
        return self.comers[0].agency

    @property
    def level_rows(self) -> tuple[StageRow, ...]:
        """The rows of the survey and its model, without today's water: that tells nothing of another day."""
        return tuple(row for row in self.rows if row.name_code != ASKED)

    @property
    def planning(self) -> StageRow:
        """The row planned for."""
        return next(row for row in self.rows if row.planning)

    @property
    def planning_case(self) -> CaseDrag:
        """The case the lines are measured and the drawings made for."""
        return next(case for case in self.cases if case.name == self.rig.planning_case)

    @property
    def judged_drag_per_speed2(self) -> Floats:
        """Shape (judged cases,)."""
        return np.array([case.drag_per_speed2 for case in self.cases if case.judged])

    @property
    def clearance_base_m(self) -> float:
        """Clearance before the waves are added."""
        limits = self.policy.limits
        return limits.clearance_boats if limits.boats_pass_under else limits.clearance

    def station_points(self) -> tuple[StationPoint, StationPoint, StationPoint]:
        """Near ferry, far ferry and up-down station."""
        placed = (self.stations.ferry_near, self.stations.ferry_far, self.stations.up_down)
        near, far, up_down = (
            StationPoint(x_m=station.at[0], y_m=station.at[1], z_m=station.height_m) for station in placed
        )
        return near, far, up_down

    def _case(self, name: str, *, judged: bool) -> CaseDrag:
        case = self.policy.cases[name]
        per_speed2 = _drag_per_speed2(area_cd_m2=case.area, density_kg_m3=self.policy.loads.water_density)
        return CaseDrag(name=name, drag_per_speed2=case.surge * per_speed2, judged=judged)
